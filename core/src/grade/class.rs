//! A tolerance class: letters and grade, of an inner or an outer feature.

use super::{Grade, Letter};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Which of two mating surfaces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Surface {
    /// A hole or a slot, with the material outside. Capitals.
    Inner,
    /// A shaft, boss or tab, with the material inside. Small letters.
    Outer,
}

/// A tolerance class of ISO 286-1, such as H7 or js12.
///
/// Not every class exists at every size: see [`deviations`](super::deviations).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct Class {
    /// The fundamental deviation.
    pub letter: Letter,
    /// Inner or outer.
    pub surface: Surface,
    /// The standard tolerance grade.
    pub grade: Grade,
}

impl fmt::Display for Class {
    /// As on a drawing: `H7`, `js12`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.surface {
            Surface::Inner => write!(f, "{}{}", self.letter, self.grade),
            Surface::Outer => write!(f, "{}{}", self.letter.small(), self.grade),
        }
    }
}

impl TryFrom<String> for Class {
    type Error = super::ParseError;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        text.parse()
    }
}

impl From<Class> for String {
    fn from(class: Class) -> Self {
        class.to_string()
    }
}

impl std::str::FromStr for Class {
    type Err = super::ParseError;

    /// Reads a class without a size: `H7`, `js 12`.
    fn from_str(text: &str) -> Result<Class, Self::Err> {
        super::parse::class(text.trim())
    }
}
