//! Why there is no figure.

use crate::quantity::Axis;
use serde::Serialize;

/// Why a relation has no figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// A feature that is not on the drawing.
    UnknownFeature(String),
    /// A feature whose number, limits or touches are at fault.
    AtFault(String),
    /// One feature named twice.
    Twice(String),
    /// A feature of a kind that the relation cannot be about: its name, and what it should be.
    WrongKind(String, &'static str),
    /// A feature that has no place along this axis.
    NoPlace(String, Axis),
    /// Two features that lie across different axes.
    Across(String, String),
    /// What was not measured.
    NotMeasured(Vec<String>),
    /// Nothing ties the readings of its features to each other.
    NotTied,
    /// A basic coordinate that is missing on the drawing.
    NominalMissing(String),
    /// The lower limit is above the upper one.
    Limits,
    /// The tolerance is not above zero.
    Tolerance,
    /// A modifier on a feature without limits of size.
    ModifierWithoutLimits(String),
    /// The centre and the feature have the same basic place: no angle.
    NoRadius,
    /// A circle of fewer than three holes.
    TooFewHoles,
    /// Points or centres on one line.
    OnOneLine,
    /// Points that do not lie along one line.
    NotOnOneLine,
    /// Points at one place.
    AtOnePlace,
    /// An edge whose squareness is stated over no length.
    NoLength(String),
    /// Figures of which nothing can be worked out.
    Figures,
}

impl Reason {
    /// Puts two results together, so that all that is missing is said at once.
    ///
    /// # Errors
    /// What is missing of both, or the reason of one.
    pub(super) fn both<A, B>(a: Result<A, Self>, b: Result<B, Self>) -> Result<(A, B), Self> {
        match (a, b) {
            (Ok(a), Ok(b)) => Ok((a, b)),
            (Err(Self::NotMeasured(mut a)), Err(Self::NotMeasured(b))) => {
                a.extend(b);
                Err(Self::NotMeasured(a))
            }
            (Err(Self::NotMeasured(_)), Err(why)) | (Err(why), _) | (_, Err(why)) => Err(why),
        }
    }

    /// One thing that was not measured.
    pub(super) fn missing(what: impl Into<String>) -> Self {
        Self::NotMeasured(vec![what.into()])
    }
}
