//! What the drawing asks for, held against what was measured.
//!
//! One file for each requirement. A requirement's finding carries every figure that led to its
//! verdict, unrounded, so that it can be followed with a calculator.

mod position;
mod proof;
mod relation;
mod requirement_finding;
mod salvage;
mod size;
mod verdict;

pub use position::{
    Asked, Bonus, NoBonus, PositionFinding, Segment, Shifted, Unjudged, Zone, judge_position,
    shift_position,
};
pub use proof::{
    K, PlaceEvidence, Proof, SizeEvidence, SizeKnown, decisive, prove_margin, prove_position,
    prove_size,
};
pub use relation::{BonusSize, Certainty, RelationFinding, RelationUnjudged};
pub use requirement_finding::{NoVerdict, RequirementFinding};
pub use salvage::{Guard, Salvage, salvage};
pub use size::{Bound, SizeFinding, SizeSeen, judge_size};
pub use verdict::Verdict;
