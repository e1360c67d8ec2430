//! A datum as a callout names it: its letter and the boundary at which it applies.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The boundary of a datum feature of size (ASME Y14.5-2018, 7.11; ISO 5459 and ISO 2692).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Boundary {
    /// Regardless of its size: the datum is its own axis or centre plane.
    #[default]
    Regardless,
    /// Its maximum material boundary: what the gauge has there may shift within it.
    Maximum,
    /// Its least material boundary.
    Least,
}

/// One compartment of a callout: `B`, `B(M)`, `B(L)`, `C▷`, `C(M)▷`. So it stands in a job file.
#[derive(
    Clone, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(from = "String", into = "String")]
#[schemars(with = "String")]
pub struct DatumRef {
    /// The letter.
    pub letter: String,
    /// The boundary at which it applies.
    pub boundary: Boundary,
    /// The translation modifier, a triangle on the drawing: the simulator of the datum is not
    /// bound to its basic place from those before it and may move along (ASME Y14.5-2009 and
    /// 2018; ISO 5459:2011 knows no such symbol, from memory).
    pub translation: bool,
}

/// The sign of the translation modifier, and other ways to type it.
const TRANSLATION: [&str; 4] = ["▷", ">", "(T)", "(t)"];

impl DatumRef {
    /// A datum regardless of its size.
    #[must_use]
    pub fn plain(letter: impl Into<String>) -> Self {
        Self { letter: letter.into(), ..Self::default() }
    }

    /// Several of them, by their letters.
    #[must_use]
    pub fn all(letters: &[&str]) -> Vec<Self> {
        letters.iter().map(|letter| Self::from(*letter)).collect()
    }
}

impl From<&str> for DatumRef {
    fn from(text: &str) -> Self {
        let marks = [
            ("(M)", Boundary::Maximum),
            ("(m)", Boundary::Maximum),
            ("Ⓜ", Boundary::Maximum),
            ("(L)", Boundary::Least),
            ("(l)", Boundary::Least),
            ("Ⓛ", Boundary::Least),
        ];
        let unmarked = TRANSLATION.iter().find_map(|mark| text.strip_suffix(mark));
        let (text, translation) =
            unmarked.map_or((text, false), |before| (before.trim_end(), true));
        let bounded = marks
            .into_iter()
            .find_map(|(mark, boundary)| Some((text.strip_suffix(mark)?.trim_end(), boundary)));
        let (letter, boundary) = bounded.unwrap_or((text, Boundary::Regardless));
        Self { letter: letter.to_owned(), boundary, translation }
    }
}

impl From<String> for DatumRef {
    fn from(text: String) -> Self {
        Self::from(text.as_str())
    }
}

impl From<DatumRef> for String {
    fn from(datum: DatumRef) -> Self {
        datum.to_string()
    }
}

impl fmt::Display for DatumRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.letter)?;
        f.write_str(match self.boundary {
            Boundary::Regardless => "",
            Boundary::Maximum => "(M)",
            Boundary::Least => "(L)",
        })?;
        f.write_str(if self.translation { TRANSLATION[0] } else { "" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_written_as_it_is_read() {
        for text in ["A", "B(M)", "C(L)", "", "AA(M)", "C▷", "C(M)▷", "C(L)▷"] {
            assert_eq!(DatumRef::from(text).to_string(), text);
        }
        assert_eq!(DatumRef::from("B Ⓜ"), DatumRef::from("B(M)"));
        for text in ["C(M)>", "C (M) ▷", "CⓂ(T)", "C(m)(t)"] {
            assert_eq!(DatumRef::from(text).to_string(), "C(M)▷", "{text}");
        }
        let free = DatumRef::from("C▷");
        assert!(free.translation && free != DatumRef::from("C"), "another frame");
    }
}
