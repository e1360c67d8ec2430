//! The unit of a gauge: what a change of it means for readings.

use super::usual;
use crate::desk::{Action, Desk, Tone};
use quarterturn_core::Job;
use quarterturn_core::job::Touch;
use quarterturn_core::quantity::Unit;

/// Readings taken with the instrument, on all pieces and in its trial.
fn taken_with(job: &Job, index: usize) -> usize {
    let with: Vec<u32> =
        job.plan.orientations.iter().filter(|o| o.instrument == index).map(|o| o.number).collect();
    let readings =
        job.pieces.iter().flat_map(|p| &p.readings).filter(|r| with.contains(&r.orientation));
    let touches = readings.map(|r| Touch::ALL.iter().map(|t| r.values(*t).len()).sum::<usize>());
    let checks = job.pieces.iter().flat_map(|p| &p.zero_checks);
    let sweeps = job.pieces.iter().flat_map(|p| &p.sweeps);
    let trial = job.plan.instruments.get(index).and_then(|i| i.probe_found.as_ref());
    touches.sum::<usize>()
        + checks.filter(|z| with.contains(&z.orientation)).count()
        + 2 * sweeps.filter(|s| with.contains(&s.orientation)).count()
        + trial.map_or(0, |t| t.down.len() + t.up.len())
}

/// The unit of a gauge. Readings are never converted: they stay what the gauge showed.
pub(super) fn change_unit(desk: Desk, index: usize, to: Unit) {
    let job = desk.job_untracked();
    let Some(instrument) = job.plan.instruments.get(index) else { return };
    let from = instrument.unit;
    if from == to {
        return;
    }
    let change = move || {
        desk.change("a gauge's unit", |job| {
            let Some(i) = job.plan.instruments.get_mut(index) else { return };
            i.unit = to;
            // An untouched resolution goes with the unit; any other figure stays as typed.
            if let (Some(old), Some(new)) = (usual(from), usual(to))
                && i.resolution == old.resolution
            {
                i.resolution = new.resolution;
            }
        });
    };
    let count = taken_with(&job, index);
    if count == 0 {
        change();
        return;
    }
    desk.say(
        Tone::Ask,
        format!(
            "{count} readings were taken with this gauge in {}; a reading is never converted.",
            from.word()
        ),
        vec![Action::new(format!("It showed {} all along: keep the figures", to.word()), change)],
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use quarterturn_core::job::ProbeTrial;
    use quarterturn_core::quantity::Figure;

    #[test]
    fn all_that_a_gauge_showed_counts_as_taken_with_it() {
        let mut job = Job::empty(Unit::Mm);
        assert_eq!(taken_with(&job, 0), 0);
        job.pieces[0].set_values(1, "B", Touch::Face, vec![Figure(1.0), Figure(1.1)]);
        job.pieces[0].set_zero_check(2, Some(Figure(0.001)));
        job.pieces[0].set_sweep(2, "C", Some((Figure(0.0), Figure(0.002))));
        job.plan.instruments[0].probe_found =
            Some(ProbeTrial { down: vec![Figure(3.0)], ..ProbeTrial::default() });
        assert_eq!(taken_with(&job, 0), 6);
        job.plan.orientations[0].instrument = 1;
        assert_eq!(taken_with(&job, 0), 4);
    }
}
