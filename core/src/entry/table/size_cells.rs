//! The limits of size of a row: in one cell, or a nominal size with its tolerances in others.

use super::Column;
use super::row::{Cells, count_before};
use crate::entry::{EntryError, number, refuse, size};
use crate::feature::SizeLimits;
use crate::quantity::{Figure, NOISE, Unit};

/// The limits; `None` where the row gives none.
pub(super) fn limits(cells: &Cells<'_>, unit: Unit) -> Result<Option<SizeLimits>, EntryError> {
    let bare = |column| cells.figure(column).map(|text| count_before(text).1);
    let given = |column: Column| -> Result<Option<Figure>, EntryError> {
        let Some(text) = cells.figure(column) else { return Ok(None) };
        let text = text.trim_start_matches(['±', ' ', '⌀', 'Ø', 'ø']);
        number(text, unit).map(Some).map_err(|e| EntryError(format!("{}: {e}", column.words())))
    };
    let either_way = given(Column::PlusMinus)?.map(|by| Figure(by.0.abs()));
    let plus = given(Column::Plus)?.or(either_way);
    // A minus column holds the amount, with or without its sign; a lower deviation is signed.
    let minus = match given(Column::Minus)? {
        Some(value) if cells.figure(Column::Minus).is_some_and(|t| t.starts_with('+')) => {
            Some(value)
        }
        Some(value) => Some(Figure(-value.0.abs())),
        None => given(Column::LowerDeviation)?.or(either_way.map(|by| Figure(-by.0))),
    };
    let (lower, upper) = (given(Column::Lower)?, given(Column::Upper)?);
    let beside = [plus, minus, lower, upper].iter().any(Option::is_some);
    // The size may be whole in itself, as in 10 H7: what stands beside it must say the same.
    if let Some(text) = bare(Column::Size) {
        let whole = size(text, unit);
        if !beside && cells.figure(Column::Nominal).is_none() {
            return whole.map(Some);
        }
        if let Ok(whole) = whole {
            let nominal = match (bare(Column::Nominal), whole) {
                (Some(text), _) => Some(number(text, unit)?),
                (
                    None,
                    SizeLimits::Deviations { nominal, .. } | SizeLimits::Class { nominal, .. },
                ) => Some(nominal),
                (None, SizeLimits::Limits { .. }) => None,
            };
            let other = match nominal {
                Some(nominal) if beside => {
                    around(nominal, [plus, minus, lower, upper], cells, unit)?
                }
                Some(_) => whole,
                None => between(lower, upper, unit)?,
            };
            let same = whole.limits(unit).zip(other.limits(unit)).is_some_and(|(a, b)| {
                (a.lower - b.lower).abs() <= NOISE && (a.upper - b.upper).abs() <= NOISE
            });
            return if same {
                Ok(Some(whole))
            } else {
                refuse("Its size and the limits in other columns contradict each other.")
            };
        }
    }
    let nominal = match (bare(Column::Size), bare(Column::Nominal)) {
        (Some(_), Some(_)) => {
            return refuse("It has a size and a nominal size: one of them is enough.");
        }
        (one, other) => one.or(other),
    };
    match nominal {
        Some(text) => {
            let text = text.trim_start_matches(['⌀', 'Ø', 'ø', ' ']);
            // A nominal size may come with its class or tolerance in the same cell.
            if !beside {
                return match size(text, unit) {
                    Ok(whole) => Ok(Some(whole)),
                    Err(_) => refuse("Its limits of size are incomplete."),
                };
            }
            around(number(text, unit)?, [plus, minus, lower, upper], cells, unit).map(Some)
        }
        None if lower.is_some() && upper.is_some() && plus.is_none() && minus.is_none() => {
            between(lower, upper, unit).map(Some)
        }
        None if beside => refuse("Its limits of size are incomplete."),
        None => Ok(None),
    }
}

/// Limits around a nominal size. A column headed `upper` or `lower` may hold the limit itself or the
/// deviation; its figure tells which, since a deviation is small beside the size.
fn around(
    nominal: Figure,
    [plus, minus, lower, upper]: [Option<Figure>; 4],
    cells: &Cells<'_>,
    unit: Unit,
) -> Result<SizeLimits, EntryError> {
    let half = 0.5 * nominal.0;
    let (by_upper, by_lower) = match (lower, upper) {
        (None, None) => (plus, minus),
        (Some(_), Some(_)) if plus.is_some() || minus.is_some() => {
            return refuse("It has limits and deviations: one of them is enough.");
        }
        (Some(l), Some(u)) if l.0 > half && u.0 > half => return between(lower, upper, unit),
        (Some(l), Some(u)) if l.0.abs() < half && u.0.abs() < half => {
            let signed =
                cells.figure(Column::Lower).is_some_and(|t| t.starts_with(['+', '-', '−', '–']));
            if !signed && l.0 != 0.0 {
                return refuse(
                    "Its lower tolerance needs its sign, as in -0.1 or +0.1; for amounts without a sign call the column “minus tolerance”.",
                );
            }
            (Some(u), Some(l))
        }
        (Some(_), Some(_)) => {
            return refuse(
                "Its upper and lower figures are neither limits nor deviations of its size.",
            );
        }
        (Some(l), None) if l.0.abs() < half && minus.is_none() => (plus, Some(l)),
        (None, Some(u)) if u.0.abs() < half && plus.is_none() => (Some(u), minus),
        _ => return refuse("Its limits of size are incomplete."),
    };
    let (Some(by_upper), Some(by_lower)) = (by_upper, by_lower) else {
        return refuse("Its limits of size are incomplete.");
    };
    above_zero(SizeLimits::Deviations { nominal, lower: by_lower, upper: by_upper }, unit)
}

/// Both limits themselves.
fn between(
    lower: Option<Figure>,
    upper: Option<Figure>,
    unit: Unit,
) -> Result<SizeLimits, EntryError> {
    match lower.zip(upper) {
        Some((lower, upper)) => above_zero(SizeLimits::Limits { lower, upper }, unit),
        None => refuse("Its limits of size are incomplete."),
    }
}

fn above_zero(size: SizeLimits, unit: Unit) -> Result<SizeLimits, EntryError> {
    if size.limits(unit).is_some() {
        Ok(size)
    } else {
        refuse("Its limits are the wrong way round or not above zero.")
    }
}
