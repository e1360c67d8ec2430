//! A wall: from the surface of one feature to the surface of another.
//!
//! ```text
//! side by side:  d less both halves             one inside the other:  half less half less d
//!
//!      (  a  )|<-- wall -->|(  b  )                  |          (  a  )|wall|  b
//!         |<------- d ------->|                      |<- b/2 ->|
//!      |a/2|              |b/2|                             |<>| d
//!
//! a hole and a face:  d less the half           a tube, a bore in its outside: the thinnest place
//! ```
//!
//! `d` is the distance of the axes, or of axis and face or centre plane square to it. A face has no
//! half. An outer feature ends where its half ends, as an inner one does; only where one lies
//! inside the other, the half of the outer one is what the wall is left of.

use super::typed::{Typed, feature};
use super::vector::{AxisDistance, by_coordinate, how_known};
use super::written::{quoted, relation_limits_text};
use super::{
    Compartments, Dependence, Facts, Found, Half, HeldTo, MeasuredFeature, OnDrawing, Range,
    Reason, RelationLimits, Requirement, Step, Term,
};
use crate::chance::{Sensitivities, SizeRef};
use crate::feature::Kind;
use crate::notation::{EntryError, refuse};
use crate::quantity::{Figure, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A wall: the least distance from the surface of one feature to that of another.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Wall {
    /// The two features it lies between.
    pub between: [String; 2],
    /// Its limits.
    pub limits: RelationLimits,
}

impl Requirement for Wall {
    fn words() -> &'static [&'static str] {
        &["wall", "edge"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[("wall 3 4 2.5 to 3.5", "wall between two holes, or edge 3 B min 10")]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        let [a, b, rest @ ..] = typed.words else {
            return refuse("Two features are needed, as in wall 3 4 2.5 to 3.5.");
        };
        Ok(Self { between: [feature(a)?, feature(b)?], limits: typed.limits(rest)? })
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        let [a, b] = &self.between;
        let limits = relation_limits_text(self.limits, drawing.figures());
        format!("{} {} {} {limits}", self.word(drawing), quoted(a), quoted(b))
    }

    /// A wall to a face is the distance from its edge.
    fn word(&self, drawing: &dyn OnDrawing) -> &'static str {
        let is_face = |number: &String| drawing.kind(number) == Some(Kind::Face);
        if self.between.iter().any(is_face) { "edge" } else { "wall" }
    }

    fn features(&self) -> Vec<&str> {
        self.between.iter().map(String::as_str).collect()
    }

    fn features_mut(&mut self) -> Vec<&mut String> {
        self.between.iter_mut().collect()
    }

    fn limits(&self) -> Option<RelationLimits> {
        Some(self.limits)
    }

    fn figures_mut(&mut self) -> Vec<&mut Figure> {
        self.limits.figures_mut()
    }

    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let [a, b] = &self.between;
        let (a, b) = (facts.feature(a)?, facts.feature(b)?);
        wall(&a, &b, self.limits.allowed(facts.unit())?)
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        Compartments::Limits(relation_limits_text(self.limits, drawing.figures()))
    }
}

/// Returns the wall between two features. Of sizes seen in several orientations those count that leave less
/// room to the limits: the thinnest wall, or the thickest where an upper limit is nearer.
///
/// # Errors
/// What was not measured, or two features between which there is no such wall.
fn wall(a: &MeasuredFeature, b: &MeasuredFeature, allowed: Range) -> Result<Found, Reason> {
    if a.index == b.index {
        return Err(Reason::Twice(a.name.clone()));
    }
    let halves = Reason::both(a.halves(), b.halves());
    let (gap, halves) = Reason::both(Gap::of(a, b), halves)?;
    let walls = [true, false].map(|thin| thickness(&gap, (a, halves.0), (b, halves.1), thin));
    let [thin, thick] = walls;
    let margin = |w: &Thickness| allowed.margin(Length::mm(w.mm));
    let chosen = if margin(&thick) < margin(&thin) { thick } else { thin };
    let measured = Length::mm(chosen.mm);
    let mut steps = gap.steps;
    steps.extend(chosen.steps);
    steps.push(Step::length("wall", measured, chosen.how));
    let dependence = Some(gap.way.dependence(chosen.by_distance, chosen.sizes));
    Ok(Found { measured, held_to: HeldTo::Limits(allowed), steps, dependence })
}

/// How far apart the axes, centre planes and faces are.
struct Gap {
    distance: f64,
    steps: Vec<Step>,
    way: Across,
}

/// Along what it lies.
enum Across {
    Axis { places: Vec<(usize, [f64; 2])> },
    Straight(AxisDistance),
}

