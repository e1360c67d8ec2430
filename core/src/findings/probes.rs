//! What is wrong with a probe constant that was found by a trial. Reported with what to do, never
//! corrected.

use super::{Place, Problem, ProblemKind};
use crate::bench::ProbeFound;
use crate::job::{Instrument, Job};
use crate::notation::Figures;

/// Of every instrument of the plan.
pub(super) fn probes(job: &Job) -> Vec<Problem> {
    job.plan.instruments.iter().flat_map(doubts).collect()
}

fn doubts(instrument: &Instrument) -> Vec<Problem> {
    let Some(found) = ProbeFound::of(instrument) else { return Vec::new() };
    let figures = Figures::of_instrument(instrument).finer(1);
    let problem = |doubt| ProblemKind::Probe {
        gauge: instrument.called(),
        constant: found.constant,
        doubt,
        figures,
    };
    let doubts = found.doubts(instrument).into_iter();
    doubts.map(|doubt| Problem::warns(Place::Drawing, problem(doubt))).collect()
}
