//! Measured coordinates that cannot be determined, and why.

use super::demand::Demand;
use super::judge::Measured;
use super::{FeatureFinding, Named, Place, Problem, ProblemKind};
use crate::bench::{FactKind, Target, looks_along};
use crate::job::{Feature, Job, Orientation};
use crate::quantity::Axis;
use std::collections::BTreeMap;

/// How many features are named in one sentence.
const MOST: usize = 3;

/// Why coordinates of features that were read in an orientation are not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Reason {
    /// No fact ties the orientation to a datum of the callout.
    NotTied,
    /// The angle of the orientation is to be found from readings that do not give it.
    Angle,
    /// Only this direction was looked along, and it is neither X nor Y.
    Oblique,
}

/// One problem for each orientation and reason, naming the features. What was found of a feature is in
/// the order of the drawing.
pub(super) fn undetermined(
    job: &Job,
    demands: &[Demand<'_>],
    measured: &Measured,
    features: &[FeatureFinding],
) -> Vec<Problem> {
    let bench = &measured.bench;
    let facts = bench.facts();
    let mut found: BTreeMap<(u32, Reason), Vec<usize>> = BTreeMap::new();
    for (f, (demand, finding)) in demands.iter().zip(features).enumerate() {
        let feature = demand.feature;
        let known = [finding.x.at().is_some(), finding.y.at().is_some()];
        let first = demand.asks.first();
        let frame = measured.frames.get(first.and_then(|ask| ask.list));
        let read = facts.read.get(f).copied().unwrap_or_default();
        for (k, axis) in [Axis::X, Axis::Y].into_iter().enumerate() {
            let own = feature.plane_axis().is_none_or(|own| own == axis);
            // What the datums lack is said with the position itself.
            let lacks = first.is_some() && frame.lacks([k == 0, k == 1]).is_some();
            if !read[k] || !own || lacks || known[k] {
                continue;
            }
            let looks = |o: usize, axis: Axis| {
                let up = job.plan.orientations.get(o).map(Orientation::up);
                up.is_some_and(|up| looks_along(up.component(axis)))
            };
            let readings = facts
                .facts
                .iter()
                .filter(|fact| fact.kind == FactKind::Reading && fact.target == Target::Feature(f))
                .filter_map(|fact| facts.zeros.get(fact.zero))
                .map(|zero| zero.orientation);
            let across: Vec<usize> = readings.filter(|o| looks(*o, axis)).collect();
            let Some(o) = across.first().and_then(|o| job.plan.orientations.get(*o)) else {
                continue;
            };
            let oblique = o.up().square_axis().is_none();
            let reason = match () {
                () if o.find_angle => Reason::Angle,
                () if oblique && across.len() == 1 && feature.kind.is_round() => Reason::Oblique,
                () => Reason::NotTied,
            };
            let list = found.entry((o.number, reason)).or_default();
            if !list.contains(&f) {
                list.push(f);
            }
        }
    }
    found
        .into_iter()
        .map(|((o, reason), features)| {
            let what = problem(job, o, reason, named(job, &features));
            Problem::stops(Place::Orientation(o), what)
        })
        .collect()
}

fn problem(job: &Job, orientation: u32, reason: Reason, features: Named) -> ProblemKind {
    let axis = job.orientation(orientation).and_then(|o| o.up().square_axis());
    match reason {
        Reason::NotTied => ProblemKind::NotTied { orientation, axis, features },
        Reason::Angle => ProblemKind::AngleNotFound { orientation, axis, features },
        Reason::Oblique => ProblemKind::ObliqueAlone { orientation, features },
    }
}

fn named(job: &Job, features: &[usize]) -> Named {
    let all = features.iter().filter_map(|f| job.drawing.features.get(*f));
    let named: Vec<String> = all.take(MOST).map(Feature::name).collect();
    Named { more: features.len().saturating_sub(named.len()), features: named }
}
