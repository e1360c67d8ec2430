//! What the drawing asks between features: lines of the sheet beside sizes and positions.

use super::{Modifier, SizeLimits};
use crate::quantity::{Axis, Figure, Length, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A requirement between features, or on the form of one. Its figures are in the drawing's unit;
/// features are named by their numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Its number on the sheet, such as `20`; unique among the lines.
    pub number: String,
    /// What is asked.
    pub asks: Asks,
    /// A remark for the sheet.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What a line asks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Asks {
    /// A distance between two features, or of one from the origin of the frame.
    Distance(Distance),
    /// The material between two features: from surface to surface.
    Wall(Wall),
    /// Two round features about one axis.
    Coaxiality(Coaxiality),
    /// An edge square to another one.
    Perpendicularity(Perpendicularity),
    /// A face parallel to the one that carries the part.
    Parallelism(Parallelism),
    /// A face between two parallel planes.
    Flatness(Flatness),
    /// Holes on a circle.
    BoltCircle(BoltCircle),
    /// The place of a feature by its radius and angle from a centre.
    PolarPosition(PolarPosition),
}

/// Along what a distance is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Along {
    /// Along X: heights, steps, depths and widths that way.
    X,
    /// Along Y.
    Y,
    /// The straight line from centre to centre.
    Straight,
}

impl Along {
    /// The axis, unless it is the straight line.
    #[must_use]
    pub const fn axis(self) -> Option<Axis> {
        match self {
            Self::X => Some(Axis::X),
            Self::Y => Some(Axis::Y),
            Self::Straight => None,
        }
    }
}

impl From<Axis> for Along {
    fn from(axis: Axis) -> Self {
        match axis {
            Axis::X => Self::X,
            Axis::Y => Self::Y,
        }
    }
}

/// A distance, between centres, centre planes or faces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Distance {
    /// Where it begins; absent: at the origin of the frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// Where it ends.
    pub to: String,
    /// Along what it is measured.
    pub along: Along,
    /// Its limits.
    pub limits: LineLimits,
}

/// A wall: the least distance from the surface of one feature to that of another.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Wall {
    /// The two features it lies between.
    pub between: [String; 2],
    /// Its limits.
    pub limits: LineLimits,
}

/// Coaxiality of one round feature to another (ISO 1101, 17.13). The zone is a cylinder about the
/// axis of the second, and the tolerance its diameter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Coaxiality {
    /// The toleranced feature.
    pub of: String,
    /// The feature whose axis is the datum, regardless of its size.
    pub to: String,
    /// Diameter of the zone.
    pub tolerance: Figure,
    /// Material condition of the toleranced feature.
    #[serde(default, skip_serializing_if = "Modifier::is_none")]
    pub modifier: Modifier,
}

/// Perpendicularity of an edge to another one (ISO 1101, 17.10): two planes square to the datum, as
/// far apart as the tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Perpendicularity {
    /// The toleranced face.
    pub of: String,
    /// The face it is square to.
    pub to: String,
    /// Distance of the two planes.
    pub tolerance: Figure,
}

/// Parallelism of a face to the one that carries the part while it is swept (ISO 1101, 17.9): two
/// planes parallel to the datum, as far apart as the tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Parallelism {
    /// The toleranced face.
    pub of: String,
    /// The face it is parallel to; absent: whichever carries the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// Distance of the two planes.
    pub tolerance: Figure,
}

/// Flatness (ISO 1101, 17.3): two parallel planes, as far apart as the tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Flatness {
    /// The toleranced face: its number, or words for one that is not among the features.
    pub of: String,
    /// Distance of the two planes.
    pub tolerance: Figure,
}

/// A bolt circle: the circle through the centres of holes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoltCircle {
    /// The holes, three at least.
    pub of: Vec<String>,
    /// Limits of the diameter of the circle.
    pub diameter: LineLimits,
}

/// A place given by radius and angle from a centre.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PolarPosition {
    /// The toleranced feature.
    pub of: String,
    /// The centre; absent: the origin of the frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre: Option<String>,
    /// Width of the zone along the radius.
    pub radial: Figure,
    /// Width of the zone around the centre, as a length at the basic radius.
    pub around: Figure,
}

/// Limits of a line.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LineLimits {
    /// Two limits, or a nominal value with its limit deviations. Zero and below is allowed: a step
    /// of 0 ± 0.05.
    Within(SizeLimits),
    /// A least value alone.
    AtLeast(Figure),
    /// A greatest value alone.
    AtMost(Figure),
}

impl LineLimits {
    /// As lengths; `None` if the lower limit is above the upper one.
    #[must_use]
    pub fn range(self, unit: Unit) -> Option<Range> {
        match self {
            Self::Within(limits) => {
                let (lower, upper) = limits.ends(unit)?;
                // Limits that are equal on the drawing may differ by the noise of their sum.
                lower
                    .at_most(upper)
                    .then(|| Range { lower: Some(lower), upper: Some(upper.max(lower)) })
            }
            Self::AtLeast(least) => Some(Range { lower: Some(least.length(unit)), upper: None }),
            Self::AtMost(most) => Some(Range { lower: None, upper: Some(most.length(unit)) }),
        }
    }

