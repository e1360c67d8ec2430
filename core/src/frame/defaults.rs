//! What a frame counts from along an axis that no datum takes: what the orientations count from.
//!
//! The choice depends on the drawing and on what carried or zeroed the part, not on the order of the
//! orientations or of the readings.

use super::roles::AXES;
use super::{Anchor, Place};
use crate::adjust::Adjustment;
use crate::bench::{FactKind, Target, looks_along};
use crate::job::{Datum, Job};
use crate::quantity::Axis;
use rustc_hash::FxHashSet;

/// The anchors along axis `k`, of orientations that look along it, the best first: faces and edges that
/// carried the part, then features that were set to zero, then datum features; of each, datum features
/// of the drawing before others.
/// Where a callout leaves the translation `free`, any feature that was read will do, since only
/// differences count.
pub(super) fn anchors(job: &Job, bench: &Adjustment, k: usize, free: bool) -> Vec<Anchor> {
    let axis = AXES[k];
    let is_datum = |target: Target| match target {
        Target::Feature(i) => job.drawing.features.get(i).is_some_and(|f| {
            job.drawing.datums.iter().flat_map(Datum::carriers).any(|n| *n == f.number)
        }),
        Target::Edge(_) => false,
    };
    // By the numbers that things have, and not by where they stand in the document.
    let mut found: Vec<(usize, bool, u32, String, Target)> = Vec::new();
    let name = |target: Target| match target {
        Target::Feature(i) => {
            job.drawing.features.get(i).map_or_else(String::new, |f| f.number.clone())
        }
        Target::Edge(side) => format!("edge {}", side as usize),
    };
    let mut add = |rank: usize, orientation: u32, target: Target| {
        found.push((rank, !is_datum(target), orientation, name(target), target));
    };
    let facts = bench.facts();
    let looks = |zero: usize| {
        let orientation =
            facts.zeros.get(zero).and_then(|z| job.plan.orientations.get(z.orientation));
        orientation.is_some_and(|o| looks_along(o.up().component(axis)))
    };
    for fact in facts.facts.iter().filter(|fact| looks(fact.zero)) {
        let carried = facts.zeros.get(fact.zero).is_some_and(|zero| {
            facts.carried_by.get(zero.orientation).is_some_and(|on| on.contains(&fact.target))
        });
        let orientation = facts
            .zeros
            .get(fact.zero)
            .and_then(|zero| job.plan.orientations.get(zero.orientation))
            .map_or(0, |o| o.number);
        match fact.kind {
            FactKind::Rest => add(0, orientation, fact.target),
            FactKind::Zero if carried => add(0, orientation, fact.target),
            FactKind::Zero => add(1, orientation, fact.target),
            FactKind::Reading => {}
        }
    }
    let by_number = job.drawing.by_number();
    for number in job.drawing.datums.iter().flat_map(Datum::carriers) {
        if let Some(feature) = by_number.get(number.as_str()) {
            add(2, 0, Target::Feature(*feature));
        }
    }
    if free {
        (0..job.drawing.features.len()).for_each(|i| add(3, 0, Target::Feature(i)));
    }
    found.sort_unstable_by(|a, b| (a.0, a.1, a.2, &a.3).cmp(&(b.0, b.1, b.2, &b.3)));
    let mut seen = FxHashSet::default();
    found.retain(|(.., target)| seen.insert(*target));
    found.into_iter().filter_map(|(.., target)| anchor(job, bench, target, axis)).collect()
}

fn anchor(job: &Job, bench: &Adjustment, target: Target, axis: Axis) -> Option<Anchor> {
    let (unit, k) = (job.drawing.unit, usize::from(axis == Axis::Y));
    let basic = match target {
        Target::Feature(i) => {
            let feature = job.drawing.features.get(i)?;
            feature.basic(axis, unit).filter(|_| bench.observed(i)[k])?
        }
        Target::Edge(side) => {
            let outline = job.drawing.outline.filter(|_| side.axis() == axis)?;
            outline.edge(side).length(unit)
        }
    };
    let place = Place::of(bench, target, [k == 0, k == 1])?;
    Some(Anchor { place, basic: basic.to_mm() })
}
