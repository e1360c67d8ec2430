//! The direction that is square to a face or to the centre plane of a slot or tab.
//!
//! A face that carried the part lay on the plate: up was square to it. One that was only touched, at one
//! place, shows where it is and not which way it runs. It is taken as parallel to the face that carried
//! the part meanwhile, and two faces may be out of parallel by as much as the plan lets two be out of
//! square: ±a, uniform. Of several orientations that look at it the mean counts, since each says the
//! same of it as surely as the other.

use super::{AngleError, FactKind, Facts, Target, UpDirection};
use crate::job::{Feature, Job};
use smallvec::{SmallVec, smallvec};

/// Finds them for all features.
pub(super) fn planes(job: &Job, facts: &mut Facts) {
    let bound = job.plan.conditions.squareness_radians();
    let features = job.drawing.features.iter().enumerate();
    facts.directions.planes = features
        .map(|(index, feature)| {
            if let Some(up) = lay(job, facts, index, feature) {
                return Some(up);
            }
            let seen = looked(job, facts, index, feature);
            parallel(job, facts, &seen, bound)
        })
        .collect();
}

/// Whether an orientation looks along the normal of a plane.
fn along(job: &Job, feature: &Feature, orientation: usize) -> bool {
    let axis = feature.plane_axis();
    let up = job.plan.orientations.get(orientation).and_then(|o| o.up().square_axis());
    axis.is_some() && up == axis
}

/// Up in the orientation in which a face carried the part.
fn lay(job: &Job, facts: &Facts, index: usize, feature: &Feature) -> Option<UpDirection> {
    let target = Target::Feature(index);
    let on = |o: &usize| facts.carried_by[*o].contains(&target) && along(job, feature, *o);
    facts.directions.up.get((0..facts.carried_by.len()).find(on)?).copied()
}

/// The orientations that look along the normal of a plane at it, in the order of their angles, so that
/// the order of the plan decides nothing.
fn looked(job: &Job, facts: &Facts, index: usize, feature: &Feature) -> Vec<usize> {
    let target = Target::Feature(index);
    let here = facts.facts.iter().filter(|f| f.target == target && f.kind != FactKind::Rest);
    let mut seen: Vec<usize> = here
        .filter_map(|f| facts.zeros.get(f.zero))
        .map(|zero| zero.orientation)
        .filter(|o| along(job, feature, *o))
        .collect();
    let angle = |o: &usize| job.plan.orientations.get(*o).map_or(0.0, |o| o.up_degrees);
    seen.sort_by(|a, b| angle(a).total_cmp(&angle(b)).then(a.cmp(b)));
    seen.dedup();
    seen
}

/// The direction of a plane parallel to the faces that carried the part in these orientations, out of
/// parallel by no more than ±`bound`.
fn parallel(
    job: &Job,
    facts: &mut Facts,
    seen: &[usize],
    bound: Option<f64>,
) -> Option<UpDirection> {
    let ups: Vec<UpDirection> =
        seen.iter().filter_map(|o| facts.directions.up.get(*o).copied()).collect();
    let first = *ups.first()?;
    let drawn = job.plan.orientations.get(*seen.first()?)?.up_degrees.to_radians();
    let share = 1.0 / ups.len() as f64;
    let lean = ups.iter().map(|up| up.lean).sum::<f64>() * share;
    let alike = ups.iter().all(|up| up.error == first.error);
    let error = match bound {
        None if alike => first.error,
        _ => {
            let mut others: SmallVec<[(usize, f64); 2]> = smallvec![];
            for error in ups.iter().filter_map(|up| up.error) {
                match others.iter_mut().find(|(own, _)| *own == error) {
                    Some((_, sum)) => *sum += share,
                    None => others.push((error, share)),
                }
            }
            let standard = bound.unwrap_or(0.0) / 3.0_f64.sqrt();
            facts.directions.errors.push(AngleError::From { others, standard });
            Some(facts.directions.errors.len() - 1)
        }
    };
    Some(UpDirection { angle: drawn + lean, lean, error })
}
