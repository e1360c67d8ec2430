//! Position callouts typed as the drawing shows them: compartments between bars.
//!
//! `0.1 M | A | B(M) | C(M)`: one callout. `/` begins a lower segment of a composite callout, as
//! the drawing has it below: `0.2 M | A | B | C / 0.05 | A`. `;` begins another callout, for two
//! single segments or for another axis: `0.2 along x | A | B | C ; 0.1 along y | A | B | C`.
//! Behind the tolerance stand, where needed, the modifier, `along x` or `along y`, `pattern` with a
//! word, and what is judged together: `SEP REQT`, `CZ`, `SIM REQT`, `SIM 2` ([`super::together`]),
//! of which `SEP REQT` and `SIM` may stand behind the datums as well, as they do on a drawing.
//!
//! Bars may be left out where each datum stands by itself: `0.1 M A B C`. Before the tolerance may
//! stand how many features it is for, `4X`, and the symbol of position or its word. So all that this
//! program prints of a callout can be typed.

use super::symbols::{lower_segment, plain_symbols, without_beginning};
use super::together::{self, Marks};
use super::{EntryError, axis, datums, modifier, number, refuse};
use crate::job::{BOUNDS, Callout, DatumRef, Position, Segment, Together};
use crate::notation::without_fractions;
use crate::quantity::{Axis, Figure, Unit};

/// A whole callout as it is typed in `unit`.
#[must_use]
pub const fn callout_example(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => ".010 M | A | B | C",
        Unit::Mm => "0.1 M | A | B | C",
    }
}

/// Reads all callouts of a feature; none from an empty text.
///
/// # Errors
/// What is wrong, and in which compartment.
pub fn callouts(text: &str, unit: Unit) -> Result<Vec<Callout>, EntryError> {
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    let plain = without_fractions(&plain_symbols(text), unit)?;
    // A lower segment that stands behind a semicolon says so itself.
    let mut parts: Vec<Vec<&str>> = Vec::new();
    for part in plain.split(';') {
        match parts.last_mut().filter(|_| lower_segment(part).is_some()) {
            Some(callout) => callout.extend(part.split('/')),
            None => parts.push(part.split('/').collect()),
        }
    }
    if parts.len() > BOUNDS.callouts {
        return refuse(format!("A feature has {} callouts at most.", BOUNDS.callouts));
    }
    parts.into_iter().map(|part| callout(&part, unit).map(Callout::Position)).collect()
}

