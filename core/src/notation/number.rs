//! One number as it is typed.

use super::{BOUNDS, EntryError, refuse, without_fractions};
use crate::quantity::{Figure, Unit};

/// Reads a number in `unit`: `.75`, `-0,75`, `+3.2500`, `−.5`, `12.7 mm`; in inches also a fraction
/// as in `1 1/2`.
///
/// # Errors
/// Anything else: two separators, letters, a unit other than `unit`, or a value beyond
/// [`BOUNDS`].
pub fn number(text: &str, unit: Unit) -> Result<Figure, EntryError> {
    let bare = without_unit(text.trim(), unit)?;
    let example = match unit {
        Unit::Inch => "-.5625",
        Unit::Mm => "-14.25",
    };
    let value = like(&without_fractions(bare, unit)?, example)?;
    if Figure(value).length(unit).to_mm().abs() > BOUNDS.length_mm {
        return refuse(format!("{} is beyond what can be measured here.", text.trim()));
    }
    Ok(Figure(value))
}

/// Reads several numbers with white space or semicolons between them, repeats of one touch:
/// `12.345 12.346`, `.5; .501`. Nothing typed is no number.
///
/// # Errors
/// As [`number`], or more than [`BOUNDS`] allows of one touch.
pub fn numbers(text: &str, unit: Unit) -> Result<Vec<Figure>, EntryError> {
    let words = text.split(|c: char| c.is_whitespace() || c == ';').filter(|w| !w.is_empty());
    let list: Vec<Figure> = words
        .map(|word| match word.contains(['/', '⁄']) {
            // What stands before a fraction would be a reading of its own.
            true => refuse(format!("“{word}” is a fraction: write readings as decimals.")),
            false => number(word.strip_suffix(',').unwrap_or(word), unit),
        })
        .collect::<Result<_, _>>()?;
    if list.len() > BOUNDS.repeats {
        return refuse(format!("More than {} readings of one touch are not kept.", BOUNDS.repeats));
    }
    Ok(list)
}

/// A number without a unit.
pub(crate) fn plain(text: &str) -> Result<f64, EntryError> {
    like(text, "20.5")
}

/// The same; `example` is what one would be like.
fn like(text: &str, example: &str) -> Result<f64, EntryError> {
    let text = text.trim();
    if text.is_empty() {
        return refuse("A number is missing.");
    }
    let unreadable = || EntryError(format!("“{text}” is not a number. Write it like {example}."));
    let mut ascii = String::with_capacity(text.len());
    let mut separators = 0;
    for (i, c) in text.chars().enumerate() {
        match c {
            '0'..='9' => ascii.push(c),
            '.' | ',' => {
                separators += 1;
                ascii.push('.');
            }
            '-' | '−' | '–' if i == 0 => ascii.push('-'),
            '+' if i == 0 => {}
            _ => return Err(unreadable()),
        }
    }
    if separators > 1 {
        return refuse(format!(
            "“{text}” has more than one decimal mark. Write numbers without a thousands mark."
        ));
    }
    let digits = ascii.bytes().filter(u8::is_ascii_digit).count();
    if digits == 0 || digits > 15 {
        return Err(unreadable());
    }
    ascii.parse::<f64>().ok().filter(|v| v.is_finite()).ok_or_else(unreadable)
}

fn without_unit(text: &str, unit: Unit) -> Result<&str, EntryError> {
    let endings = [
        ("mm", Unit::Mm),
        ("MM", Unit::Mm),
        ("inches", Unit::Inch),
        ("inch", Unit::Inch),
        ("in", Unit::Inch),
        ("IN", Unit::Inch),
        ("\"", Unit::Inch),
        ("″", Unit::Inch),
    ];
    for (ending, of) in endings {
        if let Some(rest) = text.strip_suffix(ending) {
            if of == unit {
                return Ok(rest.trim_end());
            }
            return refuse(format!(
                "“{text}” is in {}, and this field is in {}. Convert it, or change the unit first.",
                of.word(),
                unit.word()
            ));
        }
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_people_type_them() {
        for (text, value) in [
            (".75", 0.75),
            ("0,75", 0.75),
            ("-0.56055", -0.56055),
            ("−.5", -0.5),
            ("+3.2500", 3.25),
            (" 12 ", 12.0),
            ("1.", 1.0),
            ("12.7 mm", 12.7),
        ] {
            assert_eq!(number(text, Unit::Mm), Ok(Figure(value)), "{text}");
        }
    }

    #[test]
    fn repeats_stand_beside_each_other() {
        let all = |text| numbers(text, Unit::Mm);
        assert_eq!(
            all("12,345 12.346;  −.5"),
            Ok(vec![Figure(12.345), Figure(12.346), Figure(-0.5)])
        );
        assert_eq!(all("1.5, 1.6"), Ok(vec![Figure(1.5), Figure(1.6)]));
        assert_eq!(all("  "), Ok(vec![]));
        assert!(all("1.5 x").is_err());
        assert!(all(&"1 ".repeat(101)).is_err_and(|e| e.to_string().contains("100 readings")));
    }

    #[test]
    fn what_is_no_number_is_refused_with_a_sentence() {
        for text in [
            "", ".", "-", "1.2.3", "1,000.5", "abc", "1e3", "5 in", "--1", "1-", "NaN", "inf",
            "99999999",
        ] {
            let error = number(text, Unit::Mm).expect_err(text);
            assert!(error.to_string().ends_with('.'), "{text}: {error}");
        }
    }
}
