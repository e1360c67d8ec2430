//! The job with all that follows from it.

use quarterturn_core::Job;
use quarterturn_core::bench::{Question, own_point_first};
use quarterturn_core::findings::{PieceFinding, Planned, Problem, Ready};
use std::sync::Arc;

/// The job with all that follows from it for the piece at hand. Made once per change.
#[derive(Clone, Debug)]
pub(crate) struct View {
    /// The job itself.
    pub(crate) job: Arc<Job>,
    /// What is wrong or doubtful in the drawing and the plan.
    pub(crate) problems: Vec<Problem>,
    /// One for each orientation of the plan, in its order.
    pub(crate) planned: Vec<Planned>,
    /// What is found of the piece at hand; `None` in a job without pieces.
    pub(crate) piece: Option<PieceFinding>,
    /// Index of that piece.
    pub(crate) index: usize,
}

impl View {
    /// Works it out.
    pub(crate) fn of(job: &Arc<Job>, index: usize) -> Self {
        let ready = Ready::of(job);
        let piece = ready.piece(index);
        let (problems, planned) = (ready.problems, ready.orientations);
        let piece = piece.map(|mut piece| {
            let named = |q: Question| match planned.iter().find(|p| p.number == q.orientation) {
                Some(of) => own_point_first(job, &of.expected, q),
                None => q,
            };
            piece.questions = piece.questions.into_iter().map(named).collect();
            piece
        });
        Self { job: Arc::clone(job), problems, planned, piece, index }
    }

    /// The readings that are asked about.
    pub(crate) fn questions(&self) -> &[Question] {
        self.piece.as_ref().map_or(&[], |p| &p.questions)
    }
}

/// Two views are the same when they are of the same state: no need to compare what follows.
impl PartialEq for View {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.job, &other.job) && self.index == other.index
    }
}
