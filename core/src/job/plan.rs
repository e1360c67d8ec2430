//! The measuring plan: instruments and orientations.

use super::Material;
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
    /// By what a standard uncertainty is multiplied to make an expanded one.
    #[serde(default, skip_serializing_if = "Coverage::is_two")]
    pub coverage: Coverage,
    /// What the measurement suffers from beside the gauge.
    #[serde(default, skip_serializing_if = "Conditions::is_empty")]
    pub conditions: Conditions,
    /// Materials to choose a coefficient of expansion from, beside those that the program knows.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<Material>,
}

/// How a measured value becomes a verdict.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DecisionRule {
    /// Simple acceptance: a measured value within its limits conforms, whatever its
    /// uncertainty (JCGM 106:2012, 8.2.1; ASME B89.7.3.1).
    #[default]
    SimpleAcceptance,
    /// Guarded acceptance: a value conforms only when it lies within its limits by a guard band
    /// of `multiple` times its expanded uncertainty ([`Coverage`]), and does not conform only when it
    /// lies as far outside; between the two nothing is proven (JCGM 106:2012, 8.3; ISO 14253-1,
    /// which takes 1).
    GuardedAcceptance {
        /// Width of the guard band in expanded uncertainties, 0 to 3.
        multiple: f64,
    },
}

/// By what a standard uncertainty is multiplied to make an expanded one, which covers 95.45 % of
/// a normal distribution.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Coverage {
    /// By 2 (JCGM 100:2008, 6.3.3), and by the factor of its effective degrees of freedom where these are
    /// few.
    #[default]
    Two,
    /// By the factor that covers 95.45 % with its effective degrees of freedom: the fewer repeats a
    /// repeatability comes from, the larger (JCGM 100:2008, G.3 and G.4).
    Effective,
}

impl Coverage {
    /// Whether it is the usual one, which is not written.
    #[must_use]
    pub fn is_two(&self) -> bool {
        *self == Self::Two
    }

    /// In the words of the decision rule.
    const fn words(self) -> &'static str {
        match self {
            Self::Two => "with k = 2, or more where it rests on few repeats (JCGM 100, G.4)",
            Self::Effective => "to 95.45 % by effective degrees of freedom (JCGM 100, G.4)",
        }
    }
}

impl DecisionRule {
    /// The multiple of the expanded uncertainty that is kept off the limits.
    #[must_use]
    pub const fn guard(self) -> f64 {
        match self {
            Self::SimpleAcceptance => 0.0,
            Self::GuardedAcceptance { multiple } => multiple,
        }
    }

    /// One sentence for the sheet, for uncertainties expanded so.
    #[must_use]
    pub fn sentence(self, coverage: Coverage) -> String {
        match self {
            Self::SimpleAcceptance => {
                "Simple acceptance (JCGM 106, 8.2): a value conforms when the measured value, \
                 unrounded, lies within its limits; measurement uncertainty is not deducted."
                    .to_owned()
            }
            Self::GuardedAcceptance { multiple } => format!(
                "Guarded acceptance (JCGM 106, 8.3; ISO 14253-1): a value conforms when it lies \
                 within its limits by {multiple} U or more, U being its expanded uncertainty {}, \
                 and does not conform when it lies outside by as much; in between neither is \
                 proven.",
                coverage.words()
            ),
        }
    }
}

/// What the measurement suffers from beside the gauge. Figures in the drawing's unit. What is
/// absent is taken as nothing, unless its field says otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Conditions {
    /// Flatness deviation of the surface plate over the area used: highest less lowest point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate_flatness: Option<Figure>,
    /// Standard uncertainty of how high the carrying face stands above the zero of the plate: dirt,
    /// contact and the setting of that zero. Absent: that of a touch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rest_standard: Option<Figure>,
    /// How far two orientations may be out of square to each other without being known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub squareness: Option<Slope>,
    /// Coefficient of thermal expansion of the parts, in millionths per kelvin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part_expansion: Option<f64>,
    /// The same of the gauge's scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge_expansion: Option<f64>,
    /// How far part and gauge may be from each other in temperature without being known, in
    /// kelvin, either way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_limit: Option<f64>,
}

