//! Finds the value in a line of an instrument.

use super::{DecimalMark, LineRule, RawLine};
use crate::quantity::Unit;

/// A value that an instrument sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineValue {
    /// The number as one would type it: sign if negative, a point, the decimals as they were sent.
    pub text: String,
    /// The unit that stood beside it, or that the rule says.
    pub unit: Option<Unit>,
}

/// Why a line is no value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LineFault {
    /// Bytes that no instrument sends in a value: noise on the line, or the settings differ. `high`: the
    /// eighth bit is set, as when a line with 7 data bits and parity is read with 8 and none.
    Damaged {
        /// Whether the eighth bit is set.
        high: bool,
    },
    /// Its end did not come, so digits may be missing.
    Unfinished,
    /// What stands beside the number is not known by the rule: an error message, or a channel that the
    /// user has to confirm.
    Unknown {
        /// The words.
        words: Vec<String>,
    },
    /// Several numbers, and the rule does not say which is the value.
    Several {
        /// They, as they would be read.
        numbers: Vec<String>,
    },
    /// The rule asks for another number than there are.
    Fewer {
        /// Which it asks for, from 1.
        asked: usize,
        /// How many there are.
        there: usize,
    },
    /// There is no number.
    NoNumber,
    /// Something like a number that is none: two signs, two points, digits and letters in one.
    NotANumber {
        /// What stands there.
        text: String,
    },
}

/// Longest number that is taken, in digits: no gauge has more.
const MOST_DIGITS: usize = 15;

/// Reads a line by a rule.
///
/// # Errors
/// Why the line is no value. Nothing in a line is passed over: every character belongs to the number,
/// to its unit, to a word that the rule knows, or parts these from each other.
pub fn read_line(line: &RawLine, rule: &LineRule) -> Result<LineValue, LineFault> {
    // Some instruments put a line between start and end of text.
    let bytes = line.bytes.strip_prefix(&[0x02]).unwrap_or(&line.bytes);
    let bytes = bytes.strip_suffix(&[0x03]).unwrap_or(bytes);
    if let Some(byte) = bytes.iter().find(|b| !matches!(**b, b'\t' | b' '..=b'~')) {
        return Err(LineFault::Damaged { high: *byte >= 0x80 });
    }
    if !line.whole {
        return Err(LineFault::Unfinished);
    }
    // All of it is ASCII by now.
    let text = String::from_utf8_lossy(bytes);
    let found = tokens(&text, decimal_is_comma(&text, rule.decimal))?;
    let mut unknown = Vec::new();
    let mut numbers: Vec<(String, Option<Unit>)> = Vec::new();
    for token in found {
        match token {
            Token::Number(number) => numbers.push((number, None)),
            Token::Word(word) => match unit(&word) {
                // A unit stands behind its number.
                Some(unit) if numbers.last().is_some_and(|n| n.1.is_none()) => {
                    if let Some(last) = numbers.last_mut() {
                        last.1 = Some(unit);
                    }
                }
                _ if rule.knows(&word) => {}
                _ => unknown.push(word),
            },
        }
    }
    if !unknown.is_empty() {
        return Err(LineFault::Unknown { words: unknown });
    }
    let there = numbers.len();
    let chosen = match (rule.number, there) {
        (_, 0) => return Err(LineFault::NoNumber),
        (None, 1) => numbers.into_iter().next(),
        (None, _) => {
            return Err(LineFault::Several { numbers: numbers.into_iter().map(|n| n.0).collect() });
        }
        (Some(asked), _) => numbers.into_iter().nth(asked.saturating_sub(1)),
    };
    let Some((text, own)) = chosen else {
        return Err(LineFault::Fewer { asked: rule.number.unwrap_or(1), there });
    };
    Ok(LineValue { text, unit: own.or(rule.unit) })
}

enum Token {
    Number(String),
    Word(String),
}

fn decimal_is_comma(text: &str, mark: DecimalMark) -> bool {
    match mark {
        DecimalMark::Point => false,
        DecimalMark::Comma => true,
        DecimalMark::Either => !text.contains('.'),
    }
}

