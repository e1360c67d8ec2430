//! What is wrong with a probe constant that was found by a trial. Said with what to do, never
//! corrected.

use super::{Place, Problem, Weight};
use crate::job::Job;
use crate::show::probe_doubts;

/// Of every instrument of the plan.
pub(super) fn probes(job: &Job) -> Vec<Problem> {
    let says = job.plan.instruments.iter().flat_map(probe_doubts);
    says.map(|says| Problem { weight: Weight::Warns, place: Place::Drawing, says }).collect()
}
