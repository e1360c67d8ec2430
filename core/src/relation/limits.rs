//! Limits of a figure, as the drawing writes them and as lengths.

use super::Reason;
use crate::feature::SizeLimits;
use crate::quantity::{Figure, Length, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Limits of a relation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RelationLimits {
    /// Two limits, or a nominal value with its limit deviations. Zero and below is allowed: a step
    /// of 0 ± 0.05.
    Within(SizeLimits),
    /// A least value alone.
    AtLeast(Figure),
    /// A greatest value alone.
    AtMost(Figure),
}

impl RelationLimits {
    /// As lengths; `None` if the lower limit is above the upper one.
    #[must_use]
    pub fn range(self, unit: Unit) -> Option<Range> {
        match self {
            Self::Within(limits) => {
                let (lower, upper) = limits.ends(unit)?;
                // Limits that are equal on the drawing may differ by the noise of their sum.
                lower
                    .at_most(upper)
                    .then(|| Range { lower: Some(lower), upper: Some(upper.max(lower)) })
            }
            Self::AtLeast(least) => Some(Range { lower: Some(least.length(unit)), upper: None }),
            Self::AtMost(most) => Some(Range { lower: None, upper: Some(most.length(unit)) }),
        }
    }

    /// Returns the same, or the reason why they allow nothing.
    pub(super) fn allowed(self, unit: Unit) -> Result<Range, Reason> {
        self.range(unit).ok_or(Reason::Limits)
    }

    /// Its figures.
    #[must_use]
    pub fn figures(self) -> Vec<Figure> {
        match self {
            Self::Within(limits) => limits.figures(),
            Self::AtLeast(figure) | Self::AtMost(figure) => vec![figure],
        }
    }

    pub(super) fn figures_mut(&mut self) -> Vec<&mut Figure> {
        match self {
            Self::Within(limits) => limits.figures_mut(),
            Self::AtLeast(figure) | Self::AtMost(figure) => vec![figure],
        }
    }
}

/// Returns the width of a zone as a length, or the reason why nothing can be held to it.
pub(super) fn zone_width(tolerance: Figure, unit: Unit) -> Result<Length, Reason> {
    let width = tolerance.length(unit);
    if width > Length::ZERO { Ok(width) } else { Err(Reason::Tolerance) }
}

/// Limits as lengths, of which one may be absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Range {
    /// Smallest value allowed.
    pub lower: Option<Length>,
    /// Largest value allowed.
    pub upper: Option<Length>,
}

impl Range {
    /// At most `upper`.
    #[must_use]
    pub const fn up_to(upper: Length) -> Self {
        Self { lower: None, upper: Some(upper) }
    }

    /// Distance of `value` to the nearer limit, positive inside; `None` without limits.
    #[must_use]
    pub fn margin(self, value: Length) -> Option<Length> {
        let below = self.lower.map(|lower| value - lower);
        let above = self.upper.map(|upper| upper - value);
        below.into_iter().chain(above).reduce(Length::min)
    }

    /// The limit that is nearer to `value`.
    #[must_use]
    pub fn nearer(self, value: Length) -> Option<Length> {
        match (self.lower, self.upper) {
            (Some(lower), Some(upper)) if upper - value < value - lower => Some(upper),
            (Some(lower), _) => Some(lower),
            (None, upper) => upper,
        }
    }
}
