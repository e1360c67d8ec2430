//! Findings: everything that follows from a job, for every piece.

mod evaluate;
mod frame;
mod problem;
mod types;

pub use evaluate::{Planned, Ready, evaluate};
pub use problem::{Place, Problem, Weight};
pub use types::{Coordinate, Fault, FeatureFinding, Findings, PieceFinding, Tally};
