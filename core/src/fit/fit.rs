//! The fit as a whole: what is asked, and what is found.

use super::eigen::dot;
use super::exchange::{Effort, Problem};
use super::freedom::{Freedom, Turn};
use super::held::{Held, Part};
use super::member::{Bound, Member, Zone};
use super::pose::Pose;
use super::reduce::close;
use super::settle::Settled;
use super::touch::{Line, Touch, Whose, norm};
use super::unfit::{Unfit, Which};

/// A tie within this is no difference: 1 pm, in mm. A gauge's last digit is ten thousand times
/// larger.
const NOISE: f64 = 1e-9;

/// Coordinates are smaller than this, mm.
const FARTHEST: f64 = 1e9;

/// Where the pattern comes to lie, and how much it then lacks.
#[derive(Clone, Debug)]
pub struct Fit {
    pose: Pose,
    s: f64,
    certificate: Certificate,
    effort: Effort,
}

/// What a feature contributes to holding the pattern where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Index of the member or bound.
    pub index: usize,
    /// Multiplier, at least 0: by how much s falls for each millimetre that the zone grows (as a
    /// radius).
    pub weight: f64,
    /// The push against the zone, in the drawing's frame: along the deviation and as long as the
    /// weight, as long as there is a deviation; otherwise at most as long.
    pub push: [f64; 2],
}

/// Why there is no better place: the multipliers of the linear problem at the place found
/// (S. Boyd and L. Vandenberghe, *Convex Optimization*, 5.5 and 5.9).
///
/// The weights of the members sum to 1. The pushes of members and bounds and those of what is
/// locked balance, along x, along y and as moments about the origin. Then for any movement at
/// all, as far as the turn can be taken as linear, s is at least
///
/// ```text
/// Σ (push · deviation - weight · radius)
/// ```
///
/// over members and bounds, less the weight of the limit of rotation times its room, and that is
/// the s that was found, up to [`gap`](Self::gap).
#[derive(Clone, Debug, PartialEq)]
pub struct Certificate {
    /// The members that hold the pattern.
    pub members: Vec<Hold>,
    /// The bounds that hold the pattern. Where bounds leave a single place only, they are locks
    /// there, and their weights are no sensitivities.
    pub bounds: Vec<Hold>,
    /// Pushes of the locked translations of the origin along x and y; 0 where free.
    pub shift: [f64; 2],
    /// Moment of the locked or limited rotation about the origin, mm; 0 where free.
    pub turn: f64,
    /// What is left of the balance: the largest of the sums along x and y, of the moment over the
    /// size of the pattern, and of the sum of the weights less 1.
    pub imbalance: f64,
    /// s less its lower bound, mm.
    pub gap: f64,
}

impl Fit {
    /// The least s, mm, as a radius: by how much at least one member is outside its zone at best;
    /// below 0, by how much all are inside.
    #[must_use]
    pub const fn s(&self) -> f64 {
        self.s
    }

    /// What is left between every feature and the rim of its zone, mm, as a radius: -s.
    #[must_use]
    pub const fn margin(&self) -> f64 {
        -self.s
    }

