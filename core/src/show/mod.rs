//! Words and figures for people: how lengths are written, and the sentences that say what was
//! found. Everything here rounds for the eye only; decisions were made before.

mod budget;
mod cause;
mod chain;
mod figures;
mod line;
mod pattern;
mod probe;
mod record;
mod requirement;
mod sentences;
mod sum;
mod sweep;

pub use budget::{BudgetText, budget_sum, budget_text, factor};
pub use cause::{CauseText, cause_text};
pub use figures::{Figures, against, as_typed};
pub use line::{
    grid_text, line_certainty, line_figures, line_limits_text, line_reason, line_sentence,
    line_sum, line_text, line_unjudged, line_word, range_text,
};
pub use pattern::{
    DatumText, MemberText, PatternText, pattern_name, pattern_sentence, pattern_text,
};
pub use probe::{probe_doubts, probe_trial};
pub use record::{corrections, removed_pieces};
pub use requirement::{
    callouts_text, datum_words, feature_name, limits_text, requirement, segment_name, segment_text,
    size_text,
};
pub use sentences::{
    fault_words, guard_side, headline, question, reason, sentence, shift_words, unjudged,
    verdict_words,
};
pub use sum::{SumLine, certainty, percent, sum};
pub use sweep::{SweepText, sweeps};
