//! Words and figures for people: how lengths are written, and the sentences that say what was
//! found. Everything here rounds for the eye only; decisions were made before.

mod arithmetic;
mod at_bench;
mod budget;
mod cause;
mod chain;
mod document_record;
mod drawing_problem;
mod line_fault;
mod lot;
mod network_fault;
mod pattern;
mod probe;
mod problem;
mod question;
mod record;
mod relation;
mod removed;
mod requirement;
mod requirement_row;
mod sentences;
mod setup_problem;
mod sum;
mod sweep;

pub use at_bench::{offer_words, remedy_words, so_far};
pub use budget::{BudgetText, budget_sum, budget_text, factor};
pub use cause::{CauseText, cause_text};
pub use document_record::{document_changes, last_document_change};
pub use drawing_problem::field_word;
pub use line_fault::line_fault;
pub use lot::{Lot, count_of_pieces, piece_says, piece_verdict_words, tally_says};
pub use pattern::{
    DatumText, MemberText, PatternText, pattern_name, pattern_sentence, pattern_text,
};
pub use probe::{probe_doubts, probe_trial};
pub use question::question;
pub use record::{corrections, removed_pieces};
pub use relation::{
    grid_text, relation_reason, relation_sentence, relation_sum, relation_text, relation_unjudged,
    relation_word,
};
pub use removed::rows_removed;
pub use requirement::{
    callouts_text, datum_words, datums_behind_a_boundary, datums_text, feature_name, limits_text,
    requirement, segment_name, segment_text,
};
pub use requirement_row::{BonusText, RequirementRow, certainty, relation_certainty};
pub use sentences::{fault_words, headline, reason, sentence, unjudged, verdict_words};
pub use sum::{SumLine, percent, sum};
pub use sweep::{SweepText, sweeps};

pub use crate::notation::{Figures, against, as_typed, capital, size_text};
pub use crate::relation::{range_text, relation_limits_text};
