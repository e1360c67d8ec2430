//! The units a document or a gauge may speak, and a number written in one of them.

use super::Length;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A unit of length at the edge of the program. 1 in = 25.4 mm exactly.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Unit {
    /// Millimetre.
    #[default]
    Mm,
    /// Inch, 25.4 mm exactly.
    Inch,
}

impl Unit {
    /// Millimetres in one of this unit.
    #[must_use]
    pub const fn in_mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Inch => 25.4,
        }
    }

    /// The word printed at the head of a column.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Inch => "inch",
        }
    }
}

/// A number as it stands in a document, in the unit that the document declares beside it.
///
/// It is kept as written (never converted), so that an original observation stays what it
/// was; [`Figure::length`] is the only way out.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize, JsonSchema,
)]
#[serde(transparent)]
pub struct Figure(pub f64);

impl Figure {
    /// The length this figure stands for when it is read in `unit`.
    #[must_use]
    pub fn length(self, unit: Unit) -> Length {
        Length::of(self.0, unit)
    }
}
