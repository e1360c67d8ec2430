//! Form: how flat, how straight, and which circle.
//!
//! ```text
//! heights of a sweep          ->  Sweep                lowest, highest, TIR
//! heights over a plane        ->  flatness             two parallel planes, as close as can be
//! heights along a line        ->  straightness         two parallel lines, as close as can be
//! centres of a bolt circle    ->  circle               least squares, with its uncertainty
//! ```
//!
//! Flatness and straightness come with the points that hold the zone and with a proof, [`ZoneSupports`],
//! that no tilt makes it smaller. Lengths are millimetres, angles radians; slopes are height over
//! length.

mod arc;
mod circle;
mod flatness;
mod found;
mod plane;
mod straightness;
mod supports;
mod sweep;
mod zone;

pub use circle::{Circle, OnCircle, circle};
pub use flatness::{Flatness, Spot, flatness};
pub use found::{Form, NotFinite};
pub use plane::Plane;
pub use straightness::{Station, StraightLine, Straightness, straightness};
pub use supports::{Support, ZoneSupports};
pub use sweep::Sweep;