fn unit(word: &str) -> Option<Unit> {
    match word.to_ascii_lowercase().as_str() {
        "mm" => Some(Unit::Mm),
        "in" | "inch" | "\"" => Some(Unit::Inch),
        _ => None,
    }
}

/// Numbers and words, in their order.
fn tokens(text: &str, comma: bool) -> Result<Vec<Token>, LineFault> {
    let mark = if comma { ',' } else { '.' };
    let chars: Vec<char> = text.chars().collect();
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(&c) = chars.get(at) {
        let next = chars.get(at + 1).copied();
        if matches!(c, ' ' | '\t' | ';' | ':' | '=') || (c == ',' && !comma) {
            at += 1;
        } else if c == '"' {
            found.push(Token::Word("\"".to_owned()));
            at += 1;
        } else if matches!(c, '+' | '-') || c.is_ascii_digit() || c == mark {
            let end = run(&chars, at, mark);
            let token = number_or_word(&chars[at..end], mark, &mut found)?;
            found.push(token);
            at = end;
        } else if c.is_ascii_alphabetic() {
            let mut end = at;
            while chars.get(end).is_some_and(char::is_ascii_alphanumeric) {
                end += 1;
            }
            // `A12.345`: where the word ends and the number begins cannot be told, and of `A.345` digits
            // may be missing.
            let word: String = chars[at..end].iter().collect();
            if chars.get(end) == Some(&mark) {
                return Err(LineFault::NotANumber { text: word });
            }
            found.push(Token::Word(word));
            at = end;
        } else {
            // A point where the decimal mark is a comma, or a character that no value has.
            let text: String = [Some(c), next].into_iter().flatten().collect();
            return Err(LineFault::NotANumber { text });
        }
    }
    Ok(found)
}

/// Where the run of what may be one number ends: signs, blanks behind them, digits, marks, letters that
/// stand at it.
fn run(chars: &[char], from: usize, mark: char) -> usize {
    let mut at = from;
    while matches!(chars.get(at), Some('+' | '-')) {
        at += 1;
        while matches!(chars.get(at), Some(' ')) {
            at += 1;
        }
    }
    while chars.get(at).is_some_and(|c| c.is_ascii_alphanumeric() || *c == mark) {
        at += 1;
    }
    at
}

/// A number, perhaps with its unit at it, which is put behind it by the caller's list; or digits and
/// letters that are a word, as the channel in `01A+12.345`.
fn number_or_word(run: &[char], mark: char, found: &mut Vec<Token>) -> Result<Token, LineFault> {
    let whole: String = run.iter().collect();
    let none = || LineFault::NotANumber { text: whole.trim().to_owned() };
    let signs: Vec<char> = run.iter().copied().filter(|c| matches!(c, '+' | '-')).collect();
    let body: String = run.iter().filter(|c| !matches!(c, '+' | '-' | ' ')).collect();
    let letters = body.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(body.len());
    let (figures, tail) = body.split_at(letters);
    if !tail.is_empty() && unit(tail).is_none() {
        // A channel has neither a sign nor a decimal mark.
        return if signs.is_empty() && !body.contains(mark) {
            Ok(Token::Word(body))
        } else {
            Err(none())
        };
    }
    let (whole_part, decimals) = figures.split_once(mark).unwrap_or((figures, ""));
    let digits = |s: &str| s.chars().all(|c| c.is_ascii_digit());
    let count = whole_part.len() + decimals.len();
    if signs.len() > 1
        || count == 0
        || !digits(whole_part)
        || !digits(decimals)
        || count > MOST_DIGITS
    {
        return Err(none());
    }
    let whole_part = whole_part.trim_start_matches('0');
    let mut text = String::new();
    if signs.first() == Some(&'-') {
        text.push('-');
    }
    text.push_str(if whole_part.is_empty() { "0" } else { whole_part });
    if !decimals.is_empty() {
        text.push('.');
        text.push_str(decimals);
    }
    if tail.is_empty() {
        return Ok(Token::Number(text));
    }
    found.push(Token::Number(text));
    Ok(Token::Word(tail.to_owned()))
}

#[cfg(test)]
mod tests;
