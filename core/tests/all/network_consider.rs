//! Systematic errors are considered, and only the tests of the readings estimate them.
//!
//! A value known beforehand is an observation. A network in which the systematic errors are free,
//! and each is observed at a face whose place and zero are exact, is the full adjustment.

use crate::network_common::{random, standard, start};
use crate::random::Random;
use quarterturn_core::network::{
    Direction, Fit, Fixed, LinearForm, Network, Observation, Offset, Point, Prior, Systematic,
};
use std::f64::consts::{FRAC_PI_2, PI};

/// The full adjustment, and which observation of it each considered systematic error is.
fn full(network: &Network) -> (Network, Vec<(usize, usize)>) {
    let mut full = network.clone();
    full.points.push(Point::plane([0.0; 2], 0.0));
    full.directions.push(Direction::exact(0.0));
    let (point, direction) = (full.points.len() - 1, full.directions.len() - 1);
    full.offsets.push(Offset { direction, prior: Prior::ZERO });
    let offset = full.offsets.len() - 1;
    full.fixed.push(Fixed { point, angle: 0.0, value: 0.0 });
    let mut observed = Vec::new();
    for (m, s) in full.systematics.iter_mut().enumerate() {
        if let Some(u) = standard(s.prior) {
            let seen = Observation::new(point, offset, start(s.prior), u);
            s.prior = Prior::Free;
            observed.push((m, full.observations.len()));
            full.observations.push(seen.with(m, 1.0));
        }
    }
    (full, observed)
}

fn same(what: &str, a: &Fit, b: &Fit, sigma: f64, size: f64) {
    let near = |a: f64, b: f64, allowed: f64| {
        assert!((a - b).abs() <= allowed, "{what}: {a} and {b}, allowed {allowed}");
    };
    near(a.residual, b.residual, 1e-9 * sigma + 1e-14 * size);
    near(a.redundancy, b.redundancy, 1e-9);
    assert_eq!(a.normalised.is_some(), b.normalised.is_some());
    if let (Some(x), Some(y)) = (a.normalised, b.normalised) {
        // Where little is left over, r itself has few digits.
        let digits = 1e-9 / a.redundancy;
        near(x, y, digits * (1.0 + y.abs()) + 1e-14 * size / (sigma * a.redundancy.sqrt()));
    }
}

fn compare(network: &Network, allowed: f64) -> (usize, usize) {
    let (full, observed) = full(network);
    let (a, b) = (network.adjust().unwrap(), full.adjust().unwrap());
    let size = network.observations.iter().fold(1.0, |a: f64, o| a.max(o.height.abs()));
    for (i, o) in network.observations.iter().enumerate() {
        same("observation", &a.observations[i], &b.observations[i], o.standard, size);
    }
    for (m, i) in &observed {
        let fit = a.systematics[*m].prior.unwrap();
        same("systematic", &fit, &b.observations[*i], full.observations[*i].standard, size);
    }
    let [priors, other] = [&a, &b].map(|n| n.angle_errors.iter().chain(&n.offsets));
    let given = network.angle_errors.iter().copied();
    let given = given.chain(network.offsets.iter().map(|o| o.prior));
    for ((a, b), prior) in priors.zip(other).zip(given) {
        if let (Some(a), Some(b)) = (a.prior, b.prior) {
            same("prior", &a, &b, standard(prior).unwrap(), size);
        }
    }
    let least = network.observations.iter().fold(1.0, |a: f64, o| a.min(o.standard));
    let rounding = 1e-13 * size / least * (1.0 + a.chi_square.sqrt());
    let apart = (a.chi_square - b.chi_square).abs();
    assert!(apart <= allowed * b.chi_square + rounding, "{} {}", a.chi_square, b.chi_square);
    assert_eq!(a.degrees, b.degrees);
    // Whether the estimates differ at all.
    let points = 0..network.points.len();
    let moved = points.filter(|i| {
        let at = [&a, &b].map(|n| n.along(*i, 0.0));
        let [Some(p), Some(q)] = at else { return false };
        assert!(p.standard >= q.standard * (1.0 - 1e-6), "considering cannot be more exact");
        (p.value - q.value).abs() > 0.01 * q.standard
    });
    (observed.len(), moved.count())
}

#[test]
fn tests_of_the_readings_are_those_of_the_full_adjustment() {
    let mut r = Random::new(21);
    let (mut considered, mut moved) = (0, 0);
    for _ in 0..400 {
        let (c, m) = compare(&random(&mut r, false), 1e-9);
        considered += c;
        moved += m;
    }
    println!("{considered} considered, {moved} coordinates differ");
    assert!(considered > 100 && moved > 50);
}

