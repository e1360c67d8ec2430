//! The least-squares circle: known answers, planted circles, motion, uncertainty.

use crate::common::cases;
use proptest::prelude::*;
use quarterturn_core::form::{Circle, Form, NotFinite, circle};
use std::f64::consts::PI;

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

fn fit(points: &[[f64; 2]]) -> Circle {
    circle(points).unwrap().found().unwrap()
}

fn round(at: [f64; 2], r: f64, angle: f64) -> [f64; 2] {
    [at[0] + r * libm::cos(angle), at[1] + r * libm::sin(angle)]
}

const GANDER: [[f64; 2]; 6] =
    [[1.0, 7.0], [2.0, 6.0], [5.0, 8.0], [7.0, 7.0], [9.0, 5.0], [3.0, 7.0]];

/// W. Gander, G. H. Golub, R. Strebel, BIT 34 (1994) 558: the points are published widely, the
/// geometric fit 4.7398, 2.9835, 4.7142 is from memory; all digits computed independently (a
/// general least-squares routine, two starts). The algebraic fits of the same points are others:
/// 5.3794, 7.2532, 3.0370 (as published) and 4.7423, 3.8351, 4.1088 (Kåsa).
#[test]
fn gander_golub_strebel() {
    let c = fit(&GANDER);
    near(c.centre[0], 4.739_782_4, 5e-8);
    near(c.centre[1], 2.983_532_7, 5e-8);
    near(c.radius, 4.714_226_0, 5e-8);
    near(c.squares().sqrt(), 1.107_970_702_8, 5e-11);
}

/// Points of the SciPy cookbook's least-squares circle. Computed independently.
#[test]
fn the_cookbook_s_circle() {
    let c =
        fit(&[[9.0, 34.0], [35.0, 10.0], [-13.0, 6.0], [10.0, -14.0], [23.0, 27.0], [0.0, -10.0]]);
    near(c.centre[0], 10.500_086_2, 5e-8);
    near(c.centre[1], 9.659_949_51, 5e-9);
    near(c.radius, 23.333_527_65, 5e-9);
    near(c.squares().sqrt(), 2.777_022_19, 5e-9);
}

/// Geometry: the right triangle's circle, and three points anywhere.
#[test]
fn three_points() {
    let c = fit(&[[0.0, 0.0], [8.0, 0.0], [0.0, 6.0]]);
    near(c.centre[0], 4.0, 1e-14);
    near(c.centre[1], 3.0, 1e-14);
    near(c.radius, 5.0, 1e-14);
    assert!(c.points.iter().all(|p| p.residual.abs() < 1e-14));
    near(c.points[1].angle, libm::atan2(-3.0, 4.0), 1e-15);
    near(c.points[2].angle, libm::atan2(3.0, -4.0), 1e-15);
}

/// Bolt circles as published: five holes on radius 50 (machine shop tutorials, docs/bolt_circles;
/// two decimals), chord 1.1756 R; six holes on diameter 127 at 63.5 cos 30 deg = 54.9926 (computed
/// independently; printed 31.75 and 54.99).
#[test]
fn bolt_circles() {
    let five = [[50.0, 0.0], [15.45, 47.55], [-40.45, 29.39], [-40.45, -29.39], [15.45, -47.55]];
    let c = fit(&five);
    near(c.centre[0], 0.0, 0.005);
    near(c.centre[1], 0.0, 1e-14);
    near(c.radius, 50.0, 0.005);
    for (k, p) in (0..).zip(&c.points) {
        let steps = (p.angle - f64::from(k) * 2.0 * PI / 5.0) / (2.0 * PI);
        near(steps - libm::round(steps), 0.0, 1e-4);
        near(p.residual, 0.0, 0.005);
    }
    near(libm::hypot(50.0 - 15.45, 47.55) / c.radius, 1.1756, 2e-4);
    let (a, b) = (31.75, 54.9926);
    let c = fit(&[[63.5, 0.0], [a, b], [-a, b], [-63.5, 0.0], [-a, -b], [a, -b]]);
    near(c.radius, 63.5, 1e-4);
    near(libm::hypot(c.centre[0], c.centre[1]), 0.0, 1e-13);
}

#[test]
fn what_is_no_circle_is_said() {
    assert_eq!(circle(&[[0.0, 0.0], [1.0, 1.0]]), Ok(Form::TooFew { have: 2, need: 3 }));
    assert_eq!(circle(&[[2.0, 3.0]; 4]), Ok(Form::OnOneLine));
    let line = |n: i32| -> Vec<[f64; 2]> {
        (0..n).map(f64::from).map(|i| [10.0 + 0.3 * i, 7.0 - 1.7 * i]).collect()
    };
    assert_eq!(circle(&line(3)), Ok(Form::OnOneLine));
    assert_eq!(circle(&line(8)), Ok(Form::OnOneLine));
    assert_eq!(circle(&[[1.0, 1.0], [2.0, 5.0], [1.0, 1.0], [2.0, 5.0]]), Ok(Form::OnOneLine));
    assert_eq!(circle(&[[1.0, 1.0], [f64::NAN, 5.0], [1.0, 0.0]]), Err(NotFinite(1)));
}

