//! Flatness and straightness: known answers, brute force, and the proof they come with.

use crate::common::cases;
use proptest::prelude::*;
use quarterturn_core::form::{
    Flatness, Form, NotFinite, Plane, Spot, Station, StraightLine, Straightness, Sweep,
    ZoneSupports, flatness, straightness,
};

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

fn spots(points: &[[f64; 3]]) -> Vec<Spot> {
    points.iter().map(|&[x, y, height]| Spot { x, y, height }).collect()
}

fn stations(points: &[[f64; 2]]) -> Vec<Station> {
    points.iter().map(|&[x, height]| Station { x, height }).collect()
}

fn flat(points: &[[f64; 3]]) -> Flatness {
    flatness(&spots(points)).unwrap().found().unwrap()
}

fn straight(points: &[[f64; 2]]) -> Straightness {
    straightness(&stations(points)).unwrap().found().unwrap()
}

fn numbers(held: &ZoneSupports) -> (Vec<usize>, Vec<usize>) {
    let side = |s: &[quarterturn_core::form::Support]| {
        let mut all: Vec<usize> = s.iter().map(|s| s.index).collect();
        all.sort_unstable();
        all
    };
    (side(&held.upper), side(&held.lower))
}

/// The least width along the height over all tilts at which two pairs of points are level: the
/// optimum is one of them.
fn brute_flat(points: &[[f64; 3]]) -> f64 {
    let mut best = f64::INFINITY;
    let n = points.len();
    let pairs: Vec<[f64; 3]> = (0..n)
        .flat_map(|i| (0..i).map(move |j| (i, j)))
        .map(|(i, j)| [0, 1, 2].map(|k| points[i][k] - points[j][k]))
        .collect();
    for (i, a) in pairs.iter().enumerate() {
        for b in &pairs[..i] {
            let det = a[0] * b[1] - a[1] * b[0];
            if det.abs() < 1e-9 {
                continue;
            }
            let s = [(a[2] * b[1] - b[2] * a[1]) / det, (a[0] * b[2] - b[0] * a[2]) / det];
            best = best.min(range(points.iter().map(|p| p[2] - s[0] * p[0] - s[1] * p[1])));
        }
    }
    best
}

fn brute_straight(points: &[[f64; 2]]) -> f64 {
    let mut best = f64::INFINITY;
    for p in points {
        for q in points {
            if p[0] > q[0] {
                let s = (p[1] - q[1]) / (p[0] - q[0]);
                best = best.min(range(points.iter().map(|p| p[1] - s * p[0])));
            }
        }
    }
    best
}

fn range(heights: impl Iterator<Item = f64>) -> f64 {
    let (low, high) =
        heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
    high - low
}

/// All points between the planes, and the proof: weights that sum to 1, the same centre of gravity
/// above and below, and a least width equal to the one found.
fn proven(points: &[[f64; 3]], found: &Flatness, within: f64) {
    let half = 0.5 * found.along_height;
    for p in points {
        let off = p[2] - found.middle.at(p[0], p[1]);
        assert!(off.abs() <= half + within, "a point sticks out by {}", off.abs() - half);
    }
    let sum = |side: &[quarterturn_core::form::Support], of: &dyn Fn(usize) -> f64| {
        side.iter().map(|s| s.weight * of(s.index)).sum::<f64>()
    };
    let ZoneSupports { upper, lower } = &found.held;
    assert!(upper.iter().chain(lower).all(|s| s.weight > 0.0));
    assert!(matches!((upper.len(), lower.len()), (1, 1..=3) | (2, 1..=2) | (3, 1)));
    near(sum(upper, &|_| 1.0), 1.0, 1e-14);
    near(sum(lower, &|_| 1.0), 1.0, 1e-14);
    let wide = range(points.iter().map(|p| p[0])).max(range(points.iter().map(|p| p[1])));
    near(sum(upper, &|i| points[i][0]), sum(lower, &|i| points[i][0]), 1e-10 * wide);
    near(sum(upper, &|i| points[i][1]), sum(lower, &|i| points[i][1]), 1e-10 * wide);
    near(found.held.least(|i| points[i][2]), found.along_height, within);
    near(found.width, found.along_height * found.middle.cosine(), within);
}

