//! What a feature of the part can be: its kind, its material condition and its limits of size.

mod kind;
mod modifier;
mod size_limits;

pub use kind::Kind;
pub use modifier::Modifier;
pub use size_limits::{Limits, SizeLimits};