impl Across {
    fn dependence(&self, by_distance: f64, sizes: Vec<(SizeRef, f64)>) -> Dependence {
        match self {
            Self::Axis { places } => {
                let times = |(f, g): &(usize, [f64; 2])| (*f, g.map(|g| by_distance * g));
                let places = places.iter().map(times).collect();
                Dependence::Linear(Sensitivities { places, sizes, touches: Vec::new() })
            }
            Self::Straight(apart) => apart.dependence(by_distance, sizes),
        }
    }
}

impl Gap {
    fn of(a: &MeasuredFeature, b: &MeasuredFeature) -> Result<Self, Reason> {
        let axis = match (a.plane, b.plane) {
            (Some(own), Some(other)) if own != other => {
                return Err(Reason::Across(a.name.clone(), b.name.clone()));
            }
            (Some(axis), _) | (None, Some(axis)) => axis,
            (None, None) => {
                let apart = AxisDistance::of(Some(a), b)?;
                let mut steps = apart.steps.clone();
                steps.push(Step::length("distance", Length::mm(apart.mm), apart.how()));
                return Ok(Self { distance: apart.mm, steps, way: Across::Straight(apart) });
            }
        };
        let (start, end) = Reason::both(a.along(axis), b.along(axis))?;
        b.one_read(Some(a), axis)?;
        let sign = if end < start { -1.0 } else { 1.0 };
        let (large, small) = (start.max(end), start.min(end));
        let steps = vec![
            Step::length(a.coordinate(axis), Length::mm(start), how_known(a, axis)),
            Step::length(b.coordinate(axis), Length::mm(end), how_known(b, axis)),
            Step::length(
                "distance",
                Length::mm(large - small),
                vec![Length::mm(large).into(), " − ".into(), Length::mm(small).into()],
            ),
        ];
        let places =
            vec![(b.index, by_coordinate(axis, sign)), (a.index, by_coordinate(axis, -sign))];
        Ok(Self { distance: large - small, steps, way: Across::Axis { places } })
    }
}

struct Thickness {
    mm: f64,
    by_distance: f64,
    sizes: Vec<(SizeRef, f64)>,
    steps: Vec<Step>,
    how: Vec<Term>,
}

/// The wall with the sizes that make it thinnest or thickest.
fn thickness(
    gap: &Gap,
    (a, halves_a): (&MeasuredFeature, [Half; 2]),
    (b, halves_b): (&MeasuredFeature, [Half; 2]),
    thin: bool,
) -> Thickness {
    let d = gap.distance;
    let outer =
        |one: &MeasuredFeature, halves: [Half; 2]| !one.kind.is_internal() && d < halves[1].mm;
    // The inner one of two that lie in each other; neither where they are side by side.
    let inside = match (a.kind.is_internal(), b.kind.is_internal()) {
        (true, false) if outer(b, halves_b) => Some(true),
        (false, true) if outer(a, halves_a) => Some(false),
        _ => None,
    };
    let pick = |halves: [Half; 2], largest: bool| halves[usize::from(largest)];
    let of = |one: &MeasuredFeature, half: Half| {
        let label = format!("half of {}", one.name);
        let how = vec![Length::mm(2.0 * half.mm).into(), " ÷ 2".into()];
        (half.of.is_some()).then(|| Step::length(label, Length::mm(half.mm), how))
    };
    let minus = |half: Half| -> Vec<Term> {
        if half.of.is_some() {
            vec![" − ".into(), Length::mm(half.mm).into()]
        } else {
            Vec::new()
        }
    };
    let size = |half: Half, derivative: f64| half.of.map(|size| (size, derivative));
    if let Some(a_is_inner) = inside {
        let ((inner, i), (outer, o)) = if a_is_inner {
            ((a, halves_a), (b, halves_b))
        } else {
            ((b, halves_b), (a, halves_a))
        };
        let (i, o) = (pick(i, thin), pick(o, !thin));
        let mut how = vec![Length::mm(o.mm).into()];
        how.extend(minus(i));
        how.extend([" − ".into(), Length::mm(d).into()]);
        return Thickness {
            mm: o.mm - i.mm - d,
            by_distance: -1.0,
            sizes: [size(o, 0.5), size(i, -0.5)].into_iter().flatten().collect(),
            steps: [of(outer, o), of(inner, i)].into_iter().flatten().collect(),
            how,
        };
    }
    let (half_a, half_b) = (pick(halves_a, thin), pick(halves_b, thin));
    let mut how = vec![Length::mm(d).into()];
    how.extend(minus(half_a));
    how.extend(minus(half_b));
    Thickness {
        mm: d - half_a.mm - half_b.mm,
        by_distance: 1.0,
        sizes: [size(half_a, -0.5), size(half_b, -0.5)].into_iter().flatten().collect(),
        steps: [of(a, half_a), of(b, half_b)].into_iter().flatten().collect(),
        how,
    }
}
