//! What people type or paste, read into figures and features.
//!
//! Decimal point or comma, any minus sign, leading zero or none. What cannot be read is refused
//! with a sentence that says what would be right; nothing is guessed.

mod bare;
mod callout;
mod datum;
mod figure;
mod grid;
mod line;
mod size;
mod table;
mod together;
mod word;

pub use bare::{celsius, expansion, kelvin, millionths, multiple};
pub use callout::callouts;
pub use datum::{Carrier, carrier, carrier_text};
pub use figure::{number, numbers};
pub use grid::grid;
pub(crate) use line::must_quote;
pub use line::{LINE_EXAMPLES, line};
pub use size::size;
pub use table::{Pasted, Refused, table};
pub use word::{axis, datums, degrees, kind, modifier, side};

use std::fmt;

/// Why a text was refused, in a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryError(pub String);

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for EntryError {}

pub(crate) fn refuse<T>(why: impl Into<String>) -> Result<T, EntryError> {
    Err(EntryError(why.into()))
}
