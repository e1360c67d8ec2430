//! Position callouts typed as the drawing shows them: compartments between bars.
//!
//! `0.1 M | A | B(M) | C(M)`: one callout. `/` begins a lower segment of a composite callout, as
//! the drawing has it below: `0.2 M | A | B | C / 0.05 | A`. `;` begins another callout, for two
//! single segments or for another axis: `0.2 along x | A | B | C ; 0.1 along y | A | B | C`.
//! Behind the tolerance stand, where needed, the modifier, `along x` or `along y`, `separate`,
//! and `pattern` with a word.

use super::{EntryError, axis, datums, modifier, number, refuse};
use crate::job::{BOUNDS, Callout, DatumRef, Position, Segment};
use crate::quantity::{Axis, Figure, Unit};

/// Reads all callouts of a feature; none from an empty text.
///
/// # Errors
/// What is wrong, and in which compartment.
pub fn callouts(text: &str, unit: Unit) -> Result<Vec<Callout>, EntryError> {
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    let parts: Vec<&str> = text.split(';').map(str::trim).collect();
    if parts.len() > BOUNDS.callouts {
        return refuse(format!("A feature has {} callouts at most.", BOUNDS.callouts));
    }
    parts.into_iter().map(|part| callout(part, unit).map(Callout::Position)).collect()
}

fn callout(text: &str, unit: Unit) -> Result<Position, EntryError> {
    let mut segments = text.split('/');
    let upper = segment(segments.next().unwrap_or_default(), unit)?;
    let mut position = Position {
        tolerance: upper.tolerance,
        along: upper.along,
        modifier: match upper.modifier {
            Some(word) => modifier(&word)?,
            None => crate::job::Modifier::None,
        },
        datums: upper.datums,
        pattern: upper.pattern,
        separate: upper.separate,
        lower: Vec::new(),
    };
    for text in segments {
        let lower = segment(text, unit)?;
        if lower.along.is_some() || lower.separate || !lower.pattern.is_empty() {
            return refuse("Axis, pattern and “separate” are said in the upper segment.");
        }
        if let Some(word) = lower.modifier
            && modifier(&word)? != position.modifier
        {
            return refuse("All segments of a composite callout have the modifier of the first.");
        }
        position.lower.push(Segment { tolerance: lower.tolerance, datums: lower.datums });
    }
    if position.lower.len() > BOUNDS.callouts {
        return refuse(format!("A callout has {} lower segments at most.", BOUNDS.callouts));
    }
    Ok(position)
}

#[derive(Default)]
struct Typed {
    tolerance: Figure,
    modifier: Option<String>,
    along: Option<Axis>,
    pattern: String,
    separate: bool,
    datums: Vec<DatumRef>,
}

fn segment(text: &str, unit: Unit) -> Result<Typed, EntryError> {
    let (first, rest) = text.split_once('|').unwrap_or((text, ""));
    let mut typed = Typed { datums: datums(rest)?, ..Typed::default() };
    let bare = first.replace(['⌀', 'Ø', 'ø'], " ").replace("(", " (");
    let mut words = bare.split_whitespace();
    let Some(tolerance) = words.next() else {
        return refuse("A callout begins with its tolerance, as in 0.1 M | A | B | C.");
    };
    typed.tolerance = number(tolerance, unit)?;
    if typed.tolerance.0 < 0.0 {
        return refuse("A tolerance is not negative.");
    }
    if typed.tolerance.length(unit).to_mm() > BOUNDS.tolerance_mm {
        return refuse("No tolerance is that large. Look at the decimal point.");
    }
    while let Some(word) = words.next() {
        match word.to_lowercase().as_str() {
            "dia" | "dia." => {}
            "along" => typed.along = Some(axis(words.next().unwrap_or_default())?),
            "separate" | "sep" => typed.separate = true,
            "pattern" => {
                let name = words.next().unwrap_or_default();
                if name.is_empty() || name.chars().count() > BOUNDS.label_chars {
                    return refuse("“pattern” is followed by a short word that names it.");
                }
                name.clone_into(&mut typed.pattern);
            }
            _ if typed.modifier.is_none() => {
                modifier(word)?;
                typed.modifier = Some(word.to_owned());
            }
            _ => return refuse(format!("“{word}” has no place in a callout.")),
        }
    }
    Ok(typed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Modifier;

    fn one(text: &str) -> Position {
        let mut all = callouts(text, Unit::Mm).unwrap();
        assert_eq!(all.len(), 1, "{text}");
        let Callout::Position(p) = all.remove(0);
        p
    }

    #[test]
    fn a_callout_as_the_drawing_has_it() {
        let p = one("⌀0.1 M | A | B(M) | C(M)");
        assert_eq!((p.tolerance, p.modifier), (Figure(0.1), Modifier::Mmc));
        assert_eq!(p.datums, DatumRef::all(&["A", "B(M)", "C(M)"]));
        assert_eq!(one("0.1(M)|A|BⓂ|CⓂ"), p);
    }

    #[test]
    fn composite_callouts_single_segments_and_axes() {
        let p = one("0.2 M | A | B | C / 0.05 M | A");
        assert_eq!(p.lower, [Segment { tolerance: Figure(0.05), datums: DatumRef::all(&["A"]) }]);
        let two = callouts("0.2 along x | A | B | C ; 0.1 along y | A | B | C", Unit::Mm).unwrap();
        let along: Vec<_> = two.iter().map(|Callout::Position(p)| p.along).collect();
        assert_eq!(along, [Some(Axis::X), Some(Axis::Y)]);
        let p = one("0 M separate pattern P1 | A");
        assert!(p.separate && p.pattern == "P1" && p.tolerance == Figure(0.0));
    }

    #[test]
    fn what_makes_no_sense_is_refused() {
        for text in [
            "M | A",
            "0.1 | A | B | C | D",
            "0.1 M L | A",
            "-0.1 | A",
            "0.2 M | A / 0.1 L | A",
            "0.1 along",
            "0.1 | A(X)",
            "0.1 ;",
            "5000 | A",
        ] {
            assert!(callouts(text, Unit::Mm).is_err(), "{text}");
        }
        assert_eq!(callouts("  ", Unit::Mm), Ok(Vec::new()));
    }
}
