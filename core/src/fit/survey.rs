//! What was given, checked, and the lengths it is made of.

use super::freedom::{Freedom, Turn};
use super::member::{Bound, Member, Zone};
use super::pose::Pose;
use super::unfit::{Unfit, Which};
use crate::quantity::vector::norm;

/// A tie within this is no difference, mm.
pub(super) const NOISE: f64 = crate::quantity::NOISE.to_mm();

/// Coordinates are smaller than this, mm.
const FARTHEST: f64 = 1e9;

/// What is known before anything is moved.
#[derive(Clone, Copy, Debug)]
pub(super) struct Survey {
    /// Where everything was measured; it knows what is turned about.
    pub(super) pose: Pose,
    /// The length that turns angles into millimetres, mm.
    pub(super) lever: f64,
    /// What rounding the coordinates to double precision makes of a deviation at most, mm.
    pub(super) noise: f64,
    /// Room below this is none, mm.
    pub(super) resolution: f64,
}

/// Room that is no room: a tenth of a picometre, mm.
const NO_ROOM: f64 = 1e-10;
/// The same where coordinates are large, in units of what rounding makes of a deviation.
const ROUNDINGS: f64 = 256.0;

/// Checks what is given, and chooses what to turn about.
pub(super) fn survey(
    members: &[Member],
    bounds: &[Bound],
    freedom: Freedom,
) -> Result<Survey, Unfit> {
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
        let zone = if b.room() < 0.0 { b.zone().grown(-b.room()) } else { b.zone() };
        if let Some(why) = refused(&Member { zone, ..Member::from(*b) }) {
            return Err(why(Which::Bound(k)));
        }
    }
    // What cannot move is best turned about.
    let still = |b: &&Bound| matches!(b.zone(), Zone::Round { radius } if radius <= NOISE);
    if let Some(b) = bounds.iter().find(still) {
        pivot = b.measured;
    } else if !freedom.x && !freedom.y {
        pivot = [0.0; 2];
    }
    let reach = |axis: usize| (low[axis] - pivot[axis]).abs().max((high[axis] - pivot[axis]).abs());
    let lever = norm([reach(0), reach(1)]);
    let bounds = bounds.iter().flat_map(|b| b.nominal.into_iter().chain(b.measured));
    let largest = members
        .iter()
        .flat_map(|m| m.nominal.into_iter().chain(m.measured))
        .chain(bounds)
        .fold(0.0_f64, |m, v| m.max(v.abs()));
    let noise = 2.0 * f64::EPSILON * largest;
    Ok(Survey {
        pose: Pose::at(pivot),
        lever: if lever > NOISE { lever } else { 1.0 },
        noise,
        resolution: NO_ROOM.max(ROUNDINGS * noise),
    })
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
    if let Zone::Planes { normal: [x, y], .. } = m.zone
        && let apart = (x * x + y * y - 1.0).abs()
        && (apart.is_nan() || apart > 2e-9)
    {
        return Some(Unfit::Normal);
    }
    None
}
