//! The measuring plan: instruments and orientations.

use crate::quantity::{Direction, Figure, Side, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How the parts are measured and decided upon.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// The instruments used. The first one is taken where an orientation names none.
    pub instruments: Vec<Instrument>,
    /// How the part stands, one after the other.
    pub orientations: Vec<Orientation>,
    /// How a measured value becomes a verdict; printed on every sheet.
    #[serde(default)]
    pub decision_rule: DecisionRule,
}

/// How a measured value becomes a verdict.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DecisionRule {
    /// Simple acceptance: a measured value within its limits conforms, whatever its
    /// uncertainty (JCGM 106:2012, 8.2.1; ASME B89.7.3.1).
    #[default]
    SimpleAcceptance,
}

impl DecisionRule {
    /// One sentence for the sheet.
    #[must_use]
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::SimpleAcceptance => {
                "Simple acceptance (JCGM 106, 8.2): a value conforms when the measured value, \
                 unrounded, lies within its limits; measurement uncertainty is not deducted."
            }
        }
    }
}

/// A height gauge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// What it is called in the shop.
    pub name: String,
    /// Identification, as on its calibration label.
    #[serde(default)]
    pub identification: String,
    /// Calibration due, as a date in words or figures.
    #[serde(default)]
    pub calibration_due: String,
    /// Unit in which it shows its readings.
    pub unit: Unit,
    /// Smallest step of its display, in its unit.
    pub resolution: Figure,
    /// Error limit (plus or minus), in its unit, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub error_limit: Option<Figure>,
    /// What is done about the size of the probe.
    #[serde(default)]
    pub probe: Probe,
}

/// What is done about the size of the probe between touches from above and from below.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Probe {
    /// The gauge is qualified and applies the constant itself.
    #[default]
    AppliedByGauge,
    /// Readings come without it and are corrected here by this probe constant
    /// (effective probe size K), in the instrument's unit.
    Constant(Figure),
}

/// One way in which the part stands on the plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Orientation {
    /// Its number, from 1; readings refer to it.
    pub number: u32,
    /// The drawing direction that points up from the plate, in degrees from +X towards +Y:
    /// +Y up is 90, −X up is 180.
    pub up_degrees: f64,
    /// What carries the part.
    #[serde(default)]
    pub rest: Rest,
    /// What reads zero.
    #[serde(default)]
    pub zero: Zero,
    /// What the gauge gives: single touches, or centre and size.
    #[serde(default)]
    pub taken: Taken,
    /// Which of the plan's instruments is used, counted from 0.
    #[serde(default)]
    pub instrument: usize,
}

impl Orientation {
    /// The drawing direction that points up.
    #[must_use]
    pub fn up(&self) -> Direction {
        Direction::from_degrees(self.up_degrees)
    }

    /// The same as a side of the drawing, for whole quarter turns.
    #[must_use]
    pub fn up_side(&self) -> Option<Side> {
        Side::from_degrees(self.up_degrees)
    }
}

/// What is written down for a feature of size.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Taken {
    /// The lowest and the highest point, each by a touch.
    #[default]
    Touches,
    /// The height of the centre and the size, as the gauge works them out.
    CentreAndSize,
}

/// What carries the part in an orientation.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rest {
    /// Number of the face that is on the plate or on the blocks; absent: the edge of the
    /// outline that looks down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face: Option<String>,
    /// Height of the blocks under it, in the instrument's unit; 0 on the bare plate.
    #[serde(default)]
    pub blocks: Figure,
}

/// What reads zero in an orientation.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Zero {
    /// The surface plate, touched from above.
    #[default]
    Plate,
    /// A feature, by its number: a face by its touch, a hole, boss, slot or tab by its centre.
    /// Its basic coordinate is taken as true.
    Feature(String),
}
