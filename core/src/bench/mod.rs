//! At the bench: from touches to the facts of a piece, and from the drawing to the heights that can
//! be expected.
//!
//! - [`collect`]: everything that was read, set or stated, as observations with their uncertainties;
//! - [`chain_faults`]: zeros that run in a loop or end nowhere;
//! - [`Setup`]: one orientation with its zero and probe constant resolved, or what is wrong with it;
//! - [`expected`]: what the gauge should show, touch by touch, before anything is touched;
//! - [`other_zeros`]: what a single reading can count from instead;
//! - [`reduce`]: centre and size of a feature from its touches;
//! - [`TouchUncertainty`]: the uncertainty of a touch by itself;
//! - [`ProbeFound`]: the probe constant from touches of something known;
//! - [`Tir`]: the total indicator reading of a sweep;
//! - [`TemperatureCorrection`]: the correction of lengths to 20 °C;
//! - [`question`]: readings so far from what was expected that they are asked about;
//! - [`offer`]: what can be done about such a reading in one step.

mod chains;
mod directions;
mod expect;
mod facts;
mod offer;
mod planes;
mod probe;
mod question;
mod readings;
mod reduce;
mod rest;
mod setup;
mod stand;
mod standing;
mod sweep;
mod temperature;
mod touched;
mod uncertainty;
mod zeros;

pub use chains::{ChainFault, NoEnd, chain_faults};
pub use directions::{AngleError, Directions, UpDirection, looks_along};
use expect::raw_of;
pub use expect::{Expectation, VirtualLimit, expected, lacking, touches};
pub use facts::{
    CommonError, Fact, FactKind, Facts, Measure, SizeFact, Target, Unusable, ZeroAt, ZeroSetting,
    collect,
};
pub use offer::{Offer, offer, own_point_first};
pub use probe::{ProbeDoubt, ProbeFound, Scatter, probe_constant, probe_standard};
pub use question::{Guess, Heights, Question, exchanged_digits, question, question_limit};
pub use readings::Readings;
pub use reduce::{Mean, Reduced, reduce};
pub use rest::{carriers, carries};
pub use setup::{Contact, Setup, SetupProblem};
pub use stand::{stand, stood};
pub use standing::{StandsOtherwise, stands_otherwise};
pub use sweep::{Tir, faces_up, seat_not_swept};
pub use temperature::TemperatureCorrection;
pub use touched::Touched;
pub use uncertainty::{TouchComponent, TouchUncertainty, growth_standard, temperature_standard};
pub use zeros::{expected_from, other_zeros};