/// Five points from a question on an engineers' forum (eng-tips.com, thread 393584; points only).
/// Zone 4103/61000 and slopes computed independently: exact fractions over all pairs of pairs, and
/// scipy 1.17 `linprog`; least squares by numpy `lstsq`.
#[test]
fn flatness_of_five_points() {
    let points = [
        [11.5, 7.0, 1.1],
        [18.5, 6.9, 1.03],
        [4.5, 13.0, 1.02],
        [25.5, 30.0, 1.03],
        [11.5, 37.5, 1.02],
    ];
    let found = flat(&points);
    near(found.along_height, 4103.0 / 61000.0, 1e-15);
    near(found.width, 0.067_262_057_528_119_4, 1e-15);
    near(found.middle.slope[0], -0.000_428_571_428_571_428_55, 1e-15);
    near(found.middle.slope[1], -0.002_622_950_819_672_131, 1e-15);
    assert_eq!(numbers(&found.held), (vec![0, 4], vec![1, 2]));
    near(found.least_squares.height, 1.059_663_665_348_490_8, 1e-14);
    near(found.least_squares.slope[0], 0.000_281_689_544_343_364_77, 1e-15);
    near(found.least_squares.slope[1], -0.001_254_863_656_387_772, 1e-15);
    near(found.least_squares_width, 0.072_097_253_550_492_07, 1e-14);
    proven(&points, &found, 1e-15);
}

/// A made-up grid of 5 x 5 heights, a dome on a tilted plate 10 mm up. Computed independently as
/// above. The centre lies midway between two opposite corners: two and one hold the zone.
#[test]
fn flatness_of_a_grid() {
    let rows =
        [[0, 3, 5, 4, 1], [2, 6, 9, 7, 3], [4, 8, 12, 9, 4], [1, 5, 8, 7, 6], [-2, 1, 3, 2, -4]];
    let mut points = Vec::new();
    for (i, row) in (0..).zip(rows) {
        for (j, height) in (0..).zip(row) {
            let tenths = 10 * height + 4 * j - 7 * i;
            points.push([
                20.0 * f64::from(j),
                15.0 * f64::from(i),
                10.0 + f64::from(tenths) / 10_000.0,
            ]);
        }
    }
    let found = flat(&points);
    near(found.along_height, 0.014, 4e-15);
    near(found.least_squares_width, 0.015_599_999_938_296_059, 4e-15);
    near(found.least_squares.slope[0], 3.6e-5, 1e-16);
    near(found.least_squares.slope[1], -8.133_333_333_333e-5, 1e-16);
    assert_eq!(numbers(&found.held), (vec![12], vec![0, 24]));
    proven(&points, &found, 4e-15);
}

/// A made-up profile; zone 7/1600 and slope 7/80000 computed independently (exact fractions over
/// all pairs), least squares by numpy `polyfit`.
#[test]
fn straightness_of_a_profile() {
    let heights = [0.0, 3.0, 4.0, 7.0, 5.0, 8.0, 6.0, 9.0, 7.0];
    let points: Vec<[f64; 2]> =
        (0..).zip(heights).map(|(i, h)| [10.0 * f64::from(i), h / 1000.0]).collect();
    let found = straight(&points);
    near(found.along_height, 7.0 / 1600.0, 1e-17);
    near(found.middle.slope, 7.0 / 80_000.0, 1e-17);
    assert_eq!(numbers(&found.held), (vec![3], vec![0, 8]));
    near(found.least_squares.slope, 8.5e-5, 1e-17);
    near(found.least_squares.height, 0.002_044_444_444_444, 1e-15);
    near(found.least_squares_width, 0.004_45, 1e-10);
    near(found.held.least(|i| points[i][1]), found.along_height, 1e-17);
}

