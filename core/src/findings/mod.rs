//! Findings: everything that follows from a job, for every piece.

mod along;
mod budget;
mod evaluate;
mod frame;
mod loose;
mod measured;
mod patterns;
mod problem;
mod remarks;
mod types;

pub use budget::BudgetLine;
pub use evaluate::{Planned, Ready, evaluate};
pub use problem::{Place, Problem, Weight};
pub use types::{
    Coordinate, Fault, FeatureFinding, Findings, Measurement, PieceFinding, Tally, TouchDoubt,
};
