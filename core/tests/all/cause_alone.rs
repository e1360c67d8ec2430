//! How often the hole that is on its own is named, and how often a good one is blamed.

use crate::cause_common::{circle, count, pattern, plate, tail};
use crate::random::Random;
use quarterturn_core::cause::{Distortion, diagnose};

const SIGMA: f64 = 0.005;

struct Rates {
    blamed: f64,
    named: f64,
    wrong: f64,
}

/// In percent: patterns with shift and rotation of `common` σ (rms, the rotation at 70 mm), first
/// as they are, then with one hole `out` σ away in any direction.
fn rates(n: usize, common: f64, out: f64, on_circle: bool) -> Rates {
    let mut random = Random::new(1000 + u64::try_from(n).unwrap());
    let (mut blamed, mut named, mut wrong) = (0, 0, 0);
    let runs = 2000;
    for _ in 0..runs {
        let places = if on_circle { circle(n, 50.0) } else { plate(n, [0.0, 0.0], &mut random) };
        let mut by = |length: f64| common * SIGMA / length * random.normal();
        let error =
            Distortion { shift: [by(1.0), by(1.0)], turn: by(70.0), ..Distortion::default() };
        let mut members = pattern(&places, error, SIGMA, &mut random);
        blamed += usize::from(diagnose(&members, None, tail).unwrap().outlier.is_some());
        let (j, angle) = (random.below(n), std::f64::consts::TAU * random.unit());
        for (d, part) in members[j].deviation.iter_mut().zip([libm::cos(angle), libm::sin(angle)]) {
            *d = d.map(|d| d + out * SIGMA * part);
        }
        match diagnose(&members, None, tail).unwrap().outlier {
            Some(l) if l.member == j => named += 1,
            Some(_) => wrong += 1,
            None => {}
        }
    }
    let percent = |k: usize| 100.0 * count(k) / count(runs);
    Rates { blamed: percent(blamed), named: percent(named), wrong: percent(wrong) }
}

#[test]
fn at_six_sigma() {
    println!("holes  common σ   blamed  named  wrong   in percent, 2000 patterns");
    // At least so many of a hundred, without and with an error that all share.
    for (n, bare, shared) in [
        (4, 45.0, 5.0),
        (5, 60.0, 15.0),
        (6, 70.0, 30.0),
        (8, 80.0, 50.0),
        (12, 88.0, 74.0),
        (16, 90.0, 82.0),
        (24, 91.0, 87.0),
    ] {
        for on_circle in [false, true] {
            for (common, least) in [(0.0, bare), (4.0, shared)] {
                let r = rates(n, common, 6.0, on_circle);
                let shape = if on_circle { "circle" } else { "plate" };
                println!(
                    "{n:5}  {common:8}  {:7.2}  {:5.1}  {:5.2}   {shape}",
                    r.blamed, r.named, r.wrong
                );
                assert!(r.blamed < 3.0 && r.wrong < 1.0 && r.named > least, "{n} holes");
            }
        }
    }
}

/// A hole that is far out is found whatever else there is, and the error is that of the others.
#[test]
fn far_out() {
    let mut random = Random::new(77);
    for n in [6, 8, 12, 24] {
        let mut named = 0;
        for _ in 0..300 {
            let error = Distortion {
                shift: [0.05 * random.within(1.0), 0.05],
                turn: 0.001 * random.within(1.0),
                ..Distortion::default()
            };
            let mut members = pattern(&plate(n, [0.0; 2], &mut random), error, SIGMA, &mut random);
            let j = random.below(n);
            members[j].deviation[0] = members[j].deviation[0].map(|d| d + 0.3);
            let d = diagnose(&members, None, tail).unwrap();
            if d.outlier.is_some_and(|l| l.member == j) {
                named += 1;
                let away = d.outlier.unwrap().away[0].unwrap();
                assert!((away - 0.3).abs() < 0.1, "{n} holes: {away}");
                let off = d.error.at([60.0, 40.0])[1] - error.at([60.0, 40.0])[1];
                assert!(off.abs() < 6.0 * SIGMA, "{n} holes: {off}");
            }
        }
        println!("{n} holes, 60 σ: {named} of 300");
        assert!(named >= 290, "{n} holes: {named} of 300");
    }
}

/// Two holes exchanged on the sheet are wild by 20 mm; none of the good ones is blamed for it.
#[test]
fn one_hole_wild_by_far() {
    let mut random = Random::new(4);
    for n in 4..16 {
        let places = plate(n, [0.0; 2], &mut random);
        let mut members = pattern(&places, Distortion::default(), 0.004, &mut random);
        members[n - 1].deviation[1] = Some(-20.0);
        let outlier = diagnose(&members, Some(0.002), tail).unwrap().outlier.unwrap();
        assert_eq!(outlier.member, n - 1, "{n} holes");
        assert!((outlier.away[1].unwrap() + 20.0).abs() < 0.05, "{n} holes: {outlier:?}");
    }
}
