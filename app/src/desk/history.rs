//! Steps that can be taken back.

use quarterturn_core::Job;
use std::sync::Arc;

/// Steps that can be taken back. A large job keeps fewer of them, since each holds a whole state.
const MOST: usize = 200;
const MOST_OF_A_LARGE_JOB: usize = 30;

/// What a job holds before it counts as large: features and readings together.
const LARGE: usize = 20_000;

/// The states of one job before and after the present one, each with the name of the step between.
/// Another job gets another history, so that no step leads out of a job.
#[derive(Clone, Debug, Default)]
pub(super) struct History {
    past: Vec<(String, Arc<Job>)>,
    future: Vec<(String, Arc<Job>)>,
    /// There were steps before the first one here: of an earlier visit, or too many to be held.
    cut: bool,
}

impl History {
    /// For a job that was kept by an earlier visit: its steps are not kept with it.
    pub(super) fn resumed() -> Self {
        Self { cut: true, ..Self::default() }
    }

    /// What is said where there is nothing to take back.
    pub(super) const fn at_its_end(&self) -> &'static str {
        if self.cut {
            "Nothing to undo: earlier steps, such as those before the page was loaded, are not kept"
        } else {
            "Nothing to undo: this is how the job began"
        }
    }

    /// Notes that the step `what` led away from `before`.
    pub(super) fn did(&mut self, what: String, before: Arc<Job>) {
        let holds = before.drawing.features.len()
            + before.pieces.iter().map(|p| p.readings.len()).sum::<usize>();
        let most = if holds > LARGE { MOST_OF_A_LARGE_JOB } else { MOST };
        if self.past.len() >= most {
            self.past.drain(..=self.past.len() - most);
            self.cut = true;
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

#[cfg(test)]
mod tests {
    use super::*;
    use quarterturn_core::quantity::Unit;

    /// The state after so many steps.
    fn state(steps: u8) -> Arc<Job> {
        let mut job = Job::empty(Unit::Mm);
        job.drawing.decimals = steps;
        Arc::new(job)
    }

    /// A history of so many steps, and the state that they led to.
    fn after(steps: u8) -> (History, Arc<Job>) {
        let mut history = History::default();
        for step in 0..steps {
            history.did(format!("step {step}"), state(step));
        }
        (history, state(steps))
    }

    #[test]
    fn undo_ends_where_the_job_begins_and_redo_brings_all_back() {
        let (mut history, mut now) = after(3);
        for step in (0..3).rev() {
            let (what, before) = history.back(now).unwrap_or_else(|| panic!("step {step}"));
            assert_eq!((what, &before), (format!("step {step}"), &state(step)));
            now = before;
        }
        assert_eq!(history.back(Arc::clone(&now)), None);
        assert_eq!(now, state(0), "the job as it began");
        assert!(history.at_its_end().contains("this is how the job began"));
        for step in 0..3 {
            let (what, after) = history.forth(now).unwrap_or_else(|| panic!("step {step}"));
            assert_eq!((what, &after), (format!("step {step}"), &state(step + 1)));
            now = after;
        }
        assert_eq!(history.forth(now), None);
    }

    #[test]
    fn another_step_takes_the_place_of_those_taken_back() {
        let (mut history, now) = after(2);
        let before = history.back(now).map(|(_, before)| before);
        assert_eq!(before, Some(state(1)));
        history.did("another".to_owned(), state(1));
        assert_eq!(history.forth(state(9)), None);
        assert_eq!(history.back(state(9)), Some(("another".to_owned(), state(1))));
    }

    #[test]
    fn the_oldest_steps_go_first() {
        let mut history = History::default();
        for _ in 0..MOST {
            history.did("old".to_owned(), state(0));
        }
        history.did("new".to_owned(), state(1));
        assert_eq!(history.past.len(), MOST);
        assert!(history.at_its_end().contains("are not kept"));
        assert_eq!(history.back(state(2)), Some(("new".to_owned(), state(1))));
    }

    #[test]
    fn a_job_of_an_earlier_visit_is_not_said_to_begin_where_it_was_taken_up() {
        let mut history = History::resumed();
        history.did("step".to_owned(), state(0));
        assert!(history.back(state(1)).is_some());
        assert_eq!(history.back(state(0)), None);
        assert!(history.at_its_end().contains("are not kept"));
    }
}
