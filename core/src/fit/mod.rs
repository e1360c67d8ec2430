//! The pattern judged as its functional gauge would judge it: a minimax fit.
//!
//! A gauge takes a part if there is one place for it at which every feature goes into its hole of
//! the gauge at once: one movement and one turn for the whole pattern, while the datum features
//! stay in theirs (ASME Y14.5-2018, simultaneous requirements; ISO 5458 for patterns). [`fit`]
//! finds the place at which the worst feature has most left:
//!
//! ```text
//! minimise s    |R p + t - n| <= radius + s    for every feature of the pattern ([`Member`])
//! such that     |R p + t - n| <= radius        for every datum feature ([`Bound`])
//! ```
//!
//! p is where a feature was measured, n where the drawing has it, both in the drawing's frame in
//! mm; R turns by θ, counter-clockwise positive, about the origin, then t moves. Slots, tabs and
//! rectangular zones count across two planes only. The part passes if s <= 0; -s is its margin as
//! a radius. Least squares is another question: it turns good parts away.
//!
//! - Datum shift: datum features at their boundary, with the room (actual - boundary) / 2
//!   ([`Counterpart::Boundary`]). Where they cannot all be inside at once, the gauge does not go
//!   on, and the fit says by how much and on what that depends.
//! - Datum features regardless of size lock ([`Counterpart::Round`]); the clocking feature is one
//!   between planes, across its line from the first ([`Counterpart::Planes`]).
//! - Lower segment of a composite tolerance: no bounds, the rotation free or locked
//!   ([`Freedom`]).
//!
//! ```
//! # use quarterturn_core::fit::{Bound, Freedom, Member, Unfit, Zone, fit};
//! # fn main() -> Result<(), Unfit> {
//! let hole = |nominal, measured, radius| Member { nominal, measured, zone: Zone::Round { radius } };
//! // Each hole is .05 out, both alike; ±.03 would do if the pattern may follow.
//! let holes = [
//!     hole([0.0, 0.0], [0.03, 0.04], 0.03),
//!     hole([60.0, 0.0], [60.03, 0.04], 0.03),
//! ];
//! assert!(!fit(&holes, &[], Freedom::LOCKED)?.passes());
//! assert!(fit(&holes, &[], Freedom::FREE)?.passes());
//! // The datum hole is where it should be and has room for .02: that is what they may follow.
//! let zone = Zone::Round { radius: 0.02 };
//! let datum = Bound::within([30.0, 40.0], [30.0, 40.0], zone);
//! let found = fit(&holes, &[datum], Freedom::SLIDING)?;
//! assert!((found.s() - 0.0).abs() < 1e-12 && found.passes());
//! # Ok(())
//! # }
//! ```
//!
//! Of a pattern that does not pass, [`fewest_reworks`] names the fewest features whose rework lets
//! the others conform with one shift.
//!
//! # How
//!
//! For a small θ the problem is convex: second-order cones in four unknowns.
//!
//! ```text
//! survey    check, choose what to turn about and a lever    (lengths for angles)
//! feasible  a first place at which the bounds hold          -> or where they lack room least
//! tight     bounds with next to no room                     -> locks that lean
//! exchange  a working set, grown by the worst outside       scan: one look at all features
//!  settle   the optimum of the working set                  reduce: locks taken out
//!   interior  a primal-dual interior-point method           cone: its arithmetic
//!   polish    Newton's method with the rotation as it is    range: what the conditions fix
//! certificate  multipliers: why there is no better place
//! rework    the fewest reworks                          search: branches over conflicts
//! ```
//!
//! The turn is about a pivot near the pattern, so coordinates far from the origin cost no digits,
//! and it is counted as the movement it causes at the farthest feature, so all unknowns are
//! lengths of the same kind. The cost is that of a few looks at all features: about three, and
//! less than twice as long each as computing the deviations once.
//!
//! Where the rotation has no lever its linear model is a poor one, and there may be several best
//! places; one of them is found, the nearest by experience. The certificate belongs to the linear
//! problem at the place found.

mod active;
mod certificate;
mod cone;
mod eigen;
mod exchange;
mod feasible;
mod freedom;
mod interior;
mod member;
mod polish;
mod pose;
mod range;
mod reduce;
mod rework;
mod scan;
mod search;
mod settle;
mod solve;
mod survey;
mod tight;
mod touch;
mod unfit;

pub use certificate::{Certificate, Hold};
pub use exchange::Effort;
pub use freedom::{Freedom, Turn};
pub use member::{Bound, Counterpart, Member, Zone};
pub use rework::{Fewest, REWORK_NODES, Rework, Reworked, fewest_reworks};
pub use solve::{Fit, fit};
pub use unfit::{Unfit, Which};
