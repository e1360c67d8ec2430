//! Verdicts. A verdict is a result, not an error.

use crate::mark::VerdictSign;
use serde::Serialize;

/// What is found of a requirement, a feature or a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Within its limits by the decision rule.
    Conforms,
    /// Outside its limits by the decision rule.
    DoesNotConform,
    /// Too near its limit for the uncertainty of the measurement: by the decision rule neither
    /// conformity nor the contrary is proven.
    NotProven,
    /// Something needed for a verdict was not measured.
    NotMeasured,
    /// The drawing or the plan does not allow a verdict; the reason says why.
    CannotBeJudged,
    /// The drawing asks for nothing here.
    NothingAsked,
}

impl Verdict {
    /// In words; empty where nothing is asked.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Conforms => "conforms",
            Self::DoesNotConform => "does not conform",
            Self::NotProven => "not proven",
            Self::NotMeasured => "not measured",
            Self::CannotBeJudged => "cannot be judged",
            Self::NothingAsked => "",
        }
    }

    /// The sign that stands beside the words; none where nothing is asked.
    #[must_use]
    pub const fn sign(self) -> Option<VerdictSign> {
        match self {
            Self::Conforms => Some(VerdictSign::Conforms),
            Self::DoesNotConform => Some(VerdictSign::DoesNotConform),
            Self::NotMeasured => Some(VerdictSign::NotMeasured),
            Self::NotProven => Some(VerdictSign::NotProven),
            Self::CannotBeJudged => Some(VerdictSign::CannotBeJudged),
            Self::NothingAsked => None,
        }
    }

    /// The verdict over both: one failure fails the whole, then what cannot be judged, then
    /// what is missing; only when all asked for conforms does the whole conform.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        let weight = |v| match v {
            Self::DoesNotConform => 5,
            Self::CannotBeJudged => 4,
            Self::NotMeasured => 3,
            Self::NotProven => 2,
            Self::Conforms => 1,
            Self::NothingAsked => 0,
        };
        if weight(other) > weight(self) { other } else { self }
    }
}
