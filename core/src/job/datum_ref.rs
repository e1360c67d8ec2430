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

/// One compartment of a callout: `B`, `B(M)`, `B(L)`. So it stands in a job file.
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
}

impl DatumRef {
    /// A datum regardless of its size.
    #[must_use]
    pub fn plain(letter: impl Into<String>) -> Self {
        Self { letter: letter.into(), boundary: Boundary::Regardless }
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
        for (mark, boundary) in marks {
            if let Some(letter) = text.strip_suffix(mark) {
                return Self { letter: letter.trim_end().to_owned(), boundary };
            }
        }
        Self::plain(text)
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
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_written_as_it_is_read() {
        for text in ["A", "B(M)", "C(L)", "", "AA(M)"] {
            assert_eq!(DatumRef::from(text).to_string(), text);
        }
        assert_eq!(DatumRef::from("B Ⓜ"), DatumRef::from("B(M)"));
    }
}