impl Conditions {
    /// Nothing is said.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// How far two orientations may be out of square to each other, in radians; `None` where that is
    /// not said or nothing.
    #[must_use]
    pub fn squareness_radians(&self) -> Option<f64> {
        self.squareness.and_then(Slope::radians).map(f64::abs).filter(|a| *a > 0.0)
    }
}

/// A small angle as it is measured on the plate: a deviation over a length.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Slope {
    /// The deviation.
    pub deviation: Figure,
    /// Over this length.
    pub over: Figure,
}

impl Slope {
    /// As an angle in radians; `None` where the length is not positive.
    #[must_use]
    pub fn radians(self) -> Option<f64> {
        (self.over.0 > 0.0).then(|| libm::atan2(self.deviation.0, self.over.0))
    }
}

/// A height gauge.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
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
    /// Number of its calibration certificate.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub certificate: String,
    /// Unit in which it shows its readings.
    pub unit: Unit,
    /// Smallest step of its display, in its unit.
    pub resolution: Figure,
    /// The largest height that it measures, in its unit, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub range: Option<Figure>,
    /// Error limit (plus or minus), in its unit, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub error_limit: Option<Figure>,
    /// What the error limit grows by with the height, in millionths of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub error_growth: Option<f64>,
    /// Standard deviation of a single reading, a touch or a centre that the gauge works out, in
    /// its unit, where it is known beforehand. Repeats in the readings say it for themselves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeatability: Option<Figure>,
    /// What is done about the size of the probe.
    #[serde(default)]
    pub probe: Probe,
    /// Standard uncertainty of the probe constant that is stated, in its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub probe_standard: Option<Figure>,
    /// Touches that the probe constant is found from, or that check the one that is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub probe_found: Option<ProbeTrial>,
}

impl Instrument {
    /// Its name with its identification, as on the sheet.
    #[must_use]
    pub fn called(&self) -> String {
        format!("{} {}", self.name.trim(), self.identification.trim()).trim().to_owned()
    }
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
    /// The same, by the constant that the instrument's trial gives ([`ProbeTrial`]).
    Found,
}

/// Touches from above and from below that give the probe constant, as the gauge showed them, in the
/// instrument's unit, all from one zero.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProbeTrial {
    /// What was touched.
    #[serde(default)]
    pub way: ProbeWay,
    /// Touches from above: of the plane, the lower face of the gap, the top of the thickness.
    #[serde(default)]
    pub down: Vec<Figure>,
    /// Touches from below: of the plane's other side, the upper face of the gap, the underside of
    /// the thickness.
    #[serde(default)]
    pub up: Vec<Figure>,
    /// Standard uncertainty of the known gap or thickness.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known_standard: Option<Figure>,
}

/// What is touched to find the probe constant. Figures in the instrument's unit; 0 is one that is
/// not given yet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ProbeWay {
    /// Both sides of one plane, a foil or an edge too thin to count.
    #[default]
    Plane,
    /// A gap of this known height, its faces looking at each other.
    Gap(Figure),
    /// A part of this known thickness, its faces looking away from each other.
    Thickness(Figure),
}

impl ProbeWay {
    /// The known gap or thickness.
    #[must_use]
    pub const fn known(self) -> Option<Figure> {
        match self {
            Self::Plane => None,
            Self::Gap(known) | Self::Thickness(known) => Some(known),
        }
    }
}

/// One way in which the part stands on the plate.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
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
    /// The direction that is up is not exactly known, and is found from the readings as far as
    /// they give it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub find_angle: bool,
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
    pub blocks: Blocks,
}

/// What is between the plate and the part.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Blocks {
    /// Blocks of this height; 0: nothing.
    High(Figure),
    /// Something of a height that nobody knows: heights tell differences only.
    Unknown(UnknownHeight),
}

/// The word for a height that nobody knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum UnknownHeight {
    /// In the file: "unknown".
    Unknown,
}

impl Blocks {
    /// Of unknown height.
    pub const UNKNOWN: Self = Self::Unknown(UnknownHeight::Unknown);

    /// The height, if it is known.
    #[must_use]
    pub const fn height(self) -> Option<Figure> {
        match self {
            Self::High(height) => Some(height),
            Self::Unknown(_) => None,
        }
    }
}

impl Default for Blocks {
    fn default() -> Self {
        Self::High(Figure(0.0))
    }
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
