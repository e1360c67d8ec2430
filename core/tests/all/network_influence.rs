//! What a result owes to each reading, held against changing that reading.

use quarterturn_core::network::{
    Adjusted, Direction, Fixed, LinearForm, Network, Observation, Offset, Place, Point, Prior,
    Systematic,
};
use std::f64::consts::FRAC_PI_2;

fn about(standard: f64) -> Prior {
    Prior::About { value: 0.0, standard }
}

/// Five axes and a plane seen from four sides; a zero known roughly, two free ones, one at a point;
/// an error of scale and one of the probe, two orientations that share an angle error.
fn network() -> Network {
    let at = [[5.0, 8.0], [40.0, 12.0], [75.0, 60.0], [20.0, 55.0], [90.0, 20.0]];
    let mut points: Vec<Point> = at.into_iter().map(Point::axis).collect();
    points.push(Point::plane([100.0, 0.0], 0.0));
    let directions = vec![
        Direction::exact(FRAC_PI_2),
        Direction::with_error(0.0, 0),
        Direction::exact(-FRAC_PI_2),
        Direction::with_error(0.3, 0),
    ];
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
    let angle_errors = vec![about(2e-4)];
    Network { points, angle_errors, directions, offsets, systematics, observations, fixed }
}

/// A sum of coordinates of three points and the angle error.
fn result_form() -> LinearForm {
    LinearForm {
        points: vec![(2, [0.6, -0.8]), (1, [-1.0, 0.3]), (5, [0.5, 0.0])],
        angle_errors: vec![(0, 40.0)],
    }
}

fn result(found: &Adjusted) -> f64 {
    let form = result_form();
    let points = form.points.iter().map(|(point, w)| match found.points[*point] {
        Place::Determined { at, .. } => w[0] * at[0] + w[1] * at[1],
        Place::OneDirection { along, .. } => w[0] * along,
        other => panic!("{other:?}"),
    });
    let angle = found.angle_errors[0].estimate.unwrap().value;
    let sum = points.sum::<f64>() + 40.0 * angle;
    assert!((found.value_of(&form).unwrap() - sum).abs() < 1e-13);
    sum
}

#[test]
fn a_result_changes_by_what_it_owes_to_a_reading() {
    let network = network();
    let found = network.adjust().unwrap();
    let owed = found.propagation(&result_form()).map(|p| p.influence()).unwrap();
    // Changed both ways, because the angle makes it a little curved.
    let changes = |change: &dyn Fn(&mut Network, f64), should: f64| {
        let [up, down] = [1.0, -1.0].map(|sign| {
            let mut other = network.clone();
            change(&mut other, sign);
            result(&other.adjust().unwrap())
        });
        let is = 0.5 * (up - down);
        assert!((is - should).abs() < 1e-5 * owed.variance.sqrt(), "{is} {should}");
    };
    for (i, part) in owed.observations.iter().enumerate() {
        let change = |n: &mut Network, sign: f64| {
            n.observations[i].height += sign * n.observations[i].standard;
        };
        changes(&change, *part);
    }
    let moved = |prior: &mut Prior, sign: f64| match prior {
        Prior::About { value, standard } => *value += sign * *standard,
        Prior::Exact(_) | Prior::Free => {}
    };
    for (k, part) in owed.angle_errors.iter().enumerate() {
        changes(&|n, sign| moved(&mut n.angle_errors[k], sign), *part);
    }
    for (j, part) in owed.offsets.iter().enumerate() {
        changes(&|n, sign| moved(&mut n.offsets[j].prior, sign), *part);
    }
    for (m, part) in owed.systematics.iter().enumerate() {
        changes(&|n, sign| moved(&mut n.systematics[m].prior, sign), *part);
    }
    assert!(owed.angle_errors[0].abs() > 1e-5 && owed.systematics[1].abs() > 1e-6, "{owed:?}");
}

