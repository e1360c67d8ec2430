//! What was typed of a feature and is not understood.

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
