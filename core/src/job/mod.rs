//! The document: one drawing, one measuring plan, any number of pieces, and the record of
//! corrections.
//!
//! Everything here is permissive about what is still missing, since a job is typed in bit
//! by bit, and strict about what is there. What is missing for a finding is said by
//! [`crate::findings`]; what can be no job at all is refused by [`read`].

mod convert;
mod datum_ref;
mod document_record;
mod drawing;
mod edit;
mod feature;
mod figures;
mod fingerprint;
mod material;
mod not_understood;
mod older;
mod parts;
mod piece;
mod piece_record;
mod plan;
mod read;
mod record;
mod shipment;
mod standard;
mod together;

pub use datum_ref::{Boundary, DatumRef};
pub use document_record::{Basis, Changed, DocumentChange, DocumentEntry, Stated};
pub use drawing::{Datum, DatumPattern, Drawing, Outline, PatternKind};
pub use feature::{Callout, Feature, Position, Segment};
pub use fingerprint::fingerprint;
pub use material::{MATERIALS, Material};
pub use not_understood::{DrawingPlace, DrawingText, FeatureField, NotUnderstood, OutlineField};
pub use parts::{document_text, join_parts, piece_text, same_document};
pub use piece::{Grid, Piece, Reading, Squareness, Sweep, Touch, ZeroCheck};
pub use piece_record::{PieceChange, PieceEntry, match_pieces};
pub use plan::{
    Blocks, Conditions, Coverage, DecisionRule, Instrument, Orientation, Plan, Probe, ProbeTrial,
    ProbeWay, Rest, Slope, Taken, UnknownHeight, Zero,
};
pub use read::{FORMAT, ReadError, VERSION, read, schema, write, write_compact};
pub use record::{Correction, Observed, ZeroChange, record_changes};
pub use shipment::{Paper, Shipment};
pub use standard::Standard;
pub use together::{JudgedWith, Together};

pub use crate::feature::{Kind, Limits, Modifier, SizeLimits};
pub use crate::notation::{BOUNDS, Bounds};
pub use crate::relation::{Along, Range, Relation, RelationKind, RelationLimits};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A whole job, as it is saved to a file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Always `"quarterturn job"`.
    pub format: String,
    /// Version of this format; this program writes version 4 and reads 1 to 4.
    pub version: u32,
    /// True for the example that comes with the program; it is marked on every page.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub demo: bool,
    /// What the parts are and what the drawing asks for.
    pub drawing: Drawing,
    /// How the parts are measured.
    pub plan: Plan,
    /// What the sheet says of the order and of itself.
    #[serde(default)]
    pub shipment: Shipment,
    /// The parts measured, each with its readings.
    pub pieces: Vec<Piece>,
    /// Every observation that was replaced or taken back, oldest first. Only ever appended to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub record: Vec<Correction>,
    /// Every piece that was removed, as it was, and every serial number that was changed, oldest
    /// first. Only ever appended to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub piece_record: Vec<PieceEntry>,
    /// Every change of drawing, plan and statements after something was measured, oldest first. Only
    /// ever appended to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub document_record: Vec<DocumentEntry>,
}
