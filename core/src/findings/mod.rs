//! Findings: everything that follows from a job, for every piece.

mod along;
mod budget;
mod causes;
mod datum_lists;
mod datum_reference;
mod demand;
mod drawing_checks;
mod evaluate;
mod frames;
mod guard_bands;
mod judge;
mod opposite;
mod pattern_finding;
mod pattern_judgement;
mod place_questions;
mod position_requirement;
mod probes;
mod problem;
mod reading_checks;
mod relations;
mod remarks;
mod remedy;
mod row_questions;
mod size_questions;
mod symmetry;
mod types;
mod undetermined;

pub use budget::{Budget, BudgetLine};
pub use causes::{Cause, causes};
pub use datum_lists::DatumLists;
pub use evaluate::{Planned, Ready, evaluate};
pub use frames::Frames;
pub use pattern_finding::{PatternFinding, Rework, Room};
pub use problem::{
    DrawingProblem, Named, NoDatumFrom, OppositeCause, PatternFault, Place, PlanProblem,
    ProbeCause, Problem, ProblemKind, Toleranced, Turn, Weight,
};
pub use remedy::Remedy;
pub use types::{
    Coordinate, Fault, FeatureFinding, Findings, Measurement, PieceFinding, Tally, TouchBudget,
};
