//! The pieces and their readings.

use super::{Orientation, Plan, Zero};
use crate::quantity::Figure;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One part of the lot, and what was read on it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Piece {
    /// Serial number.
    #[serde(default)]
    pub serial: String,
    /// Who measured it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub inspector: String,
    /// When, as written on the sheet.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date: String,
    /// Temperature, with its unit, as written on the sheet: "20.4 °C".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub temperature: String,
    /// Remarks for the sheet.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
    /// Temperature of the part in degrees Celsius, where lengths are to be corrected to 20 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part_celsius: Option<f64>,
    /// Temperature of the gauge's scale in degrees Celsius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge_celsius: Option<f64>,
    /// Edges of this piece that were found out of square.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub squareness: Vec<Squareness>,
    /// What the zero read at the end of an orientation.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub zero_checks: Vec<ZeroCheck>,
    /// Faces and edges that an indicator was led along, at most one entry for each pair of
    /// orientation and feature.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sweeps: Vec<Sweep>,
    /// Heights over faces, at most one grid for each line of the drawing that asks for flatness.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub grids: Vec<Grid>,
    /// Readings, at most one entry for each pair of orientation and feature.
    #[serde(default)]
    pub readings: Vec<Reading>,
}

/// The edge that carries the part in an orientation is out of square to the edge that carries it
/// in another one, and it is known by how much.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Squareness {
    /// Number of the orientation that stands on this edge.
    pub orientation: u32,
    /// How much farther out of the material the end of the edge towards +Y (of a left or right
    /// edge) or +X (of a bottom or top edge) lies than its other end; negative: farther in. In
    /// the drawing's unit.
    pub farther_out: Figure,
    /// Over this length along the edge, in the drawing's unit.
    pub over: Figure,
    /// Number of the orientation that stands on the edge it was measured against; absent: the
    /// first one of the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub against: Option<u32>,
    /// Standard uncertainty of the deviation, in the drawing's unit; absent: it counts as exact.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard: Option<Figure>,
}

impl Squareness {
    /// Returns the number of the orientation that stands on the edge it was measured against;
    /// `None` in a plan without orientations.
    #[must_use]
    pub fn reference(self, plan: &Plan) -> Option<u32> {
        self.against.or_else(|| plan.orientations.first().map(|o| o.number))
    }

    /// The angle by which the edge leans outwards, in radians; `None` where the length is not
    /// positive.
    #[must_use]
    pub fn radians(self) -> Option<f64> {
        (self.over.0 > 0.0).then(|| libm::atan2(self.farther_out.0, self.over.0))
    }

    /// Standard uncertainty of that angle, in radians; `None` where it counts as exact: where none is
    /// stated, or no length.
    #[must_use]
    pub fn standard_radians(self) -> Option<f64> {
        // d atan(d/L) = dd/L cos².
        let cos = libm::cos(self.radians()?);
        self.standard.map(|s| s.0.abs() / self.over.0 * cos * cos).filter(|u| *u > 0.0)
    }
}

/// Heights that were taken for one relation: over a face for its flatness, along an edge for its
/// straightness. The part may lie in any way: whether it is parallel to the plate or tilted makes no
/// difference.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Grid {
    /// Number of the relation that it was taken for.
    #[serde(rename = "line")]
    pub relation: String,
    /// Which of the plan's instruments was used, counted from 0.
    #[serde(default)]
    pub instrument: usize,
    /// Places and heights: x and y over the plate, square to each other, and the height as the
    /// gauge showed it, all in the instrument's unit.
    #[serde(default)]
    pub points: Vec<[Figure; 3]>,
}

/// The zero touched again at the end of an orientation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ZeroCheck {
    /// Number of the orientation.
    pub orientation: u32,
    /// What the gauge showed at the zero, which read 0 at the start; in the instrument's unit.
    pub end: Figure,
}

/// The lowest and the highest reading of an indicator that was led over a face or along an edge, as
/// it showed them, in the unit of the orientation's instrument.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sweep {
    /// Number of the orientation.
    pub orientation: u32,
    /// Number of the feature.
    pub feature: String,
    /// Lowest reading.
    pub lowest: Figure,
    /// Highest reading; not below the lowest.
    pub highest: Figure,
}

/// What was read on one feature in one orientation, as the gauge showed it, in the unit of
/// the orientation's instrument. Several values are repeats of the same touch.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Number of the orientation.
    pub orientation: u32,
    /// Number of the feature.
    pub feature: String,
    /// What read zero when this was taken, where it is not the zero of the orientation: the plate,
    /// or another feature read in the same orientation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zero: Option<Zero>,
    /// Lowest point: touched from above in a hole or slot, from below on a boss or tab.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub low: Vec<Figure>,
    /// Highest point: touched from below in a hole or slot, from above on a boss or tab.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub high: Vec<Figure>,
    /// Height of the centre, where the gauge gives it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub centre: Vec<Figure>,
    /// Size, where the gauge gives it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub size: Vec<Figure>,
    /// Height of a face.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub face: Vec<Figure>,
}

impl Reading {
    /// The values of one touch.
    #[must_use]
    pub fn values(&self, touch: Touch) -> &[Figure] {
        match touch {
            Touch::Low => &self.low,
            Touch::High => &self.high,
            Touch::Centre => &self.centre,
            Touch::Size => &self.size,
            Touch::Face => &self.face,
        }
    }

    /// The values of one touch, to change them.
    pub fn values_mut(&mut self, touch: Touch) -> &mut Vec<Figure> {
        match touch {
            Touch::Low => &mut self.low,
            Touch::High => &mut self.high,
            Touch::Centre => &mut self.centre,
            Touch::Size => &mut self.size,
            Touch::Face => &mut self.face,
        }
    }

    /// What it counts from, where that is not the zero of its orientation anyhow.
    #[must_use]
    pub fn own_zero(&self, orientation: &Orientation) -> Option<&Zero> {
        self.zero.as_ref().filter(|zero| **zero != orientation.zero)
    }

    /// What it counts from.
    #[must_use]
    pub fn zero_in<'a>(&'a self, orientation: &'a Orientation) -> &'a Zero {
        self.zero.as_ref().unwrap_or(&orientation.zero)
    }

    /// Nothing was read.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        Touch::ALL.iter().all(|t| self.values(*t).is_empty())
    }
}

/// What a reading was taken of.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Touch {
    /// Lowest point of a feature of size.
    Low,
    /// Highest point of a feature of size.
    High,
    /// Centre height given by the gauge.
    Centre,
    /// Size given by the gauge.
    Size,
    /// A face.
    Face,
}

impl Touch {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Low, Self::High, Self::Centre, Self::Size, Self::Face];

    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Low => "lowest point",
            Self::High => "highest point",
            Self::Centre => "centre height",
            Self::Size => "size",
            Self::Face => "face",
        }
    }
}
