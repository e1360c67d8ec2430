//! Words and figures for people: how lengths are written, and the sentences that say what was
//! found. Everything here rounds for the eye only; decisions were made before.

mod budget;
mod figures;
mod requirement;
mod sentences;
mod sum;

pub use budget::{BudgetText, budget_text};
pub use figures::{Figures, against, as_typed};
pub use requirement::{datum_words, feature_name, limits_text, requirement, size_text};
pub use sentences::{fault_words, headline, question, reason, sentence, unjudged, verdict_words};
pub use sum::{SumLine, certainty, percent, sum};
