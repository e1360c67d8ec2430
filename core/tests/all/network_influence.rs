//! What a result owes to each reading, held against changing that reading.

use quarterturn_core::network::{
    Adjusted, Direction, Fixed, Network, Observation, Offset, Place, Point, Prior, Systematic,
};
use std::f64::consts::FRAC_PI_2;

fn about(standard: f64) -> Prior {
    Prior::About { value: 0.0, standard }
}

/// Five axes and a plane seen from four sides; a zero known roughly, two free ones, one at a point;
/// two errors of scale, one of the probe, an orientation that is only about square.
fn network() -> Network {
    let at = [[5.0, 8.0], [40.0, 12.0], [75.0, 60.0], [20.0, 55.0], [90.0, 20.0]];
    let mut points: Vec<Point> = at.into_iter().map(Point::axis).collect();
    points.push(Point::plane([100.0, 0.0], 0.0));
    let directions = [FRAC_PI_2, 0.0, -FRAC_PI_2, 0.3]
        .into_iter()
        .zip([Prior::ZERO, about(2e-4), Prior::ZERO, Prior::ZERO])
        .map(|(angle, error)| Direction { angle, error })
        .collect();
    let offset = |direction, prior| Offset { direction, prior };
    let offsets = vec![
        offset(0, about(0.002)),
        offset(1, about(0.003)),
        offset(2, Prior::Free),
        offset(3, Prior::Free),
        offset(0, Prior::Free),
    ];
    let systematics = vec![Systematic { prior: about(2e-5) }, Systematic { prior: about(0.0015) }];
    let mut observations = Vec::new();
    for (point, p) in points.iter().enumerate() {
        for offset in 0..5 {
            // The plane is seen along its normal, and not everything is seen from everywhere.
            let plane = point == 5 && offset != 1;
            if plane || (point + offset) % 4 == 3 || (offset == 4 && point > 2) {
                continue;
            }
            let angle = [FRAC_PI_2, 0.0, -FRAC_PI_2, 0.3, FRAC_PI_2][offset];
            let height = p.near[0] * libm::cos(angle) + p.near[1] * libm::sin(angle);
            let standard = [0.001, 0.002, 0.0015, 0.004, 0.003][offset];
            let wrong = 1e-3 * libm::sin(f64::from(u32::try_from(7 * point + 3 * offset).unwrap()));
            let seen = Observation::new(point, offset, height + wrong, standard);
            observations.push(seen.with(0, height).with(1, if offset < 2 { 0.5 } else { 0.0 }));
        }
    }
    let fixed = vec![Fixed { point: 0, angle: 0.0, value: 5.0 }];
    Network { points, directions, offsets, systematics, observations, fixed }
}

/// A sum of coordinates of three points.
const RESULT: [(usize, [f64; 2]); 3] = [(2, [0.6, -0.8]), (1, [-1.0, 0.3]), (5, [0.5, 0.0])];

fn result(found: &Adjusted) -> f64 {
    RESULT
        .iter()
        .map(|(point, w)| match found.points[*point] {
            Place::Determined { at, .. } => w[0] * at[0] + w[1] * at[1],
            Place::OneDirection { along, .. } => w[0] * along,
            other => panic!("{other:?}"),
        })
        .sum()
}

#[test]
fn a_result_changes_by_what_it_owes_to_a_reading() {
    let network = network();
    let found = network.adjust().unwrap();
    let owed = found.influence(&RESULT).unwrap();
    let was = result(&found);
    let near = |is: f64, should: f64| {
        // The angle makes it a little curved.
        assert!((is - should).abs() < 1e-4 * owed.variance.sqrt(), "{is} {should}");
    };
    for (i, part) in owed.observations.iter().enumerate() {
        let mut other = network.clone();
        other.observations[i].height += other.observations[i].standard;
        near(result(&other.adjust().unwrap()) - was, *part);
    }
    let moved = |prior: &mut Prior| match prior {
        Prior::About { value, standard } => *value += *standard,
        Prior::Exact(_) | Prior::Free => {}
    };
    for (k, part) in owed.directions.iter().enumerate() {
        let mut other = network.clone();
        moved(&mut other.directions[k].error);
        near(result(&other.adjust().unwrap()) - was, *part);
    }
    for (j, part) in owed.offsets.iter().enumerate() {
        let mut other = network.clone();
        moved(&mut other.offsets[j].prior);
        near(result(&other.adjust().unwrap()) - was, *part);
    }
    for (m, part) in owed.systematics.iter().enumerate() {
        let mut other = network.clone();
        moved(&mut other.systematics[m].prior);
        near(result(&other.adjust().unwrap()) - was, *part);
    }
    assert!(owed.directions[1].abs() > 1e-5 && owed.systematics[1].abs() > 1e-6, "{owed:?}");
}

#[test]
fn what_it_owes_adds_up_to_its_variance() {
    let found = network().adjust().unwrap();
    let sum = |of: &[(usize, [f64; 2])]| {
        let owed = found.influence(of).unwrap();
        let all = [&owed.observations, &owed.directions, &owed.offsets, &owed.systematics];
        let squares: f64 = all.into_iter().flatten().map(|part| part * part).sum();
        assert!((squares / owed.variance - 1.0).abs() < 1e-11, "{squares} {}", owed.variance);
        squares
    };
    // The same as the joint covariance says.
    let mut should = 0.0;
    for (a, w) in RESULT {
        for (b, v) in RESULT {
            let c = found.covariance(a, b).unwrap();
            should +=
                (0..2).map(|i| (0..2).map(|j| w[i] * c[i][j] * v[j]).sum::<f64>()).sum::<f64>();
        }
    }
    assert!((sum(&RESULT) / should - 1.0).abs() < 1e-11);
    for angle in [0.0, 0.7, 2.0] {
        let (sin, cos) = libm::sincos(angle);
        let along = found.along(3, angle).unwrap().standard;
        assert!((sum(&[(3, [cos, sin])]) / (along * along) - 1.0).abs() < 1e-11);
    }
    assert_eq!(found.influence(&[(99, [1.0, 0.0])]), None);
}

#[test]
fn a_portion_of_every_reading_is_the_same_portion_of_what_is_owed_to_it() {
    let found = network().adjust().unwrap();
    let part = |i: usize| {
        if i.is_multiple_of(3) { 0.0 } else { 1.0 / f64::from(u32::try_from(i + 1).unwrap()) }
    };
    let observations: Vec<f64> = (0..found.observations.len()).map(part).collect();
    let offsets = [0.25, 0.75];
    let portion = found.portion(&observations, &offsets);
    let results: [&[(usize, [f64; 2])]; 4] =
        [&RESULT, &[(0, [0.0, 1.0])], &[(4, [1.0, 0.0]), (4, [0.5, 0.5])], &[(3, [0.0, 0.0])]];
    for of in results {
        let owed = found.influence(of).unwrap();
        let sum = |parts: &[f64], of: &[f64]| -> f64 {
            parts.iter().zip(of).map(|(part, of)| part * of * of).sum()
        };
        let should = sum(&observations, &owed.observations) + sum(&offsets, &owed.offsets);
        let is = found.portion_of(&portion, of).unwrap();
        assert!((is - should).abs() <= 1e-11 * owed.variance, "{is} {should}");
    }
    assert_eq!(found.portion_of(&portion, &[(99, [1.0, 0.0])]), None);
}
