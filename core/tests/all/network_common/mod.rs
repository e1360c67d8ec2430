//! Random networks, and a dense solver that knows nothing of how the adjustment works.

pub(crate) mod dense;

use crate::random::Random;
use quarterturn_core::network::{
    Direction, Fixed, Network, Observation, Offset, Point, Prior, Shape, Systematic,
};
use std::f64::consts::PI;

/// 10 to a power from `low` to `high`.
fn power(r: &mut Random, low: f64, high: f64) -> f64 {
    libm::pow(10.0, r.range(low, high))
}

/// About normal: mean 0, deviation 1.
pub(crate) fn noise(r: &mut Random) -> f64 {
    (0..12).map(|_| r.unit()).sum::<f64>() - 6.0
}

pub(crate) fn up(angle: f64) -> [f64; 2] {
    [libm::cos(angle), libm::sin(angle)]
}

pub(crate) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

pub(crate) fn start(prior: Prior) -> f64 {
    match prior {
        Prior::Exact(v) | Prior::About { value: v, .. } => v,
        Prior::Free => 0.0,
    }
}

pub(crate) fn standard(prior: Prior) -> Option<f64> {
    match prior {
        Prior::About { standard, .. } if standard > 0.0 => Some(standard),
        _ => None,
    }
}

pub(crate) fn unknown(prior: Prior) -> bool {
    matches!(prior, Prior::Free) || standard(prior).is_some()
}

/// A random network. With `angles` some directions have errors that must be found, and the
/// uncertainties and coordinates keep to what a bench can show.
#[expect(clippy::too_many_lines, reason = "one choice after the other")]
pub(crate) fn random(r: &mut Random, angles: bool) -> Network {
    let reach = if angles { power(r, 1.0, 3.0) } else { power(r, -3.0, 4.0) };
    let mut network = Network::default();
    let mut truth = Vec::new();
    for _ in 0..2 + r.remainder(6) {
        let p = [r.range(-reach, reach), r.range(-reach, reach)];
        let near = [p[0] + 1e-3 * reach * noise(r), p[1] + 1e-3 * reach * noise(r)];
        truth.push(p);
        network.points.push(match r.chance(0.2) {
            true => {
                let normal = r.range(-PI, PI);
                // It is where it was touched.
                let across = [-libm::sin(normal), libm::cos(normal)];
                let t = dot(across, p) - dot(across, near);
                Point::plane([near[0] + t * across[0], near[1] + t * across[1]], normal)
            }
            false => Point::axis(near),
        });
    }
    let (mut deltas, mut true_errors) = (Vec::new(), Vec::new());
    for k in 0..1 + r.remainder(5) {
        let angle = match (angles, r.chance(0.6)) {
            (false, true) => [0.0, PI / 2.0, PI, 1.5 * PI][r.remainder(4)],
            (false, false) => [0.3, 0.9, 1.2, 1.9, 2.7][k] + r.range(-0.1, 0.1),
            // Never two that are nearly the same.
            (true, _) => [0.0, 0.5, 1.1, 1.7, 2.3][k] + r.range(-0.1, 0.1),
        };
        if angles && !network.angle_errors.is_empty() && r.chance(0.3) {
            // On the same face as another.
            let shared = r.remainder(network.angle_errors.len());
            deltas.push(true_errors[shared]);
            network.directions.push(Direction::with_error(angle, shared));
            continue;
        }
        let error = match r.remainder(3) {
            1 if angles => Prior::About { value: 1e-4 * noise(r), standard: power(r, -5.0, -3.0) },
            2 if angles => Prior::Free,
            _ => Prior::ZERO,
        };
        let delta = match error {
            Prior::Exact(v) => v,
            Prior::About { value, standard } => value + standard * noise(r),
            Prior::Free => 1e-3 * noise(r),
        };
        deltas.push(delta);
        let mut direction = Direction::exact(angle);
        if error != Prior::ZERO {
            direction.angle_errors.push(network.angle_errors.len());
            network.angle_errors.push(error);
            true_errors.push(delta);
        }
        network.directions.push(direction);
    }
    let mut offsets = Vec::new();
    for k in 0..network.directions.len() {
        for _ in 0..1 + r.remainder(3) {
            let value = r.range(-reach, reach);
            let standard = if angles { power(r, -4.0, 0.0) } else { power(r, -6.0, 0.0) };
            let prior = match r.remainder(3) {
                0 => Prior::Exact(value),
                1 => Prior::About { value, standard },
                _ => Prior::Free,
            };
            let c = match prior {
                Prior::About { .. } => value + standard * noise(r),
                _ => value,
            };
            offsets.push(c);
            network.offsets.push(Offset { direction: k, prior });
        }
    }
    let mut errors = Vec::new();
    for _ in 0..r.remainder(3) {
        let standard = power(r, -5.0, -2.0);
        let prior = match r.remainder(4) {
            0 => Prior::Free,
            1 => Prior::Exact(standard),
            _ => Prior::About { value: 0.0, standard },
        };
        errors.push(if prior == Prior::Exact(standard) { standard } else { standard * noise(r) });
        network.systematics.push(Systematic { prior });
    }
    let density = r.range(0.1, 1.0);
    for (i, place) in truth.iter().enumerate() {
        for (j, offset) in offsets.iter().enumerate() {
            let k = network.offsets[j].direction;
            let u = up(network.directions[k].angle + deltas[k]);
            let edge_on = match network.points[i].shape {
                Shape::Plane { normal } => dot(up(normal), u).abs() < 0.1,
                Shape::Axis => false,
            };
            if edge_on || !r.chance(density) {
                continue;
            }
            for _ in 0..1 + r.remainder(2) {
                let standard =
                    if angles { reach * power(r, -7.0, -5.0) } else { power(r, -6.0, 0.0) };
                let mut height = dot(*place, u) + offset + standard * noise(r);
                let mut systematics = Vec::new();
                for (m, e) in errors.iter().enumerate() {
                    if r.chance(0.6) {
                        // With angles, what it does stays small beside what is measured.
                        let scale = if angles { 1e-2 } else { 1.0 };
                        let a = [0.5, 1.0, scale * height][r.remainder(3)];
                        systematics.push((m, a));
                        height += a * e;
                    }
                }
                network.observations.push(Observation {
                    point: i,
                    offset: j,
                    height,
                    standard,
                    systematics,
                });
            }
        }
    }
    let mut fix = |point: usize, angle: f64| {
        network.fixed.push(Fixed { point, angle, value: dot(truth[point], up(angle)) });
    };
    for point in 0..r.remainder(3) {
        if let Shape::Plane { normal } = network.points[point].shape {
            fix(point, if r.chance(0.5) { normal } else { normal + PI });
            continue;
        }
        let angle = if r.chance(0.7) { 0.0 } else { r.range(-PI, PI) };
        fix(point, angle);
        if r.chance(0.5) {
            fix(point, angle + if r.chance(0.7) { PI / 2.0 } else { 0.7 });
        }
    }
    network
}
