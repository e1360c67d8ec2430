//! The fit as a whole: what is asked, and what is found.

use super::certificate::{Certificate, Weighed};
use super::exchange::{Effort, Problem};
use super::feasible::{closed, feasible, frame, least_excess};
use super::freedom::{Freedom, Turn};
use super::member::{Bound, Member};
use super::pose::Pose;
use super::survey::{NOISE, Survey, survey};
use super::tight::{LEANS, Tight};
use super::touch::{Touch, Whose};
use super::unfit::Unfit;

/// Where the pattern comes to lie, and how much it then lacks.
#[derive(Clone, Debug)]
pub struct Fit {
    pose: Pose,
    s: f64,
    resolution: f64,
    goes_on: bool,
    certificate: Certificate,
    effort: Effort,
}

impl Fit {
    /// Whether the datum features go into their boundaries all at once. If not, the pattern does not
    /// conform, wherever its members are: s is above 0 and says by how much every boundary lacks
    /// room at least, no member is in the certificate, and the place is the one with the least
    /// lack.
    #[must_use]
    pub const fn gauge_goes_on(&self) -> bool {
        self.goes_on
    }

    /// The least s, mm, as a radius: by how much at least one member is outside its zone at best;
    /// below 0, by how much all are inside. Where the [gauge does not go on](Self::gauge_goes_on),
    /// by how much the boundaries lack room.
    #[must_use]
    pub const fn s(&self) -> f64 {
        self.s
    }

    /// What is left between every feature and the rim of its zone, mm, as a radius: -s. The margin
    /// as a diameter is twice that.
    #[must_use]
    pub const fn margin(&self) -> f64 {
        -self.s
    }

    /// Whether the functional gauge would take the part: s <= 0, a tie within the
    /// [`resolution`](Self::resolution) counting as inside.
    #[must_use]
    pub const fn passes(&self) -> bool {
        self.goes_on && self.s <= self.resolution
    }

    /// What the arithmetic can resolve of s, mm: where s is 0 by the figures given, it comes out as
    /// no more than this, and a margin smaller than this is none.
    ///
    /// It is never below 1 pm (1e-9 mm), which no gauge shows. It grows where coordinates are so
    /// large, or datum features hold the pattern by so short a lever, that rounding counts for
    /// more: eight times what rounding of the coordinates makes of a deviation, times the sum of
    /// the multipliers of [`Certificate`]; and by the gap of the certificate.
    #[must_use]
    pub const fn resolution(&self) -> f64 {
        self.resolution
    }

    /// Translation t of the origin, mm: a measured point p comes to lie at R p + t.
    #[must_use]
    pub fn shift(&self) -> [f64; 2] {
        self.pose.origin()
    }

    /// Rotation about the origin, rad, counter-clockwise.
    #[must_use]
    pub const fn turn(&self) -> f64 {
        self.pose.turn
    }

    /// Where a measured point comes to lie, less a nominal one, mm.
    ///
    /// More exact than R p + t - n where coordinates are large.
    #[must_use]
    pub fn deviation(&self, nominal: [f64; 2], measured: [f64; 2]) -> [f64; 2] {
        self.pose.deviation(nominal, measured)
    }

    /// Where a measured point comes to lie, mm.
    #[must_use]
    pub fn place(&self, measured: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.pose.deviation([0.0; 2], measured);
        [x, y]
    }

    /// What is left of a member's zone, mm, as a radius: below 0 by how much it is outside.
    #[must_use]
    pub fn left_over(&self, member: &Member) -> f64 {
        member.zone.radius() - member.zone.distance(self.deviation(member.nominal, member.measured))
    }

    /// Whether a member is inside its zone here, a tie counting as inside.
    pub(super) fn holds(&self, member: &Member) -> bool {
        self.left_over(member) >= -self.resolution
    }

    pub(super) const fn pose(&self) -> Pose {
        self.pose
    }

    /// Why there is no better place.
    #[must_use]
    pub const fn certificate(&self) -> &Certificate {
        &self.certificate
    }

    /// How much was done to find it.
    #[must_use]
    pub const fn effort(&self) -> Effort {
        self.effort
    }
}

/// Finds the place of a pattern that makes the worst member as little outside as can be, while
/// every bound holds.
///
/// ```text
/// minimise s    |R p - n + t| <= radius + s    for every member,
///               |R p - n + t| <= radius        for every bound,
/// ```
///
/// p measured, n nominal, R the rotation, and |.| the distance across for a zone between planes.
/// Of several best places one is chosen; what nothing holds stays where it is.
///
/// Where the bounds cannot hold all at once, the gauge does not go on, wherever the members are
/// ([`Fit::gauge_goes_on`]): s is then by how much every boundary would have to grow at least,
///
/// ```text
/// minimise s    |R p - n + t| <= radius + s    for every boundary,
///               |R p - n + t| = 0              for what is held regardless of its size,
/// ```
///
/// as a radius, and place and certificate belong to that problem.
///
/// # Errors
///
/// No member, or a number that cannot be used.
pub fn fit(members: &[Member], bounds: &[Bound], freedom: Freedom) -> Result<Fit, Unfit> {
    let at = survey(members, bounds, freedom)?;
    let mut best: Option<Attempt> = None;
    for most in [SMALL, NOISE, at.resolution] {
        let Some(other) = attempt(members, bounds, freedom, &at, most) else { continue };
        let settled = other.settled;
        if best.as_ref().is_none_or(|best| other.better_than(best)) {
            best = Some(other);
        }
        if settled {
            break;
        }
    }
    Ok(best.map_or_else(|| blocked(bounds, freedom, &at), |best| best.fit))
}