fn callout(segments: &[&str], unit: Unit) -> Result<Position, EntryError> {
    let (upper, below) = segments.split_first().map_or(("", segments), |(u, b)| (*u, b));
    let upper = segment(upper, unit)?;
    let mut position = Position {
        tolerance: upper.tolerance,
        along: upper.along,
        modifier: match upper.modifier {
            Some(word) => modifier(&word)?,
            None => crate::job::Modifier::None,
        },
        datums: upper.datums,
        pattern: upper.pattern,
        together: upper.together,
        lower: Vec::new(),
    };
    for text in below {
        let lower = segment(lower_segment(text).unwrap_or(text), unit)?;
        if lower.along.is_some_and(|axis| Some(axis) != position.along) || !lower.pattern.is_empty()
        {
            return refuse("Axis and pattern are said in the upper segment.");
        }
        if let Some(word) = lower.modifier
            && modifier(&word)? != position.modifier
        {
            return refuse("All segments of a composite callout have the modifier of the first.");
        }
        position.lower.push(Segment {
            tolerance: lower.tolerance,
            datums: lower.datums,
            together: lower.together,
        });
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
    together: Together,
    datums: Vec<DatumRef>,
}

fn segment(text: &str, unit: Unit) -> Result<Typed, EntryError> {
    let (tolerance, rest) = tolerance(without_beginning(text), unit)?;
    let mut typed = Typed { tolerance, ..Typed::default() };
    let mut marks = Marks::default();
    let (first, behind) = match rest.split_once('|') {
        Some((first, behind)) => (first, Some(behind)),
        None => (rest, None),
    };
    let bare = first.replace('⌀', " ").replace('(', " (");
    let mut words = bare.split_whitespace().peekable();
    let mut loose: Vec<&str> = Vec::new();
    while let Some(word) = words.next() {
        if marks.take(word, &mut words)? {
            continue;
        }
        match word.to_lowercase().as_str() {
            "dia" | "dia." | "diameter" | "wide" => {}
            "along" => typed.along = Some(axis(words.next().unwrap_or_default())?),
            "pattern" => {
                let name = words.next().unwrap_or_default();
                if name.is_empty() || name.chars().count() > BOUNDS.label_chars {
                    return refuse("“pattern” is followed by a short word that names it.");
                }
                name.clone_into(&mut typed.pattern);
            }
            _ if typed.modifier.is_none() && modifier(word).is_ok() => {
                typed.modifier = Some(word.to_owned());
            }
            // Without a bar the datums follow.
            _ if behind.is_none() && !word.starts_with('(') => {
                loose.push(word);
                loose.extend(words.by_ref());
            }
            _ => return refuse(format!("“{word}” has no place in a callout.")),
        }
    }
    let behind = match behind {
        Some(behind) => behind.to_owned(),
        None => loose.join(" "),
    };
    let (rest, behind) = together::behind(&behind);
    if let Some(first) = loose.first() {
        if matches!(first.to_uppercase().as_str(), "M" | "L") {
            return refuse(format!(
                "“{first}” may be a modifier or a datum here. Write the datums between bars, as in {}.",
                callout_example(unit)
            ));
        }
        each_by_itself(&rest, unit)?;
    }
    typed.datums = datums(&rest)?;
    let mut words = behind.split_whitespace().peekable();
    while let Some(word) = words.next() {
        if !marks.take(word, &mut words)? {
            return refuse(format!("“{word}” has no place behind the datums."));
        }
    }
    typed.together = marks.found();
    Ok(typed)
}

/// The tolerance that a segment begins with, and what follows.
fn tolerance(text: &str, unit: Unit) -> Result<(Figure, &str), EntryError> {
    let text = text.trim_start_matches(['⌀', ' ']);
    let word = text.get(..text.find([' ', '|', '(', '⌀']).unwrap_or(text.len())).unwrap_or(text);
    let figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−' | '–');
    let end = word.find(|c| !figure(c)).unwrap_or(word.len());
    if end == 0 {
        return refuse(format!(
            "A callout begins with its tolerance, as in {}.",
            callout_example(unit)
        ));
    }
    // The modifier may cling to the figure, and a unit may stand beside it.
    let clings = matches!(
        word[end..].to_uppercase().as_str(),
        "" | "M" | "L" | "S" | "MMC" | "LMC" | "RFS" | "DIA" | "DIA."
    );
    let end = if clings { end } else { word.len() };
    let mut read = text[..end].to_owned();
    let mut rest = &text[end..];
    for of in ["mm", "inch", "in"] {
        let after = rest.trim_start();
        let beside = after.get(..of.len()).filter(|w| w.eq_ignore_ascii_case(of));
        let ends = |s: &str| !s.starts_with(char::is_alphanumeric);
        if let Some(after) = beside.and(after.get(of.len()..)).filter(|after| ends(after)) {
            read.push_str(of);
            rest = after;
            break;
        }
    }
    let tolerance = number(&read, unit)?;
    if tolerance.0 < 0.0 {
        return refuse("A tolerance is not negative.");
    }
    if tolerance.length(unit).to_mm() > BOUNDS.tolerance_mm {
        return refuse("No tolerance is that large. Look at the decimal point.");
    }
    Ok((tolerance, rest))
}

/// Without bars a word is a datum only where it cannot be anything else: one letter, or one doubled.
fn each_by_itself(text: &str, unit: Unit) -> Result<(), EntryError> {
    for word in text.split([' ', ',']) {
        let letters: Vec<char> =
            word.chars().take_while(|c| !matches!(c, '(' | '▷' | '>')).collect();
        let apart = match letters.as_slice() {
            [] | [_] => true,
            [a, b] => a == b,
            _ => word.contains(['-', '–']),
        };
        if !apart {
            return refuse(format!(
                "“{word}” has no place in a callout. Datums stand apart from each other, as in {}.",
                callout_example(unit)
            ));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Modifier;
    use std::num::NonZeroU8;

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
        let closer = Segment {
            tolerance: Figure(0.05),
            datums: DatumRef::all(&["A"]),
            together: Together::Default,
        };
        assert_eq!(p.lower, [closer]);
        let two = callouts("0.2 along x | A | B | C ; 0.1 along y | A | B | C", Unit::Mm).unwrap();
        let along: Vec<_> = two.iter().map(|Callout::Position(p)| p.along).collect();
        assert_eq!(along, [Some(Axis::X), Some(Axis::Y)]);
        let p = one("0 M separate pattern P1 | A");
        assert_eq!((p.together, p.tolerance), (Together::Separate, Figure(0.0)));
        assert_eq!(p.pattern, "P1");
    }

    #[test]
    fn what_is_judged_together_is_typed_as_the_drawing_has_it() {
        for (text, expected) in [
            ("0.1 M | A | B | C", Together::Default),
            ("0.1 M sep reqt | A | B | C", Together::Separate),
            ("0.1 M | A | B | C SEP REQT", Together::Separate),
            ("0.1 M SZ | A | B | C", Together::Separate),
            ("0.1 CZ M | A | B | C", Together::Combined),
            ("0.1 M | A | B | C SIM REQT", Together::Simultaneous(None)),
            ("0.1 M SIM | A B C", Together::Simultaneous(None)),
            ("0.1 M CZ SIM2 | A B C", Together::Simultaneous(NonZeroU8::new(2))),
            ("0.1 M CZ | A B C SIM 2", Together::Simultaneous(NonZeroU8::new(2))),
            ("0.1 M | A | B | C sim reqt 12", Together::Simultaneous(NonZeroU8::new(12))),
        ] {
            let p = one(text);
            assert_eq!((p.together, p.modifier == Modifier::Mmc), (expected, true), "{text}");
            assert_eq!(p.datums, DatumRef::all(&["A", "B", "C"]), "{text}");
        }
        let p = one("0.2 CZ | A | B / 0.05 CZ | A / 0.02 | A SIM REQT");
        let lower: Vec<_> = p.lower.iter().map(|s| s.together).collect();
        assert_eq!(p.together, Together::Combined);
        assert_eq!(lower, [Together::Combined, Together::Simultaneous(None)]);
        // A datum may be called CZ, as one after Z.
        assert_eq!(one("0.2 | A | CZ").datums, DatumRef::all(&["A", "CZ"]));
    }

    #[test]
    fn the_translation_modifier_is_typed_in_several_ways() {
        for text in
            ["0.1 | A | B(M) | C▷", "0.1 | A | B(M) | C>", "0.1 | A B(M) C (T)", "0.1 | AB(M)C>"]
        {
            assert_eq!(one(text).datums, DatumRef::all(&["A", "B(M)", "C▷"]), "{text}");
        }
        assert_eq!(one("0.1 | A | C(M)▷ SEP REQT").datums, DatumRef::all(&["A", "C(M)▷"]));
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
            "0.1 CZ SEP REQT | A",
            "0.1 CZ CZ | A",
            "0.1 SIM 0 | A",
            "0.1 SIM 300 | A",
            "0.1 | A SIM M",
            "0.1 | > | A",
        ] {
            assert!(callouts(text, Unit::Mm).is_err(), "{text}");
        }
        assert_eq!(callouts("  ", Unit::Mm), Ok(Vec::new()));
    }
}
