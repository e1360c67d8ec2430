//! ISO 286 tolerance classes: from `10 H7` to limits of size.
//!
//! ```text
//! text  ->  Class (letters, inner or outer, grade)           parse
//! nominal size + grade  ->  width of the tolerance           standard_tolerance
//! nominal size + class  ->  lower and upper deviation        deviations
//! ```
//!
//! The tables are those of ISO 286-1 for nominal sizes to 3150 mm, inner features A to ZC and
//! outer features a to zc, grades IT01 to IT18. Whole tables are kept for the tolerance grades and
//! for the deviations of outer features; inner features follow from them by the rules of the
//! standard (mirrored about zero, with Δ where it applies). The formulas of the standard's annex
//! are not used: with their rounding they miss the printed tables here and there, and the tables
//! are what counts.
//!
//! What the tables leave blank does not exist, and [`Undefined`] says why.

mod class;
mod deviation;
mod it;
mod letter;
mod outer;
mod parse;
mod size;
mod tolerance;
mod undefined;

pub use class::{Class, Surface};
pub use deviation::{Deviations, deviations};
pub use it::Grade;
pub use letter::Letter;
pub use parse::{ParseError, parse};
pub use tolerance::standard_tolerance;
pub use undefined::Undefined;