/// By hand: each of the minimum zone's three ways to be held.
#[test]
fn the_ways_to_be_held() {
    // A pyramid: one up, its foot of three down.
    let found = flat(&[
        [0.0, 0.0, 0.0],
        [30.0, 0.0, 0.0],
        [0.0, 30.0, 0.0],
        [10.0, 10.0, 0.02],
        [5.0, 5.0, 0.01],
    ]);
    near(found.width, 0.02, 1e-16);
    assert_eq!(numbers(&found.held), (vec![3], vec![0, 1, 2]));
    // Upside down.
    let found = flat(&[
        [0.0, 0.0, 0.0],
        [30.0, 0.0, 0.0],
        [0.0, 30.0, 0.0],
        [10.0, 10.0, -0.02],
        [5.0, 5.0, -0.01],
    ]);
    near(found.width, 0.02, 1e-16);
    assert_eq!(numbers(&found.held), (vec![0, 1, 2], vec![3]));
    // A saddle: two and two.
    let found = flat(&[[0.0, 0.0, 0.01], [80.0, 0.0, 0.0], [80.0, 50.0, 0.01], [0.0, 50.0, 0.0]]);
    near(found.width, 0.01, 1e-16);
    assert_eq!(numbers(&found.held), (vec![0, 2], vec![1, 3]));
    // Touched twice at one place: the two readings differ, and no tilt helps.
    let twice = [
        [0.0, 0.0, 0.0],
        [30.0, 0.0, 0.001],
        [0.0, 30.0, 0.001],
        [30.0, 30.0, 0.0],
        [0.0, 0.0, 0.1],
    ];
    let found = flat(&twice);
    near(found.width, 0.1, 1e-6);
    assert_eq!(numbers(&found.held), (vec![4], vec![0]));
    proven(&twice, &found, 1e-15);
    let found = straight(&[[0.0, 0.0], [10.0, 0.002], [0.0, 0.004]]);
    near(found.along_height, 0.004, 1e-17);
    assert_eq!(numbers(&found.held), (vec![2], vec![0]));
}

#[test]
fn what_is_not_determined_is_said() {
    let three = spots(&[[0.0, 0.0, 0.1], [1.0, 0.0, 0.2], [0.0, 1.0, 0.3]]);
    assert_eq!(flatness(&three), Ok(Form::TooFew { have: 3, need: 4 }));
    assert_eq!(flatness(&[]), Ok(Form::TooFew { have: 0, need: 4 }));
    let line: Vec<[f64; 3]> =
        (0..9).map(f64::from).map(|i| [100.0 + i * 3.7, 50.0 - i * 1.9, 0.001 * i * i]).collect();
    assert_eq!(flatness(&spots(&line)), Ok(Form::OnOneLine));
    assert_eq!(flatness(&spots(&[[3.0, 4.0, 0.1]; 6])), Ok(Form::OnOneLine));
    assert_eq!(
        straightness(&stations(&[[0.0, 1.0], [1.0, 1.0]])),
        Ok(Form::TooFew { have: 2, need: 3 })
    );
    assert_eq!(
        straightness(&stations(&[[4.0, 1.0], [4.0, 2.0], [4.0, 3.0]])),
        Ok(Form::AtOnePlace)
    );
    let mut bad = spots(&line);
    bad[7].height = f64::NAN;
    assert_eq!(flatness(&bad), Err(NotFinite(7)));
    let mut bad = stations(&[[0.0, 1.0], [1.0, 1.0], [2.0, 1.0]]);
    bad[1].x = f64::INFINITY;
    assert_eq!(straightness(&bad), Err(NotFinite(1)));
}