/// Points off a line to both sides alike bend neither way.
#[test]
fn a_zigzag_is_no_circle() {
    let zigzag: Vec<[f64; 2]> = (0..8)
        .map(|i| [f64::from(i), if i % 4 == 0 || i % 4 == 3 { 0.01 } else { -0.01 }])
        .collect();
    match circle(&zigzag).unwrap() {
        Form::Found(c) => assert!(c.radius > 100.0, "{}", c.radius),
        other => assert_eq!(other, Form::OnOneLine),
    }
}

/// How far the points are from a circle: a square's corners and middles.
#[test]
fn points_far_from_a_circle_are_told_by_their_residuals() {
    let square = [
        [10.0, 0.0],
        [10.0, 10.0],
        [0.0, 10.0],
        [-10.0, 10.0],
        [-10.0, 0.0],
        [-10.0, -10.0],
        [0.0, -10.0],
        [10.0, -10.0],
    ];
    let c = fit(&square);
    // By hand: the mean of 10 and 10 times the root of 2, half the difference either way.
    let half = 5.0 * (2.0_f64.sqrt() - 1.0);
    near(c.radius, 10.0 + half, 1e-12);
    near(c.worst(), half, 1e-12);
    near(c.rms(), half, 1e-12);
    assert!(c.worst() / c.radius > 0.17);
    let three = fit(&[[0.0, 0.0], [8.0, 0.0], [0.0, 6.0]]);
    assert!(three.worst() < 1e-14 && three.rms() < 1e-14);
}

/// Half the squared distances of points from the circle about a centre with the best radius.
fn spread(points: &[[f64; 2]], centre: [f64; 2]) -> f64 {
    let d: Vec<f64> =
        points.iter().map(|p| libm::hypot(p[0] - centre[0], p[1] - centre[1])).collect();
    let n = f64::from(u32::try_from(d.len()).unwrap());
    let mean = d.iter().sum::<f64>() / n;
    d.iter().map(|d| (d - mean) * (d - mean)).sum()
}

/// Squared distances from the best line: the smaller eigenvalue of the scatter.
fn off_line(points: &[[f64; 2]]) -> f64 {
    let n = f64::from(u32::try_from(points.len()).unwrap());
    let mean = [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let [x, y] = [p[0] - mean[0], p[1] - mean[1]];
        (xx, xy, yy) = (xx + x * x, xy + x * y, yy + y * y);
    }
    0.5 * (xx + yy) - libm::hypot(0.5 * (xx - yy), xy)
}

/// The derivatives against differences of the fit itself, where residuals are large.
#[test]
fn follows_is_the_derivative() {
    let base = fit(&GANDER);
    let h = 1e-5;
    for i in 0..GANDER.len() {
        for k in 0..2 {
            let moved = |by: f64| {
                let mut points = GANDER;
                points[i][k] += by;
                let c = fit(&points);
                [c.centre[0], c.centre[1], c.radius]
            };
            let (up, down) = (moved(h), moved(-h));
            for row in 0..3 {
                near(base.follows[i][row][k], (up[row] - down[row]) / (2.0 * h), 2e-8);
            }
        }
    }
}

/// n holes evenly around a true circle, each coordinate with variance s²: the centre has 2 s²/n,
/// the radius s²/n, nothing is correlated. (Least squares by hand: residual = u·dc + dr.)
#[test]
fn slopes_of_an_even_bolt_circle() {
    let n = 8;
    let points: Vec<[f64; 2]> = (0..n)
        .map(|i| round([30.0, -20.0], 40.0, 0.3 + 2.0 * PI * f64::from(i) / f64::from(n)))
        .collect();
    let c = fit(&points);
    for i in 0..3 {
        for j in 0..3 {
            let product: f64 =
                c.follows.iter().map(|f| f[i][0] * f[j][0] + f[i][1] * f[j][1]).sum();
            let expected = if i != j {
                0.0
            } else if i < 2 {
                2.0 / 8.0
            } else {
                1.0 / 8.0
            };
            near(product, expected, 1e-13);
        }
    }
}

/// Half the gradient of the sum of squares at a circle.
fn gradient(points: &[[f64; 2]], c: &Circle) -> [f64; 3] {
    let mut g = [0.0; 3];
    for p in points {
        let v = [p[0] - c.centre[0], p[1] - c.centre[1]];
        let d = libm::hypot(v[0], v[1]);
        let e = d - c.radius;
        g[0] -= e * v[0] / d;
        g[1] -= e * v[1] / d;
        g[2] -= e;
    }
    g
}

