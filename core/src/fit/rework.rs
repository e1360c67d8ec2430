//! The fewest features to rework so that all others conform with one shift.

use super::freedom::Freedom;
use super::member::{Bound, Member};
use super::pose::Pose;
use super::search::Search;
use super::solve::fit;
use super::unfit::Unfit;

/// How many sets of features the search for the fewest reworks looks at, unless another limit is
/// given.
///
/// Random patterns of 50 to 1,000 features need at most 40 where four of them are far out, and 370
/// where eight are (`bench_fit` shows figures). Where zones are too small for the scatter of
/// all features and dozens would have to be reworked, the search may end at its limit.
pub const REWORK_NODES: usize = 1000;

/// What the rework of features can do for a pattern.
#[derive(Clone, Debug)]
pub enum Rework {
    /// The pattern conforms as it is.
    NotNeeded,
    /// No rework of its features helps: the datum features do not go into their boundaries all at
    /// once ([`Fit::gauge_goes_on`](super::Fit::gauge_goes_on)).
    Blocked {
        /// By how much they lack room, mm, as a radius: s of that fit.
        excess: f64,
    },
    /// The fewest features whose rework lets the others conform.
    Fewest(Fewest),
    /// The search ended at its limit before it found a set that suffices.
    NotFound {
        /// At least this many features must be reworked.
        at_least: usize,
        /// Sets that were looked at.
        nodes: usize,
    },
}

/// The fewest features to rework, and the place of the pattern that goes with them.
///
/// Of several smallest sets it is the one whose largest enlargement is the least, and of those
/// that are alike in this too, the one that comes first in the order of the members.
#[derive(Clone, Debug)]
pub struct Fewest {
    /// What is to be reworked, in the order of the members.
    pub members: Vec<Reworked>,
    /// The largest enlargement among them, mm, as a radius: at this place it is as small as it can
    /// be while all others are inside their zones.
    pub enlargement: f64,
    /// How many smallest sets were compared.
    pub compared: usize,
    /// Whether all smallest sets were compared; false if the search ended at its limit.
    pub all_compared: bool,
    /// Sets that were looked at.
    pub nodes: usize,
    pub(super) pose: Pose,
}

/// A member of the pattern that is to be reworked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reworked {
    /// Index of the member.
    pub index: usize,
    /// What would have to be allowed for it to conform at the place of [`Fewest`], mm, as a
    /// diameter (or, between planes, as a width).
    ///
    /// No more than is allowed already where a feature has several members and this is not one
    /// that fails.
    pub needed: f64,
}

impl Fewest {
    /// Translation of the origin, mm, as [`Fit::shift`](super::Fit::shift).
    #[must_use]
    pub fn shift(&self) -> [f64; 2] {
        self.pose.origin()
    }

    /// Rotation about the origin, rad, counter-clockwise, as [`Fit::turn`](super::Fit::turn).
    #[must_use]
    pub const fn turn(&self) -> f64 {
        self.pose.turn
    }

    /// Where a measured point comes to lie, less a nominal one, mm, as
    /// [`Fit::deviation`](super::Fit::deviation).
    #[must_use]
    pub fn deviation(&self, nominal: [f64; 2], measured: [f64; 2]) -> [f64; 2] {
        self.pose.deviation(nominal, measured)
    }
}

/// Finds the fewest features of a pattern whose rework lets all others conform with one shift,
/// the datum features staying inside their bounds.
///
/// `feature` tells which feature a member belongs to, by any number: members of one feature, such
/// as the two directions of a rectangular zone or the two ends of a bore, are reworked together.
/// `most` limits how many sets of features are looked at; [`REWORK_NODES`] is meant for it.
///
/// ```
/// # use quarterturn_core::fit::{Freedom, Member, REWORK_NODES, Rework, Unfit, Zone, fewest_reworks};
/// # fn main() -> Result<(), Unfit> {
/// // Five holes 0.02 to the right, one 0.02 to the left; each may be 0.01 off.
/// let hole = |x: f64, off: f64| Member {
///     nominal: [x, 0.0],
///     measured: [x + off, 0.0],
///     zone: Zone::Round { radius: 0.01 },
/// };
/// let mut holes: Vec<Member> = (0..5).map(|k| hole(10.0 * f64::from(k), 0.02)).collect();
/// holes.push(hole(50.0, -0.02));
/// let found = fewest_reworks(&holes, &[], Freedom::FREE, |k| k, REWORK_NODES)?;
/// let Rework::Fewest(fewest) = found else { panic!("{found:?}") };
/// assert_eq!(fewest.members.len(), 1);
/// assert_eq!(fewest.members[0].index, 5);
/// // The others end at the rims of their zones, which is best for the one that is reworked.
/// assert!((fewest.members[0].needed - 0.06).abs() < 1e-12);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
///
/// No member, or a number that cannot be used.
pub fn fewest_reworks(
    members: &[Member],
    bounds: &[Bound],
    freedom: Freedom,
    feature: impl Fn(usize) -> usize,
    most: usize,
) -> Result<Rework, Unfit> {
    let found = fit(members, bounds, freedom)?;
    if !found.gauge_goes_on() {
        return Ok(Rework::Blocked { excess: found.s() });
    }
    if found.passes() {
        return Ok(Rework::NotNeeded);
    }
    Search::new(members, bounds, freedom, feature, most).run()
}
