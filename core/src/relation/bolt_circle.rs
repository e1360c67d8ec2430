//! A bolt circle: the least-squares circle through the centres of holes.

use super::typed::{Typed, feature};
use super::vector::turn;
use super::written::{quoted, relation_limits_text};
use super::{
    Compartments, Dependence, Facts, Found, FrameNeed, HeldTo, MeasuredFeature, OnDrawing, Range,
    Reason, RelationLimits, Requirement, Step, Term,
};
use crate::feature::Kind;
use crate::form::{Circle, Form, circle};
use crate::notation::{BOUNDS, EntryError, refuse};
use crate::quantity::{Axis, Figure, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A bolt circle: the circle through the centres of holes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoltCircle {
    /// The holes, three at least.
    pub of: Vec<String>,
    /// Limits of the diameter of the circle.
    pub diameter: RelationLimits,
}

impl Requirement for BoltCircle {
    fn words() -> &'static [&'static str] {
        &["circle", "bolt"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[("circle 1 2 3 4 5 6 60 ±0.1", "bolt circle and its diameter")]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        let (features, rest) = typed.words.split_at(typed.where_limits_begin());
        if features.len() < 3 {
            return refuse(
                "A circle goes through three holes at least. Write it like circle 1 2 3 4 5 6 60 ±0.1.",
            );
        }
        let most = BOUNDS.relation_features;
        if features.len() > most {
            return refuse(format!("A circle goes through {most} holes at most."));
        }
        let of = features.iter().map(feature).collect::<Result<_, _>>()?;
        Ok(Self { of, diameter: typed.limits(rest)? })
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        let of: Vec<String> = self.of.iter().map(|number| quoted(number)).collect();
        let diameter = relation_limits_text(self.diameter, drawing.figures());
        format!("circle {} {diameter}", of.join(" "))
    }

    fn word(&self, _drawing: &dyn OnDrawing) -> &'static str {
        "bolt circle"
    }

    fn features(&self) -> Vec<&str> {
        self.of.iter().map(String::as_str).collect()
    }

    fn features_mut(&mut self) -> Vec<&mut String> {
        self.of.iter_mut().collect()
    }

    fn name(&self, called: &dyn Fn(&str) -> String) -> String {
        match self.of.as_slice() {
            [first, .., last] if self.of.len() > 3 => {
                format!("{} features, {} to {}", self.of.len(), called(first), called(last))
            }
            few => few.iter().map(|one| called(one)).collect::<Vec<_>>().join(", "),
        }
    }

    fn limits(&self) -> Option<RelationLimits> {
        Some(self.diameter)
    }

    fn figures_mut(&mut self) -> Vec<&mut Figure> {
        self.diameter.figures_mut()
    }

    /// Its centre and the angles of its holes are reported in the frame.
    fn frame(&self, _kind: &dyn Fn(&str) -> Option<Kind>) -> FrameNeed {
        FrameNeed::Coordinates
    }

    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let holes: Vec<MeasuredFeature> =
            self.of.iter().map(|number| facts.feature(number)).collect::<Result<_, _>>()?;
        bolt_circle(&holes, self.diameter.allowed(facts.unit())?)
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        let diameter = relation_limits_text(self.diameter, drawing.figures());
        Compartments::Limits(format!("⌀ {diameter}"))
    }
}

/// Returns the circle with the least sum of squared distances of the centres from it (the geometric
/// fit; W. Gander, G. H. Golub, R. Strebel, BIT 34 (1994) 558), its diameter against the limits, and
/// beside it the centre, the angle of each hole from +X, and how far it is off the circle. Where
/// the drawing gives all basic places, the angle is held against the one on the basic circle.
///
/// # Errors
/// What was not measured; fewer than three holes, or holes on one line.
fn bolt_circle(holes: &[MeasuredFeature], allowed: Range) -> Result<Found, Reason> {
    for (i, hole) in holes.iter().enumerate() {
        hole.round()?;
        if holes.iter().take(i).any(|other| other.index == hole.index) {
            return Err(Reason::Twice(hole.name.clone()));
        }
    }
    if holes.len() < 3 {
        return Err(Reason::TooFewHoles);
    }
    let mut missing = Vec::new();
    let mut places = Vec::with_capacity(holes.len());
    for hole in holes {
        match hole.axis() {
            Ok(at) => places.push(at),
            Err(Reason::NotMeasured(more)) => missing.extend(more),
            Err(why) => return Err(why),
        }
    }
    if let Some(first) = holes.first().filter(|_| missing.is_empty()) {
        for axis in [Axis::X, Axis::Y] {
            if holes.iter().all(|hole| !hole.was_read(axis)) {
                missing.push(first.coordinate(axis));
            }
        }
    }
    if !missing.is_empty() {
        return Err(Reason::NotMeasured(missing));
    }
    let found = through(&places)?;
    let basic: Option<Vec<[f64; 2]>> = holes.iter().map(|h| h.basic_axis().ok()).collect();
    let basic = basic.and_then(|places| through(&places).ok());
    let diameter = Length::mm(2.0 * found.radius);
    let centre = |label: &str, i: usize| {
        let at = Length::mm(found.centre[i]);
        let how = basic.as_ref().map_or_else(Vec::new, |b| {
            let off = Length::mm(found.centre[i] - b.centre[i]);
            vec![Term::Signed(off), " from its basic place".into()]
        });
        Step::length(label, at, how)
    };
    let mut steps = vec![centre("centre x", 0), centre("centre y", 1)];
    steps.push(Step::length("radius", Length::mm(found.radius), vec!["least squares".into()]));
    let how = vec!["2 × ".into(), Length::mm(found.radius).into()];
    steps.push(Step::length("diameter", diameter, how));
    for (i, (hole, on)) in holes.iter().zip(&found.points).enumerate() {
        let mut how = Vec::new();
        if let Some(nominal) = basic.as_ref().and_then(|b| b.points.get(i)) {
            how.extend([Term::Angle(turn(on.angle - nominal.angle)), " from basic, ".into()]);
        }
        how.extend([Term::Signed(Length::mm(on.residual)), " off the circle".into()]);
        steps.push(Step {
            label: format!("angle of {}", hole.name),
            figure: Some(Term::Angle(on.angle)),
            how,
        });
    }
    let slopes = holes.iter().zip(&found.follows);
    let slopes = slopes.map(|(hole, [_, _, radius])| (hole.index, radius.map(|r| 2.0 * r)));
    Ok(Found {
        measured: diameter,
        held_to: HeldTo::Limits(allowed),
        steps,
        dependence: Some(Dependence::on_places(slopes.collect())),
    })
}

fn through(places: &[[f64; 2]]) -> Result<Circle, Reason> {
    match circle(places) {
        Ok(Form::Found(circle)) => Ok(circle),
        Ok(Form::TooFew { .. }) => Err(Reason::TooFewHoles),
        Ok(Form::OnOneLine | Form::AtOnePlace) => Err(Reason::OnOneLine),
        Err(_) => Err(Reason::Figures),
    }
}
