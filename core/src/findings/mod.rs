//! Findings: everything that follows from a job, for every piece.

mod along;
mod ask;
mod budget;
mod causes;
mod datum_lists;
mod demand;
mod evaluate;
mod frame;
mod frames;
mod judge;
mod pattern;
mod patterned;
mod patterns;
mod probes;
mod problem;
mod relations;
mod remarks;
mod types;
mod undetermined;

pub use budget::{Budget, BudgetLine};
pub use causes::{Cause, causes};
pub use datum_lists::DatumLists;
pub use evaluate::{Planned, Ready, evaluate};
pub use frames::Frames;
pub use pattern::{PatternFinding, Rework, Room};
pub use problem::{
    DrawingProblem, Named, NoDatumFrom, PatternFault, Place, ProbeCause, Problem, ProblemKind,
    Toleranced, Weight,
};
pub use types::{
    Coordinate, Fault, FeatureFinding, Findings, Measurement, PieceFinding, Tally, TouchBudget,
};
