//! How figures are typed and written, whatever they are of, and the bounds of what can be entered.
//!
//! Reading accepts a decimal point or comma, any minus sign, a leading zero or none; what cannot be
//! read is refused with a sentence that says what would be right.

mod bounds;
mod capital;
mod error;
mod figures;
mod fraction;
mod limits;
mod list;
mod number;
mod size_text;
mod trimmed;
mod word;

pub use bounds::{BOUNDS, Bounds};
pub use capital::capital;
pub use error::EntryError;
pub(crate) use error::refuse;
pub use figures::{Compared, Figures, against, as_typed, compared};
pub(crate) use fraction::without_fractions;
pub(crate) use limits::limits;
pub use limits::{size, size_examples};
pub(crate) use list::joined;
pub(crate) use number::plain;
pub use number::{number, numbers};
pub use size_text::size_text;
pub(crate) use trimmed::trimmed;
pub use word::{axis, modifier};
