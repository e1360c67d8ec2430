//! From the heights of all orientations to coordinates, with their covariance.
//!
//! Every centre or face seen in an orientation is one observation of x cos φ + y sin φ + c, less
//! that of its zero. All of one piece are adjusted together ([`crate::network`]). What is decided
//! here is what the network is made of:
//!
//! - a zero at the plate has the offset that blocks and rest give it, or an unknown one;
//! - a zero at a feature is an observation of that feature too, and so readings form chains;
//! - what has no tie to the drawing otherwise is held at its basic coordinate: the zero of an
//!   orientation first, then the datum features in their order;
//! - a known error of squareness turns its orientation, one that is only bounded leaves it
//!   uncertain.

mod doubt;
mod found;
mod height;
mod hold;
mod loose;
mod net;
mod owed;
mod sensitivity;
mod touched;
mod zeros;

pub use doubt::{Doubts, Part, growth_standard, temperature_standard};
pub use found::{Adjustment, Coordinates, Misfit, ZeroFit};
pub use height::Height;
pub use loose::{Cause, Loose};
pub use net::adjust;
pub use owed::{Owed, Repeats, Source};
pub use sensitivity::{Sensitivities, SizeRef};
pub use touched::Touched;
pub use zeros::chain_problems;
