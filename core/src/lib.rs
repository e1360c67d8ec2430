//! Quarterturn's core: from a drawing and height gauge readings to findings and a sheet.
//!
//! Data goes one way, and each stage is a function from plain values to plain values:
//!
//! ```text
//! job      the document: drawing, measuring plan, pieces, record
//!  -> bench    touches, zeros, probe constant     -> heights and sizes
//!  -> adjust   heights of all orientations        -> coordinates
//!  -> callout  size, position, salvage            -> verdicts and their figures
//!  -> findings all of it, for every piece         (`evaluate`)
//!  -> picture, sheet   placed marks on pages      -> mark: svg | pdf
//! ```
//!
//! There is no browser, clock, randomness or storage in here: dates and identifiers come in
//! as arguments.

pub mod adjust;
pub mod bench;
pub mod callout;
pub mod capture;
pub mod cause;
pub mod chance;
pub mod entry;
pub mod feature;
pub mod findings;
pub mod fit;
pub mod form;
pub mod frame;
pub mod grade;
pub mod job;
pub mod mark;
pub mod network;
pub mod notation;
pub mod pattern;
pub mod picture;
pub mod quantity;
pub mod relation;
pub mod sheet;
pub mod show;
#[cfg(test)]
mod testing;

pub use findings::{Findings, evaluate};
pub use job::Job;
