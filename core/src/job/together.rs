//! What a drawing says of callouts that are judged together. What follows from it:
//! [`Standard::judged_with`](super::Standard::judged_with).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::num::NonZeroU8;

/// What the drawing writes beside a tolerance about the others that it is judged with. What it
/// means depends on the drawing's standard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Together {
    /// Nothing: the default of the drawing's standard.
    #[default]
    Default,
    /// Not with others in the same frame: SEP REQT (ASME Y14.5-2018, 7.19), separate zones SZ
    /// (ISO 1101:2017, from memory).
    Separate,
    /// The features of the callout have one combined zone: CZ (ISO 1101:2017, ISO 5458:2018).
    Combined,
    /// With all callouts that have the same mark: SIM REQT (ASME Y14.5), SIM with or without a
    /// number (ISO 5458:2018). The features of one such callout are judged together as well.
    Simultaneous(Option<NonZeroU8>),
}

impl Together {
    /// Whether the drawing writes nothing.
    #[must_use]
    pub const fn is_default(&self) -> bool {
        matches!(self, Self::Default)
    }
}

/// As it is typed: nothing, `SEP REQT`, `CZ`, `SIM`, `SIM 2`.
impl fmt::Display for Together {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Default => Ok(()),
            Self::Separate => f.write_str("SEP REQT"),
            Self::Combined => f.write_str("CZ"),
            Self::Simultaneous(None) => f.write_str("SIM"),
            Self::Simultaneous(Some(number)) => write!(f, "SIM {number}"),
        }
    }
}

/// With which others a segment of a callout is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum JudgedWith {
    /// With none: each feature takes the shift that suits it best.
    Alone,
    /// With the features of the same callout: alike in tolerance, modifier, datums and pattern.
    Pattern,
    /// With every callout that has the same datums in the same order at the same boundaries.
    Frame,
    /// The same, with those of this number only.
    Number(Option<NonZeroU8>),
}
