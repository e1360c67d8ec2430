//! At the bench: from touches to heights and sizes, and from the drawing to the heights that
//! can be expected.
//!
//! - [`Setup`]: one orientation with its zero and probe constant resolved, or what is wrong
//!   with it;
//! - [`expected`]: what the gauge should show, touch by touch, before anything is touched;
//! - [`other_zeros`]: what a single reading can count from instead;
//! - [`reduce`]: what the touches of a feature say of its centre and size;
//! - [`ProbeFound`]: the probe constant from touches of something known;
//! - [`Tir`]: what a sweep with the indicator says;
//! - [`Warmth`]: what lengths are brought to 20 °C by;
//! - [`question`]: readings so far from what was expected that they are asked about.

mod expect;
mod probe;
mod question;
mod reduce;
mod rest;
mod setup;
mod standing;
mod sweep;
mod warmth;
mod zeros;

use expect::raw_of;
pub use expect::{Expectation, VirtualLimit, expected, lacking, touches};
pub use probe::{ProbeDoubt, ProbeFound, Scatter, probe_constant, probe_standard};
pub use question::{Guess, Heights, Question, question, question_limit};
pub use reduce::{Mean, Reduced, reduce};
pub use rest::carries;
pub use setup::{Contact, Setup, SetupProblem};
pub use standing::{StandsOtherwise, stands_otherwise};
pub use sweep::{Tir, faces_up};
pub use warmth::Warmth;
pub use zeros::{expected_from, other_zeros};