    /// Its figures.
    #[must_use]
    pub fn figures(self) -> Vec<Figure> {
        match self {
            Self::Within(limits) => limits.figures(),
            Self::AtLeast(figure) | Self::AtMost(figure) => vec![figure],
        }
    }

    fn figures_mut(&mut self) -> Vec<&mut Figure> {
        match self {
            Self::Within(limits) => limits.figures_mut(),
            Self::AtLeast(figure) | Self::AtMost(figure) => vec![figure],
        }
    }
}

/// Limits as lengths, of which one may be absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Range {
    /// Smallest value allowed.
    pub lower: Option<Length>,
    /// Largest value allowed.
    pub upper: Option<Length>,
}

impl Range {
    /// At most `upper`.
    #[must_use]
    pub const fn up_to(upper: Length) -> Self {
        Self { lower: None, upper: Some(upper) }
    }

    /// Distance of `value` to the nearer limit, positive inside; `None` without limits.
    #[must_use]
    pub fn margin(self, value: Length) -> Option<Length> {
        let below = self.lower.map(|lower| value - lower);
        let above = self.upper.map(|upper| upper - value);
        below.into_iter().chain(above).reduce(Length::min)
    }

    /// The limit that is nearer to `value`.
    #[must_use]
    pub fn nearer(self, value: Length) -> Option<Length> {
        match (self.lower, self.upper) {
            (Some(lower), Some(upper)) if upper - value < value - lower => Some(upper),
            (Some(lower), _) => Some(lower),
            (None, upper) => upper,
        }
    }
}

impl Asks {
    /// The features it names, by their numbers.
    #[must_use]
    pub fn features(&self) -> Vec<&str> {
        let (one, more): (Vec<&String>, &[String]) = match self {
            Self::Distance(d) => (d.from.iter().chain([&d.to]).collect(), &[]),
            Self::Wall(w) => (Vec::new(), &w.between),
            Self::Coaxiality(c) => (vec![&c.of, &c.to], &[]),
            Self::Perpendicularity(p) => (vec![&p.of, &p.to], &[]),
            Self::Parallelism(p) => ([&p.of].into_iter().chain(&p.to).collect(), &[]),
            Self::Flatness(f) => (vec![&f.of], &[]),
            Self::BoltCircle(c) => (Vec::new(), &c.of),
            Self::PolarPosition(p) => ([&p.of].into_iter().chain(&p.centre).collect(), &[]),
        };
        one.into_iter().chain(more).map(String::as_str).collect()
    }

    /// The same, to give one another number.
    pub fn features_mut(&mut self) -> Vec<&mut String> {
        match self {
            Self::Distance(d) => d.from.iter_mut().chain([&mut d.to]).collect(),
            Self::Wall(w) => w.between.iter_mut().collect(),
            Self::Coaxiality(c) => vec![&mut c.of, &mut c.to],
            Self::Perpendicularity(p) => vec![&mut p.of, &mut p.to],
            Self::Parallelism(p) => [&mut p.of].into_iter().chain(&mut p.to).collect(),
            Self::Flatness(f) => vec![&mut f.of],
            Self::BoltCircle(c) => c.of.iter_mut().collect(),
            Self::PolarPosition(p) => [&mut p.of].into_iter().chain(&mut p.centre).collect(),
        }
    }

    /// Its tolerances: the widths and diameters of its zones.
    #[must_use]
    pub fn tolerances(&self) -> Vec<Figure> {
        match self {
            Self::Distance(_) | Self::Wall(_) | Self::BoltCircle(_) => Vec::new(),
            Self::Coaxiality(c) => vec![c.tolerance],
            Self::Perpendicularity(p) => vec![p.tolerance],
            Self::Parallelism(p) => vec![p.tolerance],
            Self::Flatness(f) => vec![f.tolerance],
            Self::PolarPosition(p) => vec![p.radial, p.around],
        }
    }

    /// Its limits, where it has any.
    #[must_use]
    pub fn limits(&self) -> Option<LineLimits> {
        match self {
            Self::Distance(d) => Some(d.limits),
            Self::Wall(w) => Some(w.limits),
            Self::BoltCircle(c) => Some(c.diameter),
            _ => None,
        }
    }

    /// Every figure of it, to write them in another unit.
    pub(super) fn figures_mut(&mut self) -> Vec<&mut Figure> {
        match self {
            Self::Distance(d) => d.limits.figures_mut(),
            Self::Wall(w) => w.limits.figures_mut(),
            Self::BoltCircle(c) => c.diameter.figures_mut(),
            Self::Coaxiality(c) => vec![&mut c.tolerance],
            Self::Perpendicularity(p) => vec![&mut p.tolerance],
            Self::Parallelism(p) => vec![&mut p.tolerance],
            Self::Flatness(f) => vec![&mut f.tolerance],
            Self::PolarPosition(p) => vec![&mut p.radial, &mut p.around],
        }
    }
}
