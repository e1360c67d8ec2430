//! Lines of the drawing between features: one file for each kind.
//!
//! A kind is a function from what was seen of the features to [`Found`]: the figure, its limits,
//! the sum that leads there, and how the figure hangs on places and sizes, for its uncertainty. It
//! says [`LineUnjudged`] where there is no such figure: what was not measured, or what the
//! drawing does not allow.

mod bolt_circle;
mod coaxiality;
mod distance;
mod finding;
mod flatness;
mod parallelism;
mod perpendicularity;
mod polar;
mod seen;
mod wall;

pub use bolt_circle::bolt_circle;
pub use coaxiality::coaxiality;
pub use distance::distance;
pub use finding::{
    Found, Hangs, LineFinding, LineUnjudged, Part, Term, Way, judge_line, prove_line,
};
pub use flatness::flatness;
pub use parallelism::parallelism;
pub use perpendicularity::perpendicularity;
pub use polar::polar;
pub use seen::{Half, Seen};
pub use wall::wall;
