//! What people type or paste, read into figures and features.
//!
//! Decimal point or comma, any minus sign, leading zero or none. What cannot be read is refused
//! with a sentence that says what would be right; nothing is guessed.

mod bare;
mod callout;
mod datum;
mod grid;
mod kind;
mod symbols;
mod table;
mod together;
mod word;

pub use bare::{celsius, expansion, kelvin, millionths, multiple};
pub use callout::{callout_example, callouts};
pub use datum::{Carrier, carrier, carrier_text};
pub use grid::grid;
pub use kind::kind;
pub use table::{Column as TableColumn, Pasted, PastedColumn, Refused, table};
pub use word::{datums, degrees, side};

pub(crate) use crate::notation::refuse;
pub use crate::notation::{EntryError, axis, modifier, number, numbers, size, size_examples};
pub use crate::relation::{examples as relation_examples, parse as relation};
