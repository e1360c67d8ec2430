//! What is judged together, as it is typed in a callout: `SEP REQT`, `CZ`, `SIM REQT`, `SIM 2`.

use super::{EntryError, refuse};
use crate::job::Together;
use std::iter::Peekable;
use std::num::NonZeroU8;

/// The marks of one segment that were read so far.
#[derive(Default)]
pub(super) struct Marks {
    combined: bool,
    other: Option<Together>,
}

impl Marks {
    /// Takes `word`, with those of `words` that belong to it; `false` where it is no such mark.
    ///
    /// # Errors
    /// A mark that stands there twice, or contradicts another one; a number that none can have.
    pub(super) fn take<'a>(
        &mut self,
        word: &str,
        words: &mut Peekable<impl Iterator<Item = &'a str>>,
    ) -> Result<bool, EntryError> {
        let word = word.to_uppercase();
        let mark = match (word.as_str(), word.strip_prefix("SIM")) {
            ("CZ", _) if self.combined => return refuse("CZ is repeated."),
            ("CZ", _) => {
                self.combined = true;
                return if self.other == Some(Together::Separate) {
                    contradiction()
                } else {
                    Ok(true)
                };
            }
            ("SZ", _) => Together::Separate,
            ("SEP" | "SEPARATE", _) => {
                words.next_if(|next| is_requirement(next));
                Together::Separate
            }
            ("SIMULTANEOUS", _) => simultaneous("", words)?,
            (_, Some(number)) if number.chars().all(|c| c.is_ascii_digit()) => {
                simultaneous(number, words)?
            }
            _ => return Ok(false),
        };
        if self.other.is_some() || self.combined && mark == Together::Separate {
            return contradiction();
        }
        self.other = Some(mark);
        Ok(true)
    }

    /// What they say in all. SIM joins the features of a callout as CZ does.
    pub(super) fn found(self) -> Together {
        match self.other {
            Some(mark) => mark,
            None if self.combined => Together::Combined,
            None => Together::Default,
        }
    }
}

fn contradiction<T>() -> Result<T, EntryError> {
    refuse("One of SEP REQT, CZ and SIM stands in a segment, or CZ with SIM.")
}

fn is_requirement(word: &str) -> bool {
    matches!(word.to_uppercase().as_str(), "REQT" | "REQTS" | "REQUIREMENT" | "REQUIREMENTS")
}

fn simultaneous<'a>(
    number: &str,
    words: &mut Peekable<impl Iterator<Item = &'a str>>,
) -> Result<Together, EntryError> {
    let mut number = number;
    if number.is_empty() {
        words.next_if(|next| is_requirement(next));
        number = words.next_if(|next| next.chars().all(|c| c.is_ascii_digit())).unwrap_or_default();
    }
    match number.parse() {
        _ if number.is_empty() => Ok(Together::Simultaneous(None)),
        Ok(number) => Ok(Together::Simultaneous(Some(number))),
        Err(_) => refuse(format!("The number after SIM is 1 to {}.", NonZeroU8::MAX)),
    }
}

/// Parts what stands behind the first bar of a segment into its datums and the marks behind them.
/// CZ is none of these: it stands with the tolerance, and a datum may be called so.
pub(super) fn behind(text: &str) -> (String, String) {
    let (before, last) = text.rfind('|').map_or(("", text), |bar| text.split_at(bar + 1));
    let words: Vec<&str> = last.split_whitespace().collect();
    let begins = |at: usize| {
        let word = words[at].to_uppercase();
        let number = word.strip_prefix("SIM");
        let mark = matches!(word.as_str(), "SEP" | "SEPARATE" | "SIMULTANEOUS")
            || number.is_some_and(|n| n.chars().all(|c| c.is_ascii_digit()));
        // The first word is a datum, unless it can be none: behind a bar there was one before.
        let first = before.is_empty() && !words.get(1).is_some_and(|next| is_requirement(next));
        mark && (at > 0 || !first)
    };
    match (0..words.len()).find(|at| begins(*at)) {
        Some(at) => (format!("{before}{}", words[..at].join(" ")), words[at..].join(" ")),
        None => (text.to_owned(), String::new()),
    }
}