#[test]
fn what_it_owes_adds_up_to_its_variance() {
    let found = network().adjust().unwrap();
    let sum = |of: &LinearForm| {
        let owed = found.propagation(of).map(|p| p.influence()).unwrap();
        let all = [&owed.observations, &owed.angle_errors, &owed.offsets, &owed.systematics];
        let squares: f64 = all.into_iter().flatten().map(|part| part * part).sum();
        assert!((squares / owed.variance - 1.0).abs() < 1e-11, "{squares} {}", owed.variance);
        let variance = found.variance_of(of).unwrap();
        assert!((variance / owed.variance - 1.0).abs() < 1e-14);
        // Each of them is the same when asked for alone.
        let last = owed.observations.len();
        for (i, part) in owed.observations.iter().enumerate() {
            let alone = found.propagation(of).and_then(|p| p.gain(i)).unwrap()
                * network().observations[i].standard;
            assert!((alone - part).abs() < 1e-13 * variance.sqrt(), "{alone} {part}");
        }
        assert_eq!(found.propagation(of).and_then(|p| p.gain(last)), None);
        for (m, part) in owed.systematics.iter().enumerate() {
            let alone = found.propagation(of).and_then(|p| p.systematic_part(m)).unwrap();
            assert!((alone - part).abs() < 1e-13 * variance.sqrt(), "{alone} {part}");
        }
        assert_eq!(found.propagation(of).and_then(|p| p.systematic_part(2)), None);
        squares
    };
    // The same as the joint covariance says.
    let points = LinearForm { angle_errors: Vec::new(), ..result_form() };
    let mut should = 0.0;
    for &(a, w) in &points.points {
        for &(b, v) in &points.points {
            let c = found.covariance(a, b).unwrap();
            should +=
                (0..2).map(|i| (0..2).map(|j| w[i] * c[i][j] * v[j]).sum::<f64>()).sum::<f64>();
        }
    }
    assert!((sum(&points) / should - 1.0).abs() < 1e-11);
    // And with the angle error in it.
    let angle = LinearForm::angle_error(0, 40.0);
    let standard = found.angle_errors[0].estimate.unwrap().standard;
    assert!((sum(&angle).sqrt() / (40.0 * standard) - 1.0).abs() < 1e-12);
    should += sum(&angle) + 2.0 * found.covariance_of(&angle, &points).unwrap();
    assert!((sum(&result_form()) / should - 1.0).abs() < 1e-11);
    for angle in [0.0, 0.7, 2.0] {
        let (sin, cos) = libm::sincos(angle);
        let along = found.along(3, angle).unwrap().standard;
        let form = LinearForm::point(3, [cos, sin]);
        assert!((sum(&form) / (along * along) - 1.0).abs() < 1e-11);
    }
    assert_eq!(found.propagation(&LinearForm::point(99, [1.0, 0.0])).map(|p| p.influence()), None);
    assert_eq!(found.propagation(&LinearForm::angle_error(1, 1.0)).map(|p| p.influence()), None);
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
    let twice = LinearForm::point(4, [1.0, 0.0]).plus(&LinearForm::point(4, [0.5, 0.5]));
    let results = [
        result_form(),
        LinearForm::point(0, [0.0, 1.0]),
        twice,
        LinearForm::point(3, [0.0, 0.0]),
        LinearForm::angle_error(0, 1.0),
    ];
    for of in &results {
        let owed = found.propagation(of).map(|p| p.influence()).unwrap();
        let sum = |parts: &[f64], of: &[f64]| -> f64 {
            parts.iter().zip(of).map(|(part, of)| part * of * of).sum()
        };
        let should = sum(&observations, &owed.observations) + sum(&offsets, &owed.offsets);
        let is = found.propagation(of).map(|p| p.portion(&portion)).unwrap();
        assert!((is - should).abs() <= 1e-11 * owed.variance, "{is} {should}");
    }
    assert_eq!(
        found.propagation(&LinearForm::point(99, [1.0, 0.0])).map(|p| p.portion(&portion)),
        None
    );
}
