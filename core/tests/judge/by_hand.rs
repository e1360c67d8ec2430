//! The judge's pieces against figures from elsewhere.

use super::document::{Pair, direction};
use super::pattern::{Fit, Problem, Zone, fit};
use super::{circle, eigen};

fn zones(basic: &[Pair], measured: &[Pair], diameters: &[f64]) -> Vec<Zone> {
    (0..basic.len())
        .map(|i| Zone {
            measured: measured[i],
            basic: basic[i],
            across: None,
            half: diameters[i] / 2.0,
        })
        .collect()
}

fn best(problem: &Problem) -> (f64, Pair, f64) {
    let Fit::Best { s, pose } = fit(problem) else { panic!("no fit") };
    // Turned about the drawing's origin, and then moved.
    let at = pose.place([0.0; 2]);
    (s, at, pose.turn)
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() < within, "{a} and {b}");
}

/// Datum holes with room to shift; worked out with another conic solver (scipy's SLSQP agrees).
#[test]
fn patterns_with_datum_shift() {
    let basic = [[20.0, 15.0], [60.0, 15.0], [60.0, 45.0], [20.0, 45.0]];
    let measured = [[20.046, 15.010], [60.031, 15.052], [59.988, 45.040], [20.002, 44.995]];
    let members = zones(&basic, &measured, &[0.10, 0.10, 0.11, 0.12]);
    let datums = |b: f64, c: f64| {
        zones(&[[0.0, 0.0], [80.0, 0.0]], &[[0.006, -0.004], [80.010, 0.036]], &[b, c])
    };
    for (rooms, s, t, turn) in [
        (datums(0.06, 0.05), -0.030_352_009, [-0.034_056_673, -0.002_901_031], -4.990_611_565e-4),
        (datums(0.02, 0.02), -0.013_541_917, [-0.015_576_292, 0.001_127_539], -3.923_939_828e-4),
    ] {
        let found = best(&Problem { members: members.clone(), bounds: rooms, turns: true });
        near(found.0, s, 1e-8);
        near(found.1[0], t[0], 1e-6);
        near(found.1[1], t[1], 1e-6);
        near(found.2, turn, 1e-8);
    }
    // B fixed at its centre, no rotation: the second hole is 0.01133 outside.
    let b = datums(0.0, 0.05)[..1].to_vec();
    let found = best(&Problem { members, bounds: b, turns: false });
    near(found.0, 0.011_326_992_4, 1e-8);
}

/// Four holes with a slot, and the same without: the smallest circle about the deviations.
#[test]
fn free_patterns() {
    let basic = [[0.0, 0.0], [80.0, 0.0], [80.0, 50.0], [0.0, 50.0]];
    let deviations = [[0.03, 0.01], [-0.02, 0.04], [0.01, -0.05], [-0.03, -0.01]];
    let measured: Vec<Pair> =
        basic.iter().zip(deviations).map(|(n, d)| [n[0] + d[0], n[1] + d[1]]).collect();
    let members = zones(&basic, &measured, &[0.08; 4]);
    let shift = best(&Problem { members: members.clone(), bounds: Vec::new(), turns: false });
    near(2.0 * shift.0 + 0.08, 0.094_868_329_8, 1e-9);
    let rigid = best(&Problem { members: members.clone(), bounds: Vec::new(), turns: true });
    near(2.0 * rigid.0 + 0.08, 0.090_984_647_6, 1e-9);
    near(rigid.2, 3.338_952e-4, 1e-9);
    let mut all = members;
    all.push(Zone {
        measured: [40.02, 25.03],
        basic: [40.0, 25.0],
        across: Some([1.0, 0.0]),
        half: 0.025,
    });
    let found = best(&Problem { members: all, bounds: Vec::new(), turns: true });
    near(found.0, 0.005_492_323_8, 1e-9);
    near(found.2, 3.338_952_1e-4, 1e-9);
    near(found.1[0], 0.013_990_932_8, 1e-6);
    near(found.1[1], -0.021_613_604_4, 1e-6);
}

#[test]
fn datum_features_that_do_not_enter_their_boundaries() {
    let pins = zones(&[[0.0, 0.0], [80.0, 0.0]], &[[0.0, 0.0], [80.05, 0.0]], &[0.02, 0.02]);
    let members = zones(&[[40.0, 0.0]], &[[40.0, 0.0]], &[0.1]);
    // 0.05 too far apart, 0.02 of room together: each lacks 0.015.
    let problem = Problem { members, bounds: pins, turns: true };
    let Fit::Infeasible { excess } = fit(&problem) else { panic!("it fits") };
    near(excess, 0.015, 1e-9);
}

/// W. Gander, G. H. Golub and R. Strebel, BIT 34 (1994): the geometric circle.
#[test]
fn the_circle_of_least_squares() {
    let points = [[1.0, 7.0], [2.0, 6.0], [5.0, 8.0], [7.0, 7.0], [9.0, 5.0], [3.0, 7.0]];
    let (centre, radius) = circle::fit(&points).expect("a circle");
    near(centre[0], 4.739_782_4, 1e-7);
    near(centre[1], 2.983_532_7, 1e-7);
    near(radius, 4.714_226_0, 1e-7);
}

#[test]
fn eigenvalues_of_a_singular_matrix() {
    // (1, 2, 2) times itself: 9, 0, 0.
    let m = nalgebra::DMatrix::from_row_slice(3, 3, &[1.0, 2.0, 2.0, 2.0, 4.0, 4.0, 2.0, 4.0, 4.0]);
    let e = eigen::symmetric(&m);
    let mut values: Vec<f64> = e.values.iter().copied().collect();
    values.sort_by(f64::total_cmp);
    assert!(values[0].abs() < 1e-15 && values[1].abs() < 1e-15);
    near(values[2], 9.0, 1e-14);
}

#[test]
fn quarter_turns_are_exact() {
    assert_eq!(
        [0.0, 90.0, 180.0, 270.0].map(direction),
        [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]]
    );
}
