//! Input that makes no sense, refused at the door.

use super::freedom::PARALLEL;
use super::model::{Network, Point, Prior, Shape};
use super::state::up;

/// Why a network cannot be adjusted. Indices are those of the network's lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// A number of a point is not finite.
    Point(usize),
    /// A number is not finite, or its standard uncertainty is negative.
    AngleError(usize),
    /// The angle is not finite, or an angle error that it names does not exist or is named twice.
    Direction(usize),
    /// Its direction does not exist, a number is not finite, or its standard uncertainty is
    /// negative.
    Offset(usize),
    /// A number is not finite, or its standard uncertainty is negative.
    Systematic(usize),
    /// Its point, offset or a systematic error does not exist or is named twice, a number is not
    /// finite, or its standard uncertainty is not positive.
    Observation(usize),
    /// A plane is looked at edge-on: its height says nothing of where it is along its normal.
    EdgeOn(usize),
    /// The point does not exist, a number is not finite, or the coordinate is not along the
    /// plane's normal.
    Fixed(usize),
    /// The point has already been fixed along this direction, or altogether.
    FixedTwice(usize),
    /// The standard uncertainties of the observations differ by more than 10⁹, or those of what is
    /// known beforehand by so much that double precision cannot hold them together.
    TooFarApart,
}

/// Largest ratio of standard uncertainties of observations: an exact one then still leaves seven
/// digits of a poor one at the same point.
const RANGE: f64 = 1e9;

fn sound(prior: Prior) -> bool {
    match prior {
        Prior::Exact(value) => value.is_finite(),
        Prior::About { value, standard } => {
            value.is_finite() && standard.is_finite() && standard >= 0.0
        }
        Prior::Free => true,
    }
}

/// Finds the first fault of `network`, but for those of its fixed coordinates among themselves.
pub(super) fn check(network: &Network) -> Result<(), Fault> {
    for (i, p) in network.points.iter().enumerate() {
        let normal = match p.shape {
            Shape::Axis => 0.0,
            Shape::Plane { normal } => normal,
        };
        if !(p.near[0].is_finite() && p.near[1].is_finite() && normal.is_finite()) {
            return Err(Fault::Point(i));
        }
    }
    for (i, prior) in network.angle_errors.iter().enumerate() {
        if !sound(*prior) {
            return Err(Fault::AngleError(i));
        }
    }
    for (i, d) in network.directions.iter().enumerate() {
        let once = |(i, k): (usize, &usize)| {
            *k < network.angle_errors.len() && !d.angle_errors[..i].contains(k)
        };
        let known = d.angle_errors.iter().enumerate().all(once);
        if !(d.angle.is_finite() && known) {
            return Err(Fault::Direction(i));
        }
    }
    for (i, c) in network.offsets.iter().enumerate() {
        if c.direction >= network.directions.len() || !sound(c.prior) {
            return Err(Fault::Offset(i));
        }
    }
    for (i, s) in network.systematics.iter().enumerate() {
        if !sound(s.prior) {
            return Err(Fault::Systematic(i));
        }
    }
    // The normal of each plane, and every direction, once.
    let normals: Vec<Option<[f64; 2]>> = network.points.iter().map(Point::normal).collect();
    let ups: Vec<[f64; 2]> =
        network.directions.iter().map(|d| up(network.start_angle(d))).collect();
    for (i, o) in network.observations.iter().enumerate() {
        let known = o.point < network.points.len() && o.offset < network.offsets.len();
        let number = o.height.is_finite() && o.standard.is_finite() && o.standard > 0.0;
        let once = o.systematics.iter().enumerate().all(|(k, &(s, a))| {
            s < network.systematics.len()
                && a.is_finite()
                && o.systematics[..k].iter().all(|&(other, _)| other != s)
        });
        if !(known && number && once) {
            return Err(Fault::Observation(i));
        }
        if let Some(n) = normals[o.point] {
            let u = ups[network.direction_of(o)];
            if (n[0] * u[0] + n[1] * u[1]).abs() <= PARALLEL {
                return Err(Fault::EdgeOn(i));
            }
        }
    }
    let standards = || network.observations.iter().map(|o| o.standard);
    let least = standards().fold(f64::INFINITY, f64::min);
    if standards().any(|s| s > RANGE * least) {
        return Err(Fault::TooFarApart);
    }
    for (i, f) in network.fixed.iter().enumerate() {
        let known = f.point < network.points.len();
        if !(known && f.angle.is_finite() && f.value.is_finite()) {
            return Err(Fault::Fixed(i));
        }
    }
    Ok(())
}
