//! Questions about a height that by itself puts a feature outside its zone.
//!
//! A wrong basic coordinate, a bumped zero and a feature that really is out of place look the same: each
//! is asked about once. Only where the datums leave nothing free: where a pattern may shift, a single
//! height condemns nothing.

use super::FeatureFinding;
use super::evaluate::Planned;
use crate::bench::{Guess, Question, Readings};
use crate::callout::{Verdict, Zone};
use crate::job::{DatumRef, Job, Touch};
use crate::notation::Figures;
use crate::pattern::DatumConstraints;
use crate::quantity::{Axis, Length};
use rustc_hash::FxHashMap;

/// So many standard uncertainties are more than chance.
const CLEAR: f64 = 4.0;

/// The questions, for features that are not asked about already.
pub(super) fn place_questions(
    job: &Job,
    orientations: &[Planned],
    readings: &Readings<'_>,
    features: &[FeatureFinding],
) -> Vec<Question> {
    let mut stands: FxHashMap<&[DatumRef], bool> = FxHashMap::default();
    let mut list = Vec::new();
    for (f, found) in features.iter().enumerate() {
        let Some(position) = &found.position else { continue };
        let (Some(covariance), Some(feature)) = (found.covariance, job.drawing.features.get(f))
        else {
            continue;
        };
        if found.in_question || position.verdict == Verdict::Conforms || position.shifted.is_some()
        {
            continue;
        }
        let still = stands.entry(position.datums.as_slice()).or_insert_with(|| {
            DatumConstraints::of(job, &position.datums).is_ok_and(|c| c.stands())
        });
        if !*still {
            continue;
        }
        let allowed = position.allowed * 0.5;
        let beyond = [Axis::X, Axis::Y].into_iter().zip(position.before()).enumerate();
        let worst = beyond
            .filter(|(_, (axis, _))| match position.zone {
                Zone::Round => true,
                Zone::Planes(across) => across == *axis,
            })
            .filter_map(|(k, (axis, deviation))| {
                let deviation = deviation?;
                let standard = Length::mm(covariance[k][k].max(0.0).sqrt());
                let by = deviation.abs() - allowed - standard * CLEAR;
                (by > Length::ZERO).then_some((by, axis, deviation, standard))
            })
            .max_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()));
        let Some((_, axis, deviation, standard)) = worst else { continue };
        let asked = job.plan.orientations.iter().zip(orientations).find_map(|(o, planned)| {
            let reading = readings.get(o.number, &feature.number)?;
            let sign = o.up().component(axis);
            if o.up().square_axis() != Some(axis) {
                return None;
            }
            let touches = [Touch::Centre, Touch::Low, Touch::High];
            let touch = touches.into_iter().find(|t| !reading.values(*t).is_empty())?;
            // Touched again, it has been answered.
            if Touch::ALL.into_iter().any(|t| reading.values(t).len() > 1) {
                return None;
            }
            let raw = reading.values(touch).first()?.length(planned.setup?.unit);
            let expected = planned.expectation(f, touch).and_then(|e| e.raw);
            let deviation = deviation * sign;
            Some(Question {
                orientation: o.number,
                feature: f,
                name: feature.name(),
                touch,
                repeat: 0,
                raw,
                expected: expected.unwrap_or(raw - deviation),
                guess: Guess::PlaceAlone { deviation, allowed, standard },
                figures: Figures::of_readings(job, o),
            })
        });
        list.extend(asked);
    }
    list
}
