//! Lengths, angles, axes and units as types, so that a bare number never crosses a module.
//!
//! Inside the program a length is in millimetres and an angle in radians; inch and degree
//! exist only at the doors ([`Length::of`], [`Length::to`], [`Angle::degrees`]).

mod angle;
mod axis;
mod length;
mod unit;
pub(crate) mod vector;

pub use angle::{Angle, Direction};
pub use axis::{Axis, Side};
pub use length::{Length, NOISE, Point};
pub use unit::{Figure, Unit};