/// Two holes and a third orientation. The error of scale is known to 1e-4 only, and hole 2, seen
/// from everywhere, does not fit.
fn three_sides(wrong: f64) -> Network {
    let about = |standard| Prior::About { value: 0.0, standard };
    let mut network = Network {
        points: vec![Point::axis([30.0, 20.0]), Point::axis([70.0, 50.0])],
        directions: [0.0, PI, FRAC_PI_2, 0.6].map(Direction::exact).to_vec(),
        offsets: (0..4).map(|direction| Offset { direction, prior: Prior::ZERO }).collect(),
        systematics: vec![Systematic { prior: about(1e-4) }, Systematic { prior: about(0.003) }],
        ..Network::default()
    };
    for (i, p) in [[30.0, 20.0], [70.0, 50.0]].into_iter().enumerate() {
        for (k, d) in network.directions.iter().enumerate() {
            if i == 0 && k > 1 {
                continue;
            }
            let mut height = p[0] * libm::cos(d.angle) + p[1] * libm::sin(d.angle);
            height += if i == 1 { wrong * libm::sin(4.0 * d.angle + 1.0) } else { 0.004 };
            let seen = Observation::new(i, k, height, 0.001);
            network.observations.push(seen.with(0, height).with(1, [0.5, 1.0][k % 2]));
        }
    }
    network
}

/// The x of hole 1 is half the difference of its own two heights, whatever was read elsewhere.
#[test]
fn a_coordinate_of_its_own_readings_does_not_move_with_others() {
    let x = LinearForm::point(0, [1.0, 0.0]);
    let mut full_values = Vec::new();
    for wrong in [0.0, 0.002, 0.02] {
        let network = three_sides(wrong);
        let adjusted = network.adjust().unwrap();
        let heights = [0, 1].map(|i| network.observations[i].height);
        let value = adjusted.value_of(&x).unwrap();
        assert!((value - 0.5 * (heights[0] - heights[1])).abs() < 1e-14, "{value}");
        // By hand: h₁ = x + a₁s + b₁t, h₂ = −x + a₂s + b₂t.
        let share = [0.5 * (heights[0] - heights[1]) * 1e-4, 0.5 * (0.5 - 1.0) * 0.003];
        let variance = 0.5 * 1e-6 + share[0] * share[0] + share[1] * share[1];
        assert!((adjusted.variance_of(&x).unwrap() / variance - 1.0).abs() < 1e-12);
        for (m, share) in share.iter().enumerate() {
            let part = adjusted.propagation(&x).and_then(|p| p.systematic_part(m)).unwrap();
            assert!((part + share).abs() < 1e-15, "{part} {share}");
        }
        for (i, gain) in [0.5, -0.5].into_iter().enumerate() {
            assert!(
                (adjusted.propagation(&x).and_then(|p| p.gain(i)).unwrap() - gain).abs() < 1e-14
            );
        }
        for i in 2..network.observations.len() {
            assert!(adjusted.propagation(&x).and_then(|p| p.gain(i)).unwrap().abs() < 1e-15);
        }
        full_values.push(full(&network).0.adjust().unwrap().value_of(&x).unwrap());
    }
    // The full adjustment would have moved it.
    assert!((full_values[2] - full_values[0]).abs() > 1e-4, "{full_values:?}");
}

/// With an angle error the full adjustment is another linearisation: the tests of the readings are
/// its own up to what is of second order in the angle.
#[test]
fn with_angle_errors_the_tests_differ_by_second_order_only() {
    let mut network = three_sides(0.001);
    network.angle_errors = vec![Prior::About { value: 0.0, standard: 2e-4 }];
    network.directions[2].angle_errors.push(0);
    network.directions[3].angle_errors.push(0);
    let (full, _) = full(&network);
    let (a, b) = (network.adjust().unwrap(), full.adjust().unwrap());
    assert!(a.converged && b.converged && a.degrees == b.degrees);
    assert!((a.chi_square / b.chi_square - 1.0).abs() < 1e-6);
    for (a, b) in a.observations.iter().zip(&b.observations) {
        assert!((a.residual - b.residual).abs() < 1e-9, "{a:?} {b:?}");
        assert!((a.redundancy - b.redundancy).abs() < 1e-4, "{a:?} {b:?}");
    }
}