#[test]
fn a_perfect_plane_is_flat() {
    let points: Vec<[f64; 3]> = (0..7)
        .flat_map(|i| (0..5).map(move |j| [f64::from(i), f64::from(j)]))
        .map(|[i, j]| [10.0 * i, 8.0 * j, 25.0 + 0.5 * i - 0.25 * j])
        .collect();
    let found = flat(&points);
    near(found.width, 0.0, 1e-14);
    near(found.middle.slope[0], 0.05, 1e-15);
    near(found.middle.slope[1], -0.031_25, 1e-15);
    assert_eq!(flat(&points.map_heights(|_| 3.0)).width.to_bits(), 0.0_f64.to_bits());
    let level = straight(&[[0.0, 2.0], [1.0, 2.0], [2.0, 2.0]]);
    assert_eq!(level.width.to_bits(), 0.0_f64.to_bits());
}

trait MapHeights {
    fn map_heights(&self, to: impl Fn(f64) -> f64) -> Vec<[f64; 3]>;
}

impl MapHeights for Vec<[f64; 3]> {
    fn map_heights(&self, to: impl Fn(f64) -> f64) -> Vec<[f64; 3]> {
        self.iter().map(|p| [p[0], p[1], to(p[2])]).collect()
    }
}

/// e, cos and sin as such: TIR of a circle turned off its centre by e is 2 e (geometry).
#[test]
fn a_sweep() {
    let (r, e) = (10.0, 0.02);
    let readings: Vec<f64> = (0..360)
        .map(|d| f64::from(d) * std::f64::consts::PI / 180.0)
        .map(|t| e * libm::cos(t) + libm::sqrt(r * r - e * e * libm::sin(t) * libm::sin(t)))
        .collect();
    near(Sweep::of(&readings).unwrap().tir(), 0.04, 1e-14);
    assert_eq!(Sweep::of(&[]), None);
    assert_eq!(Sweep::of(&[1.0, f64::NAN, 2.0]), None);
    assert_eq!(Sweep::of(&[f64::NAN]), None);
    assert_eq!(Sweep::of(&[3.0]).unwrap().tir().to_bits(), 0.0_f64.to_bits());
    assert_eq!(Sweep::of(&[3.0, 1.0, 2.0]), Some(Sweep { lowest: 1.0, highest: 3.0 }));
}

#[test]
fn a_line_and_a_plane_at_a_place() {
    let line = StraightLine { height: 1.0, slope: 0.75 };
    near(line.at(4.0), 4.0, 0.0);
    near(line.cosine(), 0.8, 1e-16);
    let plane = Plane { height: 1.0, slope: [0.75, -0.5] };
    near(plane.at(4.0, 2.0), 3.0, 0.0);
}

/// Points on a coarse raster: ties, duplicates and rows in plenty. Now and then far from the origin.
fn rastered(n: impl Into<prop::collection::SizeRange>) -> impl Strategy<Value = Vec<[f64; 3]>> {
    let point = (-3..=3_i32, -3..=3_i32, -4..=4_i32);
    (prop::collection::vec(point, n), any::<bool>()).prop_map(|(points, far)| {
        let o = if far { [700.0, -300.0, 50.0] } else { [0.0; 3] };
        points
            .into_iter()
            .map(|(x, y, h)| {
                [
                    o[0] + 10.0 * f64::from(x),
                    o[1] + 10.0 * f64::from(y),
                    o[2] + f64::from(h) / 512.0,
                ]
            })
            .collect()
    })
}

fn scattered(n: impl Into<prop::collection::SizeRange>) -> impl Strategy<Value = Vec<[f64; 3]>> {
    prop::collection::vec([-50.0..50.0_f64, -50.0..50.0, -0.1..0.1], n)
}

