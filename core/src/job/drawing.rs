//! The drawing: its identity, its frame and its features.

use super::{Feature, Line};
use crate::quantity::{Figure, Side, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the drawing says. All its figures are in [`Drawing::unit`].
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Drawing {
    /// Unit of every figure of the drawing.
    pub unit: Unit,
    /// Decimals that the drawing writes; results are shown with one more.
    pub decimals: u8,
    /// Part number.
    #[serde(default)]
    pub part_number: String,
    /// Part name.
    #[serde(default)]
    pub part_name: String,
    /// Drawing number, where it differs from the part number.
    #[serde(default)]
    pub number: String,
    /// Revision letter or number of the drawing.
    #[serde(default)]
    pub revision: String,
    /// Material, for the sheet.
    #[serde(default)]
    pub material: String,
    /// Outline of the part in the drawing frame, where it is a rectangle or its envelope.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
    /// Datum letters of the frame, primary first.
    #[serde(default)]
    pub datums: Vec<Datum>,
    /// Features, in the order in which they are measured and listed.
    #[serde(default)]
    pub features: Vec<Feature>,
    /// What is asked between features, and of the form of faces, in the order of the sheet.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<Line>,
}

/// The rectangle around the part, in the drawing frame (X right, Y up).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outline {
    /// X of the left edge.
    pub left: Figure,
    /// Y of the bottom edge.
    pub bottom: Figure,
    /// X of the right edge.
    pub right: Figure,
    /// Y of the top edge.
    pub top: Figure,
}

impl Outline {
    /// Coordinate of the edge on `side`, along that side's axis.
    #[must_use]
    pub const fn edge(&self, side: Side) -> Figure {
        match side {
            Side::PlusX => self.right,
            Side::PlusY => self.top,
            Side::MinusX => self.left,
            Side::MinusY => self.bottom,
        }
    }
}

/// A datum letter and what it stands on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Datum {
    /// The letter, as in the feature control frame.
    pub letter: String,
    /// Number of the feature that carries the letter; absent for the face that lies against
    /// the angle plate and is not measured in the plane (the primary datum, mostly).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feature: Option<String>,
    /// Size of its boundary where the drawing states it; absent: it follows from the limits of the
    /// feature and its own tolerance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boundary: Option<Figure>,
    /// In words, for the sheet: "large face".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub what: String,
}
