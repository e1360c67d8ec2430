//! The rule by which the value is found in an instrument's line. It is shown beside the line as it
//! came, and can be changed.

use crate::quantity::Unit;
use serde::{Deserialize, Serialize};

/// The decimal mark that an instrument sends.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum DecimalMark {
    /// A point; a comma too, in a line that has no point: commas beside points part fields.
    #[default]
    Either,
    /// A point. A comma parts fields.
    Point,
    /// A comma. A point is none.
    Comma,
}

/// How the value is found in a line.
///
/// Without anything said: one number, perhaps with its unit, and nothing else. What stands beside it
/// must be known, or the line is no value: so an error message is never taken for a number.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(default)]
pub struct LineRule {
    /// What may stand in a line beside the value, as `A` or `CH1`; `#` stands for any digit.
    pub words: Vec<String>,
    /// Which of several numbers is the value, from 1; `None`: there is one only.
    pub number: Option<usize>,
    /// The decimal mark.
    pub decimal: DecimalMark,
    /// The unit of lines that bring none; `None`: that of the job.
    pub unit: Option<Unit>,
}

impl LineRule {
    /// Whether the word may stand in a line.
    #[must_use]
    pub fn knows(&self, word: &str) -> bool {
        self.words.iter().any(|known| matches(known, word))
    }
}

/// A word with its digits as `#`, to know it again with another count: `CH1` is `CH#`.
#[must_use]
pub fn pattern_of(word: &str) -> String {
    word.chars().map(|c| if c.is_ascii_digit() { '#' } else { c }).collect()
}

fn matches(known: &str, word: &str) -> bool {
    known.chars().count() == word.chars().count()
        && known.chars().zip(word.chars()).all(|(k, w)| match k {
            '#' => w.is_ascii_digit(),
            k => k == w,
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_known_word_is_known_exactly_and_its_digits_by_place() {
        let rule =
            LineRule { words: vec![pattern_of("CH1"), "A".to_owned()], ..LineRule::default() };
        for word in ["CH1", "CH9", "A"] {
            assert!(rule.knows(word), "{word}");
        }
        for word in ["CH", "CH12", "CHA", "a", "B", "ERR1", ""] {
            assert!(!rule.knows(word), "{word}");
        }
    }
}
