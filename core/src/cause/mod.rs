//! From the deviations of a pattern of holes to the kind of error, and to what to do about it.
//!
//! ```text
//! member      a hole: nominal place, deviation, zone; checked; averaged over pieces
//! distortion  the errors a machine can make, and what they do to a hole
//! gram        normal equations, swept in and out by columns
//! support     which models the holes can carry, and why not the others
//! choose      F tests between nested models          -> the errors that are there
//! outlier     each hole against what the others say  -> the hole that is on its own
//! diagnose    all of it for one pattern              -> `Diagnosis`, with its actions
//! correction  work offset and rotation against it
//! foresee     the pattern as it will be, and what of it conforms
//! one_offset  one correction that suits every hole of several pieces
//! words       the sentences
//! ```
//!
//! A kernel: plain numbers in, plain numbers out. Lengths are in millimetres, angles in radians,
//! counter-clockwise positive, in the drawing's frame: X right, Y up, as the drawing is seen. Who
//! sees the part from behind sees clockwise and counter-clockwise exchanged, and X mirrored.
//!
//! # Signs
//!
//! A deviation is measured less nominal. The machine was told to make a hole at n and made it at
//! n + d. This is a machine that shifts by t = (+0.3, +0.1) and turns by θ > 0:
//!
//! ```text
//!        Y                                Y
//!        |   o made                       |        o made
//!        |  /  d = t + θ J n              |         \
//!        | x programmed, n                |          \ d = θ J n = θ (-y, x)
//!        |                                |           x programmed, n = (x, y)
//!        |                                |        .
//!        |                                |     .     ) θ, counter-clockwise
//!        +-------------- X                +-------------- X
//!      datum                            datum
//!
//!        shift: every hole by             rotation: every hole about the datum,
//!        the same t                       the farther the more
//! ```
//!
//! What sets it right is the contrary, done to the work offset and to the coordinate system of
//! the machine: move the work offset by −t and rotate by −θ about the datum. Holes that came out
//! too far right and counter-clockwise need X minus and a rotation clockwise. A rotation is said
//! to be about the datum, the origin of the frame, and not about the middle of the pattern; so
//! the shift that goes with it is the one at the datum.
//!
//! ```text
//!   one scale       d = k n                 everything grows (k > 0): temperature, scale
//!   two scales      d = (kx x, ky y)        each axis for itself
//!   shear           d = g (y, x)            +X and +Y come closer by the angle 2 g
//! ```
//!
//! # How the error is found
//!
//! The models are nested: none, shift, + rotation, + one scale, + two scales, + shear. Each is
//! fitted by least squares, all known coordinates alike, to first order in the errors: a rotation
//! leaves θ² n / 2 unexplained, 0.1 µm at 200 mm for an angle of 0.001 (N. R. Draper and
//! H. Smith, *Applied Regression Analysis*, chapter 6 on the extra sum of squares principle).
//!
//! - A model is used only where any hole can be left out and the others still determine it, with
//!   a residual left ([`Refusal`]).
//! - A step up the ladder counts where F = (what it takes off the sum of squares, by parameter) /
//!   (the residual variance of the larger model) is significant at [`LEVEL`]. The largest step
//!   that counts is taken, whether or not those below it did; then what has become needless is
//!   taken out again, one error at a time, by the same test. So a pattern that is only turned is
//!   not said to be shifted.
//! - The residual variance is never taken for smaller than the square of the measurement's
//!   standard uncertainty. A pattern that fits too well by chance, or because the readings are
//!   coarse, then shows nothing that could not have been measured. The degrees of freedom remain
//!   those of the residuals: holes scatter by more than their measurement.
//! - What all holes have in common by the zero that they were measured from shows as a shift and in no
//!   residual: a shift has to be significant over that too. A correction is given only where what it
//!   foresees is no worse than what is there, in conforming holes and in their deviations together.
//! - Each hole is held against what the others say, with the model that they alone would choose:
//!   the externally studentised residual (R. D. Cook and S. Weisberg, *Residuals and Influence in
//!   Regression*, 2.2), of both coordinates together. The farthest is on its own where n times
//!   its significance is at most [`OWN`] (Bonferroni); the errors are then those of the others.
//!   What the others say only among themselves, and not with that hole, must be n times as
//!   significant too.
//!   One wild hole is found like this. Two that are wild alike may hide each other: then the
//!   scatter is large and nobody is named.
//!
//! The distribution is given by the caller: [`Tail`]. The chapters of the two books are cited from
//! memory.
//!
//! # What it cannot tell
//!
//! A shift or a rotation is that of the holes against the datum as it was measured. A burr on the
//! datum edge, a chip under the part or a wrong zero looks the same as a machine that is off, and
//! a part that stood on an edge out of square looks like a machine whose axes are. Before a
//! machine is moved for one piece, its datum is worth a second look.

mod action;
mod choose;
mod correction;
mod diagnose;
mod distortion;
mod foresee;
mod gram;
mod member;
mod one_offset;
mod outlier;
mod support;
mod words;

pub use action::Action;
pub use choose::{LEVEL, Tail, Test};
pub use correction::Correction;
pub use diagnose::{Diagnosis, Estimate, Size, Standing, Step, Term, diagnose, diagnose_from};
pub use distortion::{Distortion, Kind};
pub use foresee::{Foreseen, Predicted, foresee};
pub use member::{Member, Trouble, Zone, mean};
pub use one_offset::{Fitted, OneOffset, Plan, Spot, one_offset};
pub use outlier::{OWN, Outlier};
pub use support::Refusal;
pub use words::Words;
