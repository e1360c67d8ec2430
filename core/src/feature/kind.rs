//! Kinds of features.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a feature is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// A round inner feature.
    #[default]
    Hole,
    /// A round outer feature.
    Boss,
    /// Two parallel faces looking at each other.
    Slot,
    /// Two parallel faces looking away from each other.
    Tab,
    /// One plane face, seen edge-on in the drawing's view.
    Face,
}

impl Kind {
    /// All kinds, in the order in which they are offered.
    pub const ALL: [Self; 5] = [Self::Hole, Self::Boss, Self::Slot, Self::Tab, Self::Face];

    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Hole => "hole",
            Self::Boss => "boss",
            Self::Slot => "slot",
            Self::Tab => "tab",
            Self::Face => "face",
        }
    }

    /// Round: a hole or a boss.
    #[must_use]
    pub const fn is_round(self) -> bool {
        matches!(self, Self::Hole | Self::Boss)
    }

    /// Material lies outside the feature: a hole or a slot, larger when material goes.
    #[must_use]
    pub const fn is_internal(self) -> bool {
        matches!(self, Self::Hole | Self::Slot)
    }

    /// Has a size: everything but a face.
    #[must_use]
    pub const fn is_sized(self) -> bool {
        !matches!(self, Self::Face)
    }
}
