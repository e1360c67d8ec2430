//! Reading a tolerance class as it is written on drawings.

use super::{Class, Grade, Letter, Surface};
use std::fmt;

/// Why a text is not a tolerance class. Each carries the text that was not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ParseError {
    /// Nothing there.
    Empty,
    /// What stands before the letters is not a positive number.
    Nominal(String),
    /// The letters are none of the standard's.
    Letters(String),
    /// Capitals and small letters mixed: inner or outer?
    Mixed(String),
    /// The letters are not followed by a grade 01, 0, 1 to 18.
    Grade(String),
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ParseError::Empty => f.write_str("A tolerance class is missing. Write for example H7."),
            ParseError::Nominal(t) => {
                write!(f, "“{t}” is not a nominal size in mm. Write for example 10 H7.")
            }
            ParseError::Letters(t) => write!(
                f,
                "“{t}” is not a letter of ISO 286. Inner features have A to ZC, outer ones a to zc, \
                 without I, L, O, Q, W."
            ),
            ParseError::Mixed(t) => write!(
                f,
                "“{t}” mixes capitals and small letters. Write {} for an inner feature, {} for an \
                 outer one.",
                t.to_ascii_uppercase(),
                t.to_ascii_lowercase()
            ),
            ParseError::Grade(t) => {
                write!(f, "“{t}” is not a tolerance grade. Grades are 01, 0 and 1 to 18, as in H7.")
            }
        }
    }
}

impl std::error::Error for ParseError {}

/// Reads `10 H7`, `H7`, `25g6`, `⌀12,5 JS9` or `js 12`: a nominal size in mm where one is given, and the
/// class. Decimal point or comma; a diameter sign and spaces are passed over.
///
/// # Errors
/// [`ParseError`], with the part of the text that was not understood.
///
/// ```
/// # use quarterturn_core::grade::parse;
/// let (nominal, class) = parse("10 H7")?;
/// assert_eq!((nominal, class.to_string()), (Some(10.0), "H7".to_owned()));
/// # Ok::<(), quarterturn_core::grade::ParseError>(())
/// ```
pub fn parse(text: &str) -> Result<(Option<f64>, Class), ParseError> {
    let text = text.trim().trim_start_matches(['⌀', 'Ø', 'ø', 'Φ']).trim_start();
    if text.is_empty() {
        return Err(ParseError::Empty);
    }
    let letters = text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len());
    let (size, rest) = text.split_at(letters);
    let size = size.trim();
    let nominal = if size.is_empty() { None } else { Some(nominal(size)?) };
    Ok((nominal, class(rest)?))
}

fn nominal(text: &str) -> Result<f64, ParseError> {
    let wrong = || ParseError::Nominal(text.to_owned());
    // Digits with at most one mark among them: no sign, no exponent, no grouping.
    let plain = text.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',')
        && text.chars().filter(|c| !c.is_ascii_digit()).count() <= 1;
    if !plain {
        return Err(wrong());
    }
    let value: f64 = text.replace(',', ".").parse().map_err(|_| wrong())?;
    if value.is_finite() && value > 0.0 { Ok(value) } else { Err(wrong()) }
}

/// Reads letters and grade, nothing before them.
pub(super) fn class(text: &str) -> Result<Class, ParseError> {
    if text.is_empty() {
        return Err(ParseError::Empty);
    }
    let end = text.find(|c: char| !c.is_alphabetic()).unwrap_or(text.len());
    let (letters, grade) = text.split_at(end);
    let letter = Letter::ALL
        .into_iter()
        .find(|l| l.small().eq_ignore_ascii_case(letters))
        .ok_or_else(|| ParseError::Letters(letters.to_owned()))?;
    let surface = if letters.chars().all(|c| c.is_ascii_uppercase()) {
        Surface::Inner
    } else if letters.chars().all(|c| c.is_ascii_lowercase()) {
        Surface::Outer
    } else {
        return Err(ParseError::Mixed(letters.to_owned()));
    };
    let grade = grade.trim();
    let grade = Grade::written(grade).ok_or_else(|| ParseError::Grade(grade.to_owned()))?;
    Ok(Class { letter, surface, grade })
}
