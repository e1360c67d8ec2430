//! What the datums of a callout leave free, and the boundaries within which datum features of
//! size may move: what a functional gauge would be made of.

mod boundary;
mod constraints;

pub use boundary::{Limit, limit};
pub use constraints::{DatumConstraints, DatumStop, StopRoom, StopShape};
