//! Fractions of an inch, as older drawings and stock sizes have them: `1/4`, `1 1/2`, `3 5/16`.
//!
//! Halves, quarters and on to 128ths are exact as decimals; nothing else is read as a fraction.

use super::{EntryError, refuse};
use crate::quantity::Unit;
use std::ops::Range;

/// Signs that stand for a fraction in one character.
const SIGNS: [(char, &str); 7] = [
    ('½', "1/2"),
    ('¼', "1/4"),
    ('¾', "3/4"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
];

/// `text` with each of its fractions as a decimal: `1 1/2 ±1/64` as `1.5 ±0.015625`.
///
/// # Errors
/// A fraction where `unit` is not the inch.
pub(crate) fn without_fractions(text: &str, unit: Unit) -> Result<String, EntryError> {
    let mut spelled = String::with_capacity(text.len());
    for c in text.chars() {
        match SIGNS.iter().find(|(sign, _)| *sign == c) {
            Some((_, fraction)) => {
                if spelled.ends_with(|c: char| c.is_ascii_digit()) {
                    spelled.push(' ');
                }
                spelled.push_str(fraction);
            }
            None => spelled.push(if c == '⁄' { '/' } else { c }),
        }
    }
    let bytes = spelled.as_bytes();
    let mut out = String::with_capacity(spelled.len());
    let mut done = 0;
    for (at, _) in spelled.match_indices('/') {
        let Some((whole, value)) = around(bytes, at, done) else { continue };
        if unit != Unit::Inch {
            return refuse(format!(
                "“{}” reads as a fraction of an inch, and this is in {}. Write decimals.",
                &spelled[whole],
                unit.word()
            ));
        }
        out.push_str(&spelled[done..whole.start]);
        out.push_str(&value.to_string());
        done = whole.end;
    }
    out.push_str(&spelled[done..]);
    Ok(out)
}

/// The fraction with its bar at `at`, and its value; it begins at `from` at the earliest.
fn around(bytes: &[u8], at: usize, from: usize) -> Option<(Range<usize>, f64)> {
    let start = digits_before(bytes, at, from);
    let end = at + 1 + bytes[at + 1..].iter().take_while(|b| b.is_ascii_digit()).count();
    let decimal = |b: Option<&u8>| matches!(b, Some(b'.' | b','));
    let is_decimal = start.checked_sub(1).is_some_and(|i| decimal(bytes.get(i)))
        || decimal(bytes.get(end)) && bytes.get(end + 1).is_some_and(u8::is_ascii_digit);
    let (numerator, denominator) = (count(&bytes[start..at])?, count(&bytes[at + 1..end])?);
    let proper = numerator > 0 && numerator < denominator;
    if is_decimal || !proper || !denominator.is_power_of_two() || denominator > 128 {
        return None;
    }
    let fraction = f64::from(numerator) / f64::from(denominator);
    // A whole number before it, with a blank or a dash that clings to both.
    let blanks = bytes[from..start].iter().rev().take_while(|b| **b == b' ').count();
    let gap = match blanks {
        0 => usize::from(start > from && bytes[start - 1] == b'-'),
        _ => blanks,
    };
    let stop = start - gap;
    let first = digits_before(bytes, stop, from);
    let apart = first == from
        || matches!(bytes[first - 1], b' ' | b'+' | b'-' | b'(' | b'|')
        || !bytes[first - 1].is_ascii();
    match count(&bytes[first..stop]).filter(|_| gap > 0 && apart) {
        Some(whole) => Some((first..end, f64::from(whole) + fraction)),
        None => Some((start..end, fraction)),
    }
}

fn digits_before(bytes: &[u8], at: usize, from: usize) -> usize {
    at - bytes[from..at].iter().rev().take_while(|b| b.is_ascii_digit()).count()
}

/// A count of up to four digits.
fn count(digits: &[u8]) -> Option<u32> {
    let text = std::str::from_utf8(digits).ok().filter(|t| t.len() <= 4)?;
    text.parse().ok()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn fractions_of_an_inch_are_read_exactly() {
        for (text, decimal) in [
            ("1/4", "0.25"),
            ("1 1/2", "1.5"),
            ("3 5/16", "3.3125"),
            ("1-1/2", "1.5"),
            ("-1 1/2", "-1.5"),
            ("1½", "1.5"),
            ("1/64 M | A", "0.015625 M | A"),
            ("1 1/2 1 5/8", "1.5 1.625"),
            ("1 1/2-1 5/8", "1.5-1.625"),
            ("6 +1/16/-1/32", "6 +0.0625/-0.03125"),
            (".375 1/2", ".375 0.5"),
            ("⌀1 1/4 H7", "⌀1.25 H7"),
        ] {
            assert_eq!(without_fractions(text, Unit::Inch).unwrap(), decimal, "{text}");
        }
    }

    #[test]
    fn what_is_no_fraction_stays() {
        for text in
            [".378/.375", "6.6 +0.15/0", "6.6 0/+0.15", "12/10", "1/3", "0.2 | A / 0.05", "1/"]
        {
            for unit in [Unit::Inch, Unit::Mm] {
                assert_eq!(without_fractions(text, unit).unwrap(), text);
            }
        }
        let why = without_fractions("1 1/2", Unit::Mm).unwrap_err().0;
        assert!(why.contains("“1 1/2”") && why.contains("mm"), "{why}");
    }
}
