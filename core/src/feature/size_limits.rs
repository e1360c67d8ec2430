//! Limits of size: as the drawing writes them, and as lengths.

use super::{Kind, Modifier};
use crate::grade::{Class, deviations};
use crate::quantity::{Figure, Length, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Limits of size as the drawing writes them, kept in the form in which they were given.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum SizeLimits {
    /// Two limits: `.3750 .3780`.
    Limits {
        /// Lower limit of size.
        lower: Figure,
        /// Upper limit of size.
        upper: Figure,
    },
    /// A nominal size with two signed limit deviations: `6.6 +0.15/0`, `10 ±0.05`.
    Deviations {
        /// Nominal size.
        nominal: Figure,
        /// Lower limit deviation, signed.
        lower: Figure,
        /// Upper limit deviation, signed.
        upper: Figure,
    },
    /// A nominal size with a tolerance class of ISO 286: `10 H7`.
    Class {
        /// Nominal size.
        nominal: Figure,
        /// The class.
        class: Class,
    },
}

impl SizeLimits {
    /// The lower and the upper limit as lengths, whatever they are; `None` for a class that does not
    /// exist at that size.
    pub(crate) fn ends(self, unit: Unit) -> Option<(Length, Length)> {
        Some(match self {
            Self::Limits { lower, upper } => (lower.length(unit), upper.length(unit)),
            Self::Deviations { nominal, lower, upper } => {
                let n = nominal.length(unit);
                (n + lower.length(unit), n + upper.length(unit))
            }
            Self::Class { nominal, class } => {
                let n = nominal.length(unit);
                let d = deviations(to_the_table(n), class).ok()?;
                (n + Length::mm(d.lower), n + Length::mm(d.upper))
            }
        })
    }

    /// Its figures.
    pub(crate) fn figures(self) -> Vec<Figure> {
        match self {
            Self::Limits { lower, upper } => vec![lower, upper],
            Self::Deviations { nominal, lower, upper } => vec![nominal, lower, upper],
            Self::Class { nominal, .. } => vec![nominal],
        }
    }

    /// The same, to write them in another unit.
    pub(crate) fn figures_mut(&mut self) -> Vec<&mut Figure> {
        match self {
            Self::Limits { lower, upper } => vec![lower, upper],
            Self::Deviations { nominal, lower, upper } => vec![nominal, lower, upper],
            Self::Class { nominal, .. } => vec![nominal],
        }
    }

    /// As lengths. `None` if the lower limit is above the upper one or not positive, or the class
    /// does not exist at that size.
    #[must_use]
    pub fn limits(self, unit: Unit) -> Option<Limits> {
        let (lower, upper) = self.ends(unit)?;
        // Limits that are equal on the drawing may differ by the noise of their sum.
        (lower > Length::ZERO && lower.at_most(upper))
            .then(|| Limits { lower, upper: upper.max(lower) })
    }
}

/// A nominal size as the steps of the table have it: a millimetre that comes from inches must not
/// fall beyond the end of a step by the noise of its conversion.
fn to_the_table(nominal: Length) -> f64 {
    (nominal.to_mm() * 1e9).round() / 1e9
}

/// Limits of size as lengths, 0 < lower ≤ upper.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Limits {
    /// Smallest size allowed.
    pub lower: Length,
    /// Largest size allowed.
    pub upper: Length,
}

impl Limits {
    /// Middle between the limits: the size that an expected height is made with.
    #[must_use]
    pub fn middle(self) -> Length {
        (self.lower + self.upper) * 0.5
    }

    /// Upper minus lower limit.
    #[must_use]
    pub fn tolerance(self) -> Length {
        self.upper - self.lower
    }

    /// Distance of a size to the nearer limit, positive inside.
    #[must_use]
    pub fn margin(self, size: Length) -> Length {
        (self.upper - size).min(size - self.lower)
    }

    /// Whether a size is within the limits, these included.
    #[must_use]
    pub fn contain(self, size: Length) -> bool {
        size.at_least(self.lower) && size.at_most(self.upper)
    }

    /// The size with most material: the smallest hole, the largest boss
    /// (ASME Y14.5-2018, clause 3).
    #[must_use]
    pub const fn mmc(self, kind: Kind) -> Length {
        if kind.is_internal() { self.lower } else { self.upper }
    }

    /// The size with least material: the largest hole, the smallest boss
    /// (ASME Y14.5-2018, clause 3).
    #[must_use]
    pub const fn lmc(self, kind: Kind) -> Length {
        if kind.is_internal() { self.upper } else { self.lower }
    }

    /// The size from which the bonus counts, if the modifier gives one.
    #[must_use]
    pub const fn bonus_from(self, kind: Kind, modifier: Modifier) -> Option<Length> {
        match modifier {
            Modifier::None => None,
            Modifier::Mmc => Some(self.mmc(kind)),
            Modifier::Lmc => Some(self.lmc(kind)),
        }
    }
}
