//! What was typed and is not understood.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Something that was typed of a feature and is not understood, as it was typed. What the feature had
/// before stands beside it and counts no longer: the feature cannot be judged until this is corrected
/// or taken away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NotUnderstood {
    /// What it was typed for.
    pub field: FeatureField,
    /// The text as it was typed.
    pub typed: String,
}

/// What is typed of a feature.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum FeatureField {
    /// Its number on the drawing.
    Number,
    /// What it is.
    Kind,
    /// The axis of its width, or where it looks.
    Direction,
    /// Basic X.
    X,
    /// Basic Y.
    Y,
    /// Limits of size.
    Size,
    /// Position: the tolerance, or the whole callout.
    Position,
    /// Material condition of the position.
    Modifier,
    /// Datums of the position.
    Datums,
}

impl FeatureField {
    /// Whether it says what the feature is or where, so that what was measured of it does not count
    /// for others either.
    #[must_use]
    pub const fn places(self) -> bool {
        match self {
            Self::Number | Self::Kind | Self::Direction | Self::X | Self::Y => true,
            Self::Size | Self::Position | Self::Modifier | Self::Datums => false,
        }
    }
}

/// Something that was typed for the drawing beside its features and is not understood, as it was typed.
/// Nothing can be said to conform until it is corrected or taken away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DrawingText {
    /// What it was typed for.
    pub place: DrawingPlace,
    /// The text as it was typed.
    pub typed: String,
}

/// What is typed of a drawing beside its features. Datums are given by their letter, lines by their
/// number.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DrawingPlace {
    /// The letter of a datum.
    DatumLetter(String),
    /// What carries a datum.
    DatumFeature(String),
    /// The stated boundary of a datum.
    DatumBoundary(String),
    /// The number of a line.
    LineNumber(String),
    /// What a line asks.
    LineRequirement(String),
    /// A line that is not in the table yet.
    FurtherLine,
    /// A figure of the outline.
    Outline(OutlineField),
}

impl DrawingPlace {
    /// The letter of the datum that it is a place of.
    #[must_use]
    pub const fn datum(&self) -> Option<&String> {
        match self {
            Self::DatumLetter(letter)
            | Self::DatumFeature(letter)
            | Self::DatumBoundary(letter) => Some(letter),
            _ => None,
        }
    }

    /// The number of the line that it is a place of.
    #[must_use]
    pub const fn line(&self) -> Option<&String> {
        match self {
            Self::LineNumber(number) | Self::LineRequirement(number) => Some(number),
            _ => None,
        }
    }

    pub(super) const fn datum_mut(&mut self) -> Option<&mut String> {
        match self {
            Self::DatumLetter(letter)
            | Self::DatumFeature(letter)
            | Self::DatumBoundary(letter) => Some(letter),
            _ => None,
        }
    }

    pub(super) const fn line_mut(&mut self) -> Option<&mut String> {
        match self {
            Self::LineNumber(number) | Self::LineRequirement(number) => Some(number),
            _ => None,
        }
    }
}

/// What is typed of the outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum OutlineField {
    /// X of the left edge.
    Left,
    /// Y of the bottom edge.
    Bottom,
    /// Width.
    Width,
    /// Height.
    Height,
}
