//! How relations are written: numbers of features, limits, tolerances.

use super::typed::{ORIGIN, must_quote};
use super::{OnDrawing, Range, RelationLimits};
use crate::feature::{Modifier, SizeLimits};
use crate::notation::{Figures, size_text};
use crate::quantity::{Figure, Length};

/// The number of a feature as it is typed, in quotation marks where it could be taken for something
/// else.
pub(super) fn quoted(number: &str) -> String {
    if must_quote(number) {
        format!("\"{}\"", number.replace('"', "\"\""))
    } else {
        number.to_owned()
    }
}

/// The same, or the word for the origin of the frame.
pub(super) fn or_origin(number: Option<&String>) -> String {
    number.map_or_else(|| ORIGIN.to_owned(), |number| quoted(number))
}

/// A tolerance as it is typed.
pub(super) fn tolerance(figure: Figure, drawing: &dyn OnDrawing) -> String {
    let f = drawing.figures();
    let length = figure.length(f.unit);
    f.exact(length).plain(length)
}

/// A material condition as it is typed behind a tolerance.
pub(super) const fn behind(modifier: Modifier) -> &'static str {
    match modifier {
        Modifier::None => "",
        Modifier::Mmc => " M",
        Modifier::Lmc => " L",
    }
}

/// Limits of a relation as they are typed: `40.000 ±0.100`, `2.500 to 3.500`, `min 2.500`.
#[must_use]
pub fn relation_limits_text(limits: RelationLimits, figures: Figures) -> String {
    let exact = |length: Length| figures.exact(length).plain(length);
    match limits {
        RelationLimits::Within(SizeLimits::Limits { lower, upper }) => {
            let (lower, upper) = (lower.length(figures.unit), upper.length(figures.unit));
            let f = figures.exact(lower).exact(upper);
            format!("{} to {}", f.plain(lower), f.plain(upper))
        }
        RelationLimits::Within(limits) => size_text(limits, figures.unit, figures.decimals),
        RelationLimits::AtLeast(least) => format!("min {}", exact(least.length(figures.unit))),
        RelationLimits::AtMost(most) => format!("max {}", exact(most.length(figures.unit))),
    }
}

/// Limits as they are held against: `39.900 – 40.100`, `≥ 2.500`, `≤ 0.100`.
#[must_use]
pub fn range_text(range: Range, figures: Figures) -> String {
    let exact = |f: Figures, l: Option<Length>| l.map_or(f, |l| f.exact(l));
    let f = exact(exact(figures, range.lower), range.upper);
    match (range.lower, range.upper) {
        (Some(lower), Some(upper)) => format!("{} – {}", f.plain(lower), f.plain(upper)),
        (Some(lower), None) => format!("≥ {}", f.plain(lower)),
        (None, Some(upper)) => format!("≤ {}", f.plain(upper)),
        (None, None) => String::new(),
    }
}