    /// Whether the functional gauge would take the part: s <= 0, a tie within 1 pm counting as
    /// inside.
    #[must_use]
    pub const fn passes(&self) -> bool {
        self.s <= NOISE
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

/// The place of a pattern that makes the worst member as little outside as can be, while every
/// bound holds.
///
/// ```text
/// minimise s    |R p - n + t| <= radius + s    for every member,
///               |R p - n + t| <= radius        for every bound,
/// ```
///
/// p measured, n nominal, R the rotation, and |.| the distance across for a zone between planes.
/// Of several best places one is chosen; what nothing holds stays where it is.
///
/// # Errors
///
/// No member, a number that cannot be used, or bounds that cannot hold all at once.
pub fn fit(members: &[Member], bounds: &[Bound], freedom: Freedom) -> Result<Fit, Unfit> {
    let (pose, lever) = survey(members, bounds, freedom)?;
    let mut effort = Effort::default();
    let (mut locks, limit) = frame(freedom);
    let mut walls = Vec::new();
    for (k, b) in bounds.iter().enumerate() {
        if b.zone.radius() > 0.0 {
            walls.push((k, *b));
        } else {
            locks.push(Touch::bound(k, b));
        }
    }
    let start = feasible(&mut locks, &mut walls, limit, pose, lever)
        .ok_or_else(|| Unfit::Infeasible { excess: excess(bounds, freedom, pose, lever) })?;
    let limit = limit.filter(|_| locks.iter().all(|t| t.whose != Whose::Turn));
    let problem = Problem { members, walls: &walls, locks: &locks, limit, lever };
    let found = problem.minimise(start, &mut effort);
    Ok(conclude(&found, lever, effort))
}

/// The locks of the frame itself, and the limit of its rotation.
fn frame(freedom: Freedom) -> (Vec<Touch>, Option<Touch>) {
    let mut locks = Vec::new();
    let mut limit = None;
    match freedom.turn {
        Turn::Free => {}
        Turn::Within(most) if most > 0.0 => limit = Some(Touch::turn(most)),
        Turn::Locked | Turn::Within(_) => locks.push(Touch::turn(0.0)),
    }
    for (axis, free) in [freedom.x, freedom.y].into_iter().enumerate() {
        if !free {
            locks.push(Touch::slide(axis));
        }
    }
    (locks, limit)
}

/// Checks what is given, and chooses what to turn about and the length of the lever, mm.
fn survey(members: &[Member], bounds: &[Bound], freedom: Freedom) -> Result<(Pose, f64), Unfit> {
    if members.is_empty() {
        return Err(Unfit::Empty);
    }
    if let Turn::Within(most) = freedom.turn {
        if !most.is_finite() {
            return Err(Unfit::NotFinite(Which::Turn));
        }
        if most < 0.0 {
            return Err(Unfit::Negative(Which::Turn));
        }
    }
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    for (k, m) in members.iter().enumerate() {
        if let Some(why) = refused(m) {
            return Err(why(Which::Member(k)));
        }
        for axis in 0..2 {
            low[axis] = low[axis].min(m.measured[axis]);
            high[axis] = high[axis].max(m.measured[axis]);
        }
    }
    let mut pivot = [0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1])];
    for (k, b) in bounds.iter().enumerate() {
        if let Some(why) = refused(&Member::from(*b)) {
            return Err(why(Which::Bound(k)));
        }
    }
    // What cannot move is best turned about.
    if let Some(b) = bounds.iter().find(|b| b.zone == Zone::Round { radius: 0.0 }) {
        pivot = b.measured;
    } else if !freedom.x && !freedom.y {
        pivot = [0.0; 2];
    }
    let reach = |axis: usize| (low[axis] - pivot[axis]).abs().max((high[axis] - pivot[axis]).abs());
    let lever = norm([reach(0), reach(1)]);
    Ok((Pose::at(pivot), if lever > NOISE { lever } else { 1.0 }))
}

/// Why a feature cannot be used.
fn refused(m: &Member) -> Option<fn(Which) -> Unfit> {
    let radius = m.zone.radius();
    let far = |v: &f64| v.is_nan() || v.abs() >= FARTHEST;
    if m.nominal.iter().chain(&m.measured).any(far) || far(&radius) {
        return Some(Unfit::NotFinite);
    }
    if radius < 0.0 {
        return Some(Unfit::Negative);
    }
    if let Zone::Planes { normal: [x, y], .. } = m.zone {
        let off = (x * x + y * y - 1.0).abs();
        if off.is_nan() || off > 2e-9 {
            return Some(Unfit::Normal);
        }
    }
    None
}

