//! A simulated bench: a part that really is somewhere, and a height gauge with a ball, errors and a
//! scale of its own that measures it as the plan says.
//!
//! Nothing of the program under test is used to make a reading: the ball stops half its diameter over
//! a surface that it touches from above and half under one that it touches from below, and what is
//! shown is the height of its centre less what that was at the zero. Lengths are millimetres.

mod bench;
mod gauge;
pub(crate) mod mistakes;
pub(crate) mod random_bench;
pub(crate) mod random_part;
pub(crate) mod small_job;
pub(crate) mod small_mistakes;

pub(crate) use bench::{Stand, measure};
pub(crate) use gauge::{Errors, Gauge, shown};

use quarterturn_core::quantity::Side;

/// Unit vector of the direction at this angle, in degrees from +X towards +Y; exact for quarter turns.
pub(crate) fn direction(degrees: f64) -> [f64; 2] {
    match Side::from_degrees(degrees) {
        Some(Side::PlusX) => [1.0, 0.0],
        Some(Side::PlusY) => [0.0, 1.0],
        Some(Side::MinusX) => [-1.0, 0.0],
        Some(Side::MinusY) => [0.0, -1.0],
        None => {
            let (s, c) = libm::sincos(degrees.to_radians());
            [c, s]
        }
    }
}
