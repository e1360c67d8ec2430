//! The steps of a sum.

use crate::quantity::Length;
use serde::Serialize;

/// One step of a sum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// What it is: `x of hole 3`.
    pub label: String,
    /// The figure.
    pub figure: Option<Term>,
    /// How it comes about.
    pub how: Vec<Term>,
}

/// A word or a figure of a sum, unrounded.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Term {
    /// Words and signs between figures.
    Words(String),
    /// A length.
    Length(Length),
    /// A length that is written with its sign.
    Signed(Length),
    /// An angle in radians, counter-clockwise positive from +X.
    Angle(f64),
}

impl From<&str> for Term {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

impl From<String> for Term {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

impl From<Length> for Term {
    fn from(length: Length) -> Self {
        Self::Length(length)
    }
}

impl Step {
    /// A length and how it comes about.
    #[must_use]
    pub fn length(label: impl Into<String>, figure: Length, how: Vec<Term>) -> Self {
        Self { label: label.into(), figure: Some(Term::Length(figure)), how }
    }

    /// A length with its sign.
    #[must_use]
    pub fn signed(label: impl Into<String>, figure: Length, how: Vec<Term>) -> Self {
        Self { label: label.into(), figure: Some(Term::Signed(figure)), how }
    }

    /// Words without a figure.
    #[must_use]
    pub fn words(label: impl Into<String>, how: impl Into<Term>) -> Self {
        Self { label: label.into(), figure: None, how: vec![how.into()] }
    }
}