/// Holes all around a circle, each off by a little.
fn bolts() -> impl Strategy<Value = ([f64; 2], f64, Vec<[f64; 2]>)> {
    (
        [-500.0..500.0_f64, -500.0..500.0],
        5.0..300.0_f64,
        4..25_usize,
        0.0..6.3_f64,
        prop::collection::vec([-0.5..0.5_f64, -0.2..0.2], 25),
    )
        .prop_map(|(at, r, n, start, noise)| {
            let n32 = f64::from(u32::try_from(n).unwrap());
            let points = (0..n)
                .map(|i| f64::from(u32::try_from(i).unwrap()))
                .zip(noise)
                .map(|(i, [turn, off])| {
                    round(at, r + off, start + 2.0 * PI * (i + 0.8 * turn) / n32)
                })
                .collect();
            (at, r, points)
        })
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn planted_circles_are_found(
        at in [-500.0..500.0_f64, -500.0..500.0],
        r in 0.5..500.0_f64,
        arc in 0.5..6.3_f64,
        start in 0.0..6.3_f64,
        n in 3..40_usize,
    ) {
        let n32 = f64::from(u32::try_from(n).unwrap());
        let points: Vec<[f64; 2]> = (0..n)
            .map(|i| round(at, r, start + arc * f64::from(u32::try_from(i).unwrap()) / n32))
            .collect();
        let c = fit(&points);
        // Rounding of the points, of 1e-13, grows as the arc shortens.
        let within = 1e-11 / (arc * arc * arc).min(1.0);
        prop_assert!((c.centre[0] - at[0]).abs() < within);
        prop_assert!((c.centre[1] - at[1]).abs() < within);
        prop_assert!((c.radius - r).abs() < within);
    }

    #[test]
    fn it_is_a_minimum((_, r, points) in bolts(), step in [-1.0..1.0_f64, -1.0..1.0, -1.0..1.0]) {
        let c = fit(&points);
        let g = gradient(&points, &c);
        prop_assert!(g.iter().all(|g| g.abs() < 1e-10), "{:?}", g);
        prop_assert!((c.points.iter().map(|p| p.residual).sum::<f64>()).abs() < 1e-10);
        for scale in [1e-3, 1e-1, 0.3 * r] {
            let sum: f64 = points.iter().map(|p| {
                let d = libm::hypot(p[0] - c.centre[0] - scale * step[0], p[1] - c.centre[1] - scale * step[1]);
                let e = d - c.radius - scale * step[2];
                e * e
            }).sum();
            prop_assert!(sum >= c.squares() * (1.0 - 1e-12) - 1e-20);
        }
    }

    /// Anywhere in a square, far from any circle: no centre on a grid about them is better, nor is
    /// a line; and the minimum is a proper one, no saddle.
    #[test]
    fn far_from_a_circle_it_is_the_least_of_all(
        points in prop::collection::vec([-10.0..10.0_f64, -10.0..10.0], 4..9)
    ) {
        let line = off_line(&points);
        let mut best = line;
        for i in -60..=60 {
            for j in -60..=60 {
                best = best.min(spread(&points, [0.5 * f64::from(i), 0.5 * f64::from(j)]));
            }
        }
        match circle(&points).unwrap() {
            Form::Found(c) => {
                prop_assert!(c.squares() <= best * (1.0 + 1e-9), "{} {} {:?}", c.squares(), best, c);
                let h = 1e-3 * (1.0 + c.radius);
                for k in 0..16 {
                    let a = PI * f64::from(k) / 8.0;
                    let near_by =
                        [c.centre[0] + h * libm::cos(a), c.centre[1] + h * libm::sin(a)];
                    prop_assert!(spread(&points, near_by) > c.squares());
                }
            }
            other => {
                prop_assert_eq!(other, Form::OnOneLine);
                prop_assert!(best >= line * (1.0 - 1e-6), "{} {}", best, line);
            }
        }
    }

    #[test]
    fn it_moves_with_the_points((_, _, points) in bolts(), turn in 0.0..6.3_f64, by in [-100.0..100.0_f64, -100.0..100.0], mirrored in any::<bool>()) {
        let (cos, sin) = (libm::cos(turn), libm::sin(turn));
        let motion = |p: [f64; 2]| {
            let y = if mirrored { -p[1] } else { p[1] };
            [by[0] + cos * p[0] - sin * y, by[1] + sin * p[0] + cos * y]
        };
        let before = fit(&points);
        let after = fit(&points.iter().map(|p| motion(*p)).collect::<Vec<_>>());
        let centre = motion(before.centre);
        prop_assert!((after.centre[0] - centre[0]).abs() < 1e-9);
        prop_assert!((after.centre[1] - centre[1]).abs() < 1e-9);
        prop_assert!((after.radius - before.radius).abs() < 1e-9);
        for (a, b) in after.points.iter().zip(&before.points) {
            prop_assert!((a.residual - b.residual).abs() < 1e-9);
            let angle = turn + if mirrored { -b.angle } else { b.angle };
            let off = (a.angle - angle) / (2.0 * PI);
            prop_assert!((off - libm::round(off)).abs() < 1e-9);
        }
    }

    /// A common move of all points moves the centre alike and leaves the radius: the columns of the
    /// derivatives sum to that.
    #[test]
    fn derivatives_know_a_common_move((_, _, points) in bolts()) {
        let c = fit(&points);
        for k in 0..2 {
            for row in 0..3 {
                let sum: f64 = c.follows.iter().map(|f| f[row][k]).sum();
                let expected = if row == k { 1.0 } else { 0.0 };
                prop_assert!((sum - expected).abs() < 1e-10);
            }
        }
    }
}