/// A pose that closes the locks and is inside the walls; `None` if there is none. Walls that
/// leave no room to move become locks.
fn feasible(
    locks: &mut Vec<Touch>,
    walls: &mut Vec<(usize, Bound)>,
    limit: Option<Touch>,
    mut pose: Pose,
    lever: f64,
) -> Option<Pose> {
    pose = closed(locks, pose, lever)?;
    let mut limit = limit;
    // Every turn makes a lock of a wall at least.
    loop {
        let bars = walls.iter().map(|(k, b)| Touch::bound(*k, b)).chain(limit);
        let roomy = |t: Touch| {
            let line = t.line(&pose, lever);
            line.over(0.0) < -1e-3 * line.radius
        };
        if bars.clone().all(roomy) {
            return Some(pose);
        }
        let members: Vec<Member> = walls.iter().map(|(_, b)| Member::from(*b)).collect();
        let rising = limit.map(|t| Touch { rises: true, ..t });
        let problem = Problem { members: &members, walls: &[], locks, limit: rising, lever };
        let found = problem.minimise(pose, &mut Effort::default());
        let worst = bars
            .map(|t| t.line(&found.point.pose, lever).over(0.0))
            .fold(f64::NEG_INFINITY, f64::max);
        if worst > NOISE {
            return None;
        }
        pose = found.point.pose;
        if worst < -1e-12 * found.size {
            return Some(pose);
        }
        let tight = |h: &&Held| h.part != Part::Idle && h.weight > 1e-6;
        let mut gone = Vec::new();
        for h in found.held.iter().filter(tight) {
            match h.touch.whose {
                Whose::Member(k) => {
                    let Some((index, bound)) = walls.get(k) else { continue };
                    gone.push(k);
                    locks.push(Touch::bound(*index, bound).locked_at(&pose));
                }
                Whose::Turn => {
                    limit = None;
                    locks.push(Touch { rises: false, ..h.touch });
                }
                Whose::Bound(_) | Whose::Slide(_) => {}
            }
        }
        if gone.is_empty() && limit.is_some() {
            return Some(pose);
        }
        let mut k = 0;
        walls.retain(|_| {
            k += 1;
            !gone.contains(&(k - 1))
        });
    }
}

/// The pose that closes the locks, by Newton's method in steps of least length; `None` if they do
/// not agree.
fn closed(locks: &[Touch], mut pose: Pose, lever: f64) -> Option<Pose> {
    if locks.is_empty() {
        return Some(pose);
    }
    let mut last = f64::INFINITY;
    for _ in 0..50 {
        let lines: Vec<Line> = locks.iter().map(|t| t.line(&pose, lever)).collect();
        let [x, y, turn] = close(&lines);
        let length = norm([norm([x, y]), turn]);
        if length >= last && length < NOISE || length == 0.0 {
            break;
        }
        last = length;
        pose = pose.moved([x, y], turn / lever);
    }
    let open = locks.iter().map(|t| t.line(&pose, lever).length()).fold(0.0, f64::max);
    (open <= NOISE).then_some(pose)
}

/// By how much every bound would have to grow for all to hold, mm.
fn excess(bounds: &[Bound], freedom: Freedom, pose: Pose, lever: f64) -> f64 {
    let members: Vec<Member> = bounds.iter().map(|b| Member::from(*b)).collect();
    let (locks, limit) = frame(freedom);
    let problem = Problem { members: &members, walls: &[], locks: &locks, limit, lever };
    problem.minimise(pose, &mut Effort::default()).point.s
}

/// The certificate, drawn up at the place found.
fn conclude(found: &Settled, lever: f64, effort: Effort) -> Fit {
    let pose = found.point.pose;
    let mut sums = [0.0; 3];
    let mut weights = 0.0;
    let mut bound = 0.0;
    let mut s = f64::NEG_INFINITY;
    let mut certificate = Certificate {
        members: Vec::new(),
        bounds: Vec::new(),
        shift: [0.0; 2],
        turn: 0.0,
        imbalance: 0.0,
        gap: 0.0,
    };
    for h in found.held.iter().chain(&found.locks) {
        let line = h.touch.line(&pose, lever);
        if line.rise > 0.0 {
            s = s.max(line.length() - line.radius);
        }
        if h.part == Part::Idle {
            continue;
        }
        let [u, v] = h.force;
        let weight = if h.part == Part::Lock { norm(h.force) } else { h.weight };
        for (sum, (a, b)) in sums.iter_mut().zip(line.rows[0].iter().zip(&line.rows[1])) {
            *sum += u * a + v * b;
        }
        weights += line.rise * weight;
        bound += u * line.gap[0] + v * line.gap[1] - weight * line.radius;
        let push = h.touch.in_drawing(h.force);
        match h.touch.whose {
            Whose::Member(index) => certificate.members.push(Hold { index, weight, push }),
            Whose::Bound(index) => certificate.bounds.push(Hold { index, weight, push }),
            Whose::Slide(axis) => certificate.shift[axis] = u,
            Whose::Turn => certificate.turn = u * lever,
        }
    }
    certificate.imbalance = dot(&sums, &sums).sqrt().max((weights - 1.0).abs());
    certificate.gap = s - bound;
    Fit { pose, s, certificate, effort }
}
