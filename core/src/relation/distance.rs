//! A distance along an axis, or straight from centre to centre.

use super::typed::{Typed, feature, or_origin};
use super::vector::{AxisDistance, by_coordinate, how_known};
use super::written::{self, quoted, relation_limits_text};
use super::{
    Compartments, Dependence, Facts, Found, FrameNeed, HeldTo, MeasuredFeature, OnDrawing, Range,
    Reason, RelationLimits, Requirement, Step,
};
use crate::feature::Kind;
use crate::notation::{EntryError, axis, refuse};
use crate::quantity::{Axis, Figure, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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
    pub limits: RelationLimits,
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

impl Requirement for Distance {
    fn words() -> &'static [&'static str] {
        &["distance", "dist", "height", "step", "depth", "width", "centres", "centers", "straight"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[
            ("distance 3 4 along x 40 ±0.1", "distance, step or width along an axis"),
            ("height 4 along y 12 ±0.05", "from the origin of the frame"),
            ("centres 3 4 50 ±0.05", "centre to centre"),
        ]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        match typed.word {
            "centres" | "centers" | "straight" => centres(typed),
            _ => along(typed),
        }
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        let limits = relation_limits_text(self.limits, drawing.figures());
        let (from, to) = (written::or_origin(self.from.as_ref()), quoted(&self.to));
        match self.along {
            Along::Straight => format!("centres {from} {to} {limits}"),
            Along::X => format!("distance {from} {to} along x {limits}"),
            Along::Y => format!("distance {from} {to} along y {limits}"),
        }
    }

    fn word(&self, _drawing: &dyn OnDrawing) -> &'static str {
        "distance"
    }

    fn features(&self) -> Vec<&str> {
        self.from.iter().chain([&self.to]).map(String::as_str).collect()
    }

    fn features_mut(&mut self) -> Vec<&mut String> {
        self.from.iter_mut().chain([&mut self.to]).collect()
    }

    fn detail(&self) -> String {
        let along = match self.along {
            Along::X => ", along X",
            Along::Y => ", along Y",
            Along::Straight => ", centre to centre",
        };
        let from = if self.from.is_none() { " from the origin" } else { "" };
        format!("{along}{from}")
    }

    fn limits(&self) -> Option<RelationLimits> {
        Some(self.limits)
    }

    fn figures_mut(&mut self) -> Vec<&mut Figure> {
        self.limits.figures_mut()
    }

    /// From the origin the place of the frame counts, and along an axis its direction; that of an
    /// axis square to a plane feature is the same in any frame.
    fn frame(&self, kind: &dyn Fn(&str) -> Option<Kind>) -> FrameNeed {
        let round = |number: &String| kind(number).is_some_and(Kind::is_round);
        match (&self.from, self.along.axis()) {
            (None, Some(axis)) => FrameNeed::Origin([axis == Axis::X, axis == Axis::Y]),
            (None, None) => FrameNeed::Origin([true; 2]),
            (Some(from), Some(_)) if round(from) && round(&self.to) => FrameNeed::Directions,
            (Some(_), _) => FrameNeed::None,
        }
    }

    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let allowed = self.limits.allowed(facts.unit())?;
        let from = self.from.as_deref().map(|number| facts.feature(number)).transpose()?;
        distance(from.as_ref(), &facts.feature(&self.to)?, self.along, allowed)
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        Compartments::Limits(relation_limits_text(self.limits, drawing.figures()))
    }
}

fn along(typed: &Typed<'_>) -> Result<Distance, EntryError> {
    let how = "Write it like distance 3 4 along x 40 ±0.1.";
    let at = typed
        .words
        .iter()
        .position(|w| !w.quoted && matches!(w.text.to_lowercase().as_str(), "along" | "across"));
    let Some((features, rest)) = at.map(|at| typed.words.split_at(at)) else {
        return refuse(format!("Along which axis is not said. {how}"));
    };
    let [_, which, rest @ ..] = rest else {
        return refuse(format!("An axis is missing. {how}"));
    };
    let axis = axis(&which.text)?;
    let (from, to) = match features {
        [to] => (None, feature(to)?),
        [from, to] => (or_origin(from)?, feature(to)?),
        _ => return refuse(format!("A distance has one or two features. {how}")),
    };
    Ok(Distance { from, to, along: Along::from(axis), limits: typed.limits(rest)? })
}

fn centres(typed: &Typed<'_>) -> Result<Distance, EntryError> {
    let [from, to, rest @ ..] = typed.words else {
        return refuse("Two features are needed, as in centres 3 4 50 ±0.05.");
    };
    let (from, to) = (or_origin(from)?, feature(to)?);
    Ok(Distance { from, to, along: Along::Straight, limits: typed.limits(rest)? })
}

/// Returns the distance from one feature, or from the origin of the frame, to another: between
/// axes, centre planes and faces.
///
/// Along an axis it is counted the way in which the drawing has it, so that a feature on the wrong
/// side has a negative distance; where the drawing has both at one height or says nothing, it is
/// `to` less `from`. Straight: √(Δx² + Δy²).
///
/// # Errors
/// What was not measured, or a feature that has no such place.
fn distance(
    from: Option<&MeasuredFeature>,
    to: &MeasuredFeature,
    along: Along,
    allowed: Range,
) -> Result<Found, Reason> {
    if let Some(from) = from.filter(|from| from.index == to.index) {
        return Err(Reason::Twice(from.name.clone()));
    }
    match along.axis() {
        Some(axis) => along_axis(from, to, axis, allowed),
        None => straight(from, to, allowed),
    }
}

fn along_axis(
    from: Option<&MeasuredFeature>,
    to: &MeasuredFeature,
    axis: Axis,
    allowed: Range,
) -> Result<Found, Reason> {
    let (start, end) = Reason::both(from.map_or(Ok(0.0), |f| f.along(axis)), to.along(axis))?;
    to.one_read(from, axis)?;
    let i = usize::from(axis == Axis::Y);
    let basic = (to.basic[i], from.map_or(Some(0.0), |f| f.basic[i]));
    let turned = matches!(basic, (Some(to), Some(from)) if to < from);
    let sign = if turned { -1.0 } else { 1.0 };
    let mut places = vec![(to.index, by_coordinate(axis, sign))];
    let mut steps = Vec::new();
    if let Some(from) = from {
        places.push((from.index, by_coordinate(axis, -sign)));
        steps.push(Step::length(from.coordinate(axis), Length::mm(start), how_known(from, axis)));
    }
    steps.push(Step::length(to.coordinate(axis), Length::mm(end), how_known(to, axis)));
    let measured = Length::mm(sign * (end - start));
    let (large, small) = if turned { (start, end) } else { (end, start) };
    let how = match from {
        None if turned => vec!["against the axis, from the origin of the frame".into()],
        None => vec!["from the origin of the frame".into()],
        Some(_) => vec![Length::mm(large).into(), " − ".into(), Length::mm(small).into()],
    };
    steps.push(Step::length("distance", measured, how));
    let dependence = Some(Dependence::on_places(places));
    Ok(Found { measured, held_to: HeldTo::Limits(allowed), steps, dependence })
}

fn straight(
    from: Option<&MeasuredFeature>,
    to: &MeasuredFeature,
    allowed: Range,
) -> Result<Found, Reason> {
    let apart = AxisDistance::of(from, to)?;
    let measured = Length::mm(apart.mm);
    let mut steps = apart.steps.clone();
    steps.push(Step::length("distance", measured, apart.how()));
    let dependence = Some(apart.dependence(1.0, Vec::new()));
    Ok(Found { measured, held_to: HeldTo::Limits(allowed), steps, dependence })
}
