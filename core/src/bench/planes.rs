//! The direction that is square to a face or to the centre plane of a slot or tab.
//!
//! A face that carried the part lay on the plate: up was square to it. One that was only touched, at one
//! place, shows where it is and not which way it runs. It is taken as parallel to the face that carried
//! the part meanwhile, and two faces may be out of parallel by as much as the plan lets two be out of
//! square: ±a, uniform. Of several orientations that look at it the mean counts, since each says the
//! same of it as surely as the other.

use super::{AngleError, FactKind, Facts, Target, UpDirection};
use crate::job::{Feature, Job, Kind};
use smallvec::{SmallVec, smallvec};

/// Finds them for all features.
pub(super) fn planes(job: &Job, facts: &mut Facts) {
    let bound = job.plan.conditions.squareness_radians();
    let features = job.drawing.features.iter().enumerate();
    let looked = looked(job, facts);
    facts.directions.planes = features
        .zip(looked)
        .map(|((index, feature), seen)| {
            if let Some(up) = lay(job, facts, index, feature) {
                return Some(up);
            }
            // Other slots and tabs have no direction that counts, and there may be many.
            let counts = feature.kind == Kind::Face || carries_datum(job, &feature.number);
            parallel(job, facts, &seen, bound.filter(|_| counts))
        })
        .collect();
}

fn carries_datum(job: &Job, number: &str) -> bool {
    job.drawing.datums.iter().any(|d| d.feature.as_deref() == Some(number))
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

/// For each feature the orientations that look at it along the normal of its plane, in the order of their
/// angles, so that the order of the plan decides nothing.
fn looked(job: &Job, facts: &Facts) -> Vec<Vec<usize>> {
    let mut looked = vec![Vec::new(); job.drawing.features.len()];
    for fact in facts.facts.iter().filter(|f| f.kind != FactKind::Rest) {
        let Target::Feature(index) = fact.target else { continue };
        let (feature, zero) = (job.drawing.features.get(index), facts.zeros.get(fact.zero));
        let (Some(feature), Some(zero)) = (feature, zero) else { continue };
        if along(job, feature, zero.orientation) {
            looked[index].push(zero.orientation);
        }
    }
    let angle = |o: &usize| job.plan.orientations.get(*o).map_or(0.0, |o| o.up_degrees);
    for seen in &mut looked {
        seen.sort_by(|a, b| angle(a).total_cmp(&angle(b)).then(a.cmp(b)));
        seen.dedup();
    }
    looked
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