/// What keeps the gauge from going on.
fn blocked(bounds: &[Bound], freedom: Freedom, at: &Survey) -> Fit {
    let found = least_excess(bounds, freedom, at);
    let held = || found.held.iter().chain(&found.locks);
    let pose = found.point.pose;
    let weighed = Weighed::at(&pose, held(), at.lever);
    let s = weighed.s.max(found.worst);
    let certificate = Certificate::draw_up(&weighed, s, &pose, held(), at.lever);
    let resolution = certificate.resolution(at.noise);
    let effort = Effort::default();
    Fit { pose, s, resolution, goes_on: false, certificate, effort }
}

/// Bounds with less room than this are first taken as locks that lean, mm. Where that is no proof,
/// because the multiplier jumps within the room or the room decides whether others have any, only
/// those with less than [`NOISE`] are, and at last only those whose room is rounding.
const SMALL: f64 = 1e-4;

/// A fit in which some bounds with little room were taken as locks that lean.
struct Attempt {
    fit: Fit,
    /// Whether nothing better can be hoped for from taking fewer of them so.
    settled: bool,
    /// By how much a condition is passed, mm.
    passed: f64,
}

impl Attempt {
    fn better_than(&self, other: &Self) -> bool {
        let ahead = |a: &Self| a.passed.max(NOISE) + a.fit.s;
        ahead(self) < ahead(other)
    }
}

/// The fit, bounds with room up to `most` being locks that lean; `None` where the bounds cannot
/// hold all at once.
fn attempt(
    members: &[Member],
    bounds: &[Bound],
    freedom: Freedom,
    at: &Survey,
    most: f64,
) -> Option<Attempt> {
    if bounds.iter().any(|b| b.room() < -NOISE) {
        return None;
    }
    let Survey { lever, noise, .. } = *at;
    let mut effort = Effort::default();
    let (mut locks, limit) = frame(freedom);
    let mut walls = Vec::new();
    let mut tight = Vec::new();
    for (k, b) in bounds.iter().enumerate() {
        if b.room() > most {
            walls.push((k, *b));
        } else {
            tight.push(Tight::new(*b, locks.len()));
            locks.push(Touch::bound(k, b).closed());
        }
    }
    let firm = locks.len();
    let mut start = feasible(&mut locks, &mut walls, limit, at)?;
    let walls_have_room = locks.len() == firm;
    let limit = limit.filter(|_| locks.iter().all(|t| t.whose != Whose::Turn));
    let minimise = |locks: &[Touch], from: Pose, effort: &mut Effort| {
        Problem { members, walls: &walls, locks, limit, lever, noise }.minimise(from, effort)
    };
    let mut found = minimise(&locks, start, &mut effort);
    for _ in 0..LEANS {
        let moved = tight.iter_mut().map(|t| t.lean(&mut locks, &found.locks)).fold(0.0, f64::max);
        if moved <= noise {
            break;
        }
        let Some(closed) = closed(&locks, found.point.pose, lever) else { break };
        start = closed;
        found = minimise(&locks, start, &mut effort);
    }
    if freedom.turn == Turn::Locked {
        // Not by rounding either.
        found.point.pose = Pose::at(start.pivot).moved(found.point.pose.shift, 0.0);
    }
    // Where the rotation has no lever its linear model says little, and a lock may be left open.
    let pose = found.point.pose;
    if Weighed::at(&pose, found.held.iter().chain(&found.locks), lever).passed > NOISE
        && let Some(pose) = closed(&locks, pose, lever)
    {
        let over =
            |m: &Member| m.zone.distance(pose.deviation(m.nominal, m.measured)) - m.zone.radius();
        found.point.pose = pose;
        found.worst = members.iter().map(over).fold(f64::NEG_INFINITY, f64::max);
    }
    let held = || found.held.iter().chain(&found.locks);
    let pose = found.point.pose;
    let weighed = Weighed::at(&pose, held(), lever);
    let s = weighed.s.max(found.worst);
    let mut certificate = Certificate::draw_up(&weighed, s, &pose, held(), lever);
    certificate.gap += tight.iter().map(|t| t.gap(&found.locks)).sum::<f64>();
    // Where others touch, a little room of this one may be much for them.
    let settled = tight.iter().all(|t| !t.has_room()) || (walls_have_room && certificate.proves());
    let passed = weighed.passed;
    let resolution = certificate.resolution(noise);
    let fit = Fit { pose, s, resolution, goes_on: true, certificate, effort };
    Some(Attempt { fit, settled, passed })
}