fn against_brute_force(points: &[[f64; 3]]) -> Result<(), TestCaseError> {
    match flatness(&spots(points)).unwrap() {
        Form::Found(found) => {
            prop_assert!((found.along_height - brute_flat(points)).abs() <= 1e-12);
            prop_assert!(
                found.along_height
                    <= found.least_squares_width / found.least_squares.cosine() + 1e-12
            );
            proven(points, &found, 1e-12);
        }
        Form::OnOneLine => prop_assert!(brute_flat(points).is_infinite()),
        other => prop_assert!(points.len() < 4, "{:?}", other),
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(1500))]

    #[test]
    fn flatness_is_the_least_of_all(points in scattered(4..9)) {
        against_brute_force(&points)?;
    }

    #[test]
    fn flatness_is_the_least_with_ties(points in rastered(4..11)) {
        against_brute_force(&points)?;
    }

    #[test]
    fn no_tilt_improves_it(points in scattered(10..200), tilts in prop::collection::vec([-1e-2..1e-2_f64, -1e-2..1e-2], 40)) {
        let found = flat(&points);
        proven(&points, &found, 1e-13);
        for tilt in tilts {
            for scale in [1.0, 1e-2, 1e-5] {
                let s = [found.middle.slope[0] + scale * tilt[0], found.middle.slope[1] + scale * tilt[1]];
                let width = range(points.iter().map(|p| p[2] - s[0] * p[0] - s[1] * p[1]));
                prop_assert!(width >= found.along_height - 1e-13);
            }
        }
    }

    #[test]
    fn large_rasters_are_proven(points in rastered(30..400)) {
        let found = flat(&points);
        proven(&points, &found, 1e-12);
    }

    #[test]
    fn a_tilt_and_a_move_change_nothing(points in scattered(4..40), tilt in [-0.1..0.1_f64, -0.1..0.1], by in [-500.0..500.0_f64, -500.0..500.0, -100.0..100.0]) {
        let before = flat(&points);
        let moved: Vec<[f64; 3]> = points.iter().map(|p| {
            [p[0] + by[0], p[1] + by[1], p[2] + by[2] + tilt[0] * p[0] + tilt[1] * p[1]]
        }).collect();
        let after = flat(&moved);
        prop_assert!((after.along_height - before.along_height).abs() < 1e-12);
        prop_assert!((after.middle.slope[0] - before.middle.slope[0] - tilt[0]).abs() < 1e-9 * (1.0 + before.middle.slope[0].abs()));
    }

    #[test]
    fn straightness_is_the_least_of_all(points in prop::collection::vec([-50.0..50.0_f64, -0.1..0.1], 3..30)) {
        let found = straight(&points);
        prop_assert!((found.along_height - brute_straight(&points)).abs() <= 1e-13);
        prop_assert!((found.held.least(|i| points[i][1]) - found.along_height).abs() <= 1e-13);
    }

    #[test]
    fn straightness_with_ties(raster in prop::collection::vec((-4..=4_i32, -4..=4_i32), 3..14)) {
        let points: Vec<[f64; 2]> = raster.iter().map(|&(x, h)| [300.0 + 10.0 * f64::from(x), f64::from(h) / 512.0]).collect();
        match straightness(&stations(&points)).unwrap() {
            Form::Found(found) => {
                prop_assert!((found.along_height - brute_straight(&points)).abs() <= 1e-13);
                let ZoneSupports { upper, lower } = &found.held;
                let centre = |side: &[quarterturn_core::form::Support]| side.iter().map(|s| s.weight * points[s.index][0]).sum::<f64>();
                prop_assert!((centre(upper) - centre(lower)).abs() < 1e-10);
                prop_assert!((found.held.least(|i| points[i][1]) - found.along_height).abs() <= 1e-13);
                for p in &points {
                    prop_assert!((p[1] - found.middle.at(p[0])).abs() <= 0.5 * found.along_height + 1e-13);
                }
            }
            other => {
                prop_assert_eq!(other, Form::AtOnePlace);
                prop_assert!(brute_straight(&points).is_infinite());
            }
        }
    }
}
