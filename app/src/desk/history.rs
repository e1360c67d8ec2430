//! Steps that can be taken back.

use quarterturn_core::Job;
use std::sync::Arc;

/// Steps that can be taken back. A large job keeps fewer of them, since each holds a whole state.
const MOST: usize = 200;
const MOST_OF_A_LARGE_JOB: usize = 30;

/// What a job holds before it counts as large: features and readings together.
const LARGE: usize = 20_000;

/// The states before and after the present one, each with the name of the step between.
#[derive(Clone, Debug, Default)]
pub(super) struct History {
    past: Vec<(String, Arc<Job>)>,
    future: Vec<(String, Arc<Job>)>,
}

impl History {
    /// Notes that the step `what` led away from `before`.
    pub(super) fn did(&mut self, what: String, before: Arc<Job>) {
        let holds = before.drawing.features.len()
            + before.pieces.iter().map(|p| p.readings.len()).sum::<usize>();
        let most = if holds > LARGE { MOST_OF_A_LARGE_JOB } else { MOST };
        if self.past.len() >= most {
            self.past.drain(..=self.past.len() - most);
        }
        self.past.push((what, before));
        self.future.clear();
    }

    /// The last step's name and the state before it; `now` can be come back to.
    pub(super) fn back(&mut self, now: Arc<Job>) -> Option<(String, Arc<Job>)> {
        let (what, before) = self.past.pop()?;
        self.future.push((what.clone(), now));
        Some((what, before))
    }

    /// The step taken back last and the state after it.
    pub(super) fn forth(&mut self, now: Arc<Job>) -> Option<(String, Arc<Job>)> {
        let (what, after) = self.future.pop()?;
        self.past.push((what.clone(), now));
        Some((what, after))
    }
}
