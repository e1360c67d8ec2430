//! The network that the facts of one piece make.

use super::{Adjustment, AdjustmentFault};
use crate::bench::{AngleError, Directions, Fact, Facts, Target, UpDirection};
use crate::job::{Feature, Job};
use crate::network::{Direction, Network, Observation, Offset, Point, Prior, Systematic};
use crate::quantity::{Axis, Length, Side, Unit};
use std::f64::consts::FRAC_PI_2;

/// Adjusts all facts of a piece together. Nothing of the drawing is taken for true: its coordinates
/// say where to start and how long the arms are by which an error of angle acts.
#[must_use]
pub fn adjust(job: &Job, facts: Facts) -> Adjustment {
    let mut point_of = vec![None; job.drawing.features.len()];
    let mut edge_of = [None; 4];
    let mut network = Network {
        angle_errors: facts.directions.errors.iter().map(prior).collect(),
        directions: facts.directions.up.iter().map(|d| direction(&facts.directions, d)).collect(),
        offsets: facts
            .zeros
            .iter()
            .map(|zero| Offset { direction: zero.orientation, prior: Prior::Free })
            .collect(),
        systematics: facts
            .common
            .iter()
            .map(|c| Systematic { prior: Prior::About { value: 0.0, standard: c.standard() } })
            .collect(),
        ..Network::default()
    };
    for fact in &facts.facts {
        let slot = match fact.target {
            Target::Feature(i) => &mut point_of[i],
            Target::Edge(side) => &mut edge_of[side as usize],
        };
        let point = *slot.get_or_insert_with(|| {
            network.points.push(point(job, fact.target));
            network.points.len() - 1
        });
        network.observations.push(observation(&facts, fact, point));
    }
    if network.observations.is_empty() {
        return Adjustment::nothing(facts, None);
    }
    match network.adjust() {
        Ok(adjusted) => Adjustment::new(job, facts, adjusted, point_of, edge_of),
        Err(fault) => Adjustment::nothing(facts, Some(AdjustmentFault::Network(fault))),
    }
}

/// What is known of the part of an error of angle that is its own.
fn prior(error: &AngleError) -> Prior {
    match *error {
        AngleError::Bounded(standard) | AngleError::From { standard, .. } => {
            Prior::About { value: 0.0, standard }
        }
        AngleError::Free => Prior::Free,
    }
}

fn direction(all: &Directions, up: &UpDirection) -> Direction {
    let mut direction = Direction::exact(up.angle);
    if let Some(error) = up.error {
        // An edge measured against another one has all of its error.
        all.parts(error, 1.0, &mut |part, _| direction.angle_errors.push(part));
    }
    direction
}

fn observation(facts: &Facts, fact: &Fact, point: usize) -> Observation {
    let height = fact.height;
    let mut seen = Observation::new(point, fact.zero, height.to_mm(), fact.standard.to_mm());
    for (i, common) in facts.common.iter().enumerate() {
        let a = common.coefficient(fact.measure());
        if a != 0.0 {
            seen = seen.with(i, a);
        }
    }
    seen
}

fn point(job: &Job, target: Target) -> Point {
    let near = near(job, target).map(Length::to_mm);
    let normal = match target {
        Target::Feature(i) => job.drawing.features.get(i).and_then(Feature::plane_axis),
        Target::Edge(side) => Some(side.axis()),
    };
    match normal {
        Some(Axis::X) => Point::plane(near, 0.0),
        Some(Axis::Y) => Point::plane(near, FRAC_PI_2),
        None => Point::axis(near),
    }
}

/// Where a target is about, by the drawing. A plane that the drawing places along its normal alone is
/// taken at the middle of the outline, whatever the drawing's origin.
pub(super) fn near(job: &Job, target: Target) -> [Length; 2] {
    let unit: Unit = job.drawing.unit;
    let outline = job.drawing.outline;
    let middle = |axis: Axis| {
        let ends = |low: Side, high: Side| {
            outline.map(|o| (o.edge(low).length(unit) + o.edge(high).length(unit)) * 0.5)
        };
        match axis {
            Axis::X => ends(Side::MinusX, Side::PlusX),
            Axis::Y => ends(Side::MinusY, Side::PlusY),
        }
        .unwrap_or_default()
    };
    let own = |axis: Axis| match target {
        Target::Feature(i) => job.drawing.features.get(i).and_then(|f| f.basic(axis, unit)),
        Target::Edge(side) => {
            let edge = || outline.map(|o| o.edge(side).length(unit));
            (side.axis() == axis).then(edge).flatten()
        }
    };
    [Axis::X, Axis::Y].map(|axis| own(axis).unwrap_or_else(|| middle(axis)))
}
