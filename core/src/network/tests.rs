//! Networks small enough to be checked by hand.

use super::*;
use crate::quantity::vector::dot;
use std::f64::consts::{FRAC_PI_2, PI};

fn near(a: f64, b: f64, allowed: f64) {
    assert!((a - b).abs() <= allowed, "{a} is not {b}");
}

fn origin() -> Vec<Fixed> {
    [0.0, FRAC_PI_2].map(|angle| Fixed { point: 0, angle, value: 0.0 }).to_vec()
}

fn free(direction: usize) -> Offset {
    Offset { direction, prior: Prior::Free }
}

fn exact(direction: usize, value: f64) -> Offset {
    Offset { direction, prior: Prior::Exact(value) }
}

fn at(place: Place) -> [f64; 2] {
    match place {
        Place::Determined { at, .. } => at,
        other => panic!("{other:?}"),
    }
}

/// Three benches in a ring, two points seen from each: differences 1.000, 2.000 and −3.003 close
/// with −0.003. By hand: each difference takes a third of it, each height half of that; six
/// observations, five unknowns, and all six are equally good, so r = 1/6.
#[test]
fn a_ring_of_levels_spreads_its_misclosure() {
    let sigma = 0.001;
    let pairs = [(0, 1, 1.000), (1, 2, 2.000), (2, 0, -3.003)];
    let network = Network {
        points: vec![Point::plane([0.0; 2], FRAC_PI_2); 3],
        directions: vec![Direction::exact(FRAC_PI_2)],
        offsets: vec![free(0); 3],
        observations: (pairs.iter().enumerate())
            .flat_map(|(bench, &(from, to, difference))| {
                [(from, 7.0), (to, 7.0 + difference)]
                    .map(|(point, height)| Observation::new(point, bench, height, sigma))
            })
            .collect(),
        fixed: vec![Fixed { point: 0, angle: FRAC_PI_2, value: 0.0 }],
        ..Network::default()
    };
    let adjusted = network.adjust().unwrap();
    let height = |i| adjusted.along(i, FRAC_PI_2).unwrap();
    near(height(0).value, 0.0, 0.0);
    near(height(1).value, 1.001, 1e-13);
    near(height(2).value, 3.002, 1e-13);
    // One difference has 2 σ²; beside the way round of two others: 2·4/(2 + 4) σ².
    near(height(1).standard, sigma * (4.0_f64 / 3.0).sqrt(), 1e-15);
    assert_eq!(adjusted.degrees, 1);
    for (i, fit) in adjusted.observations.iter().enumerate() {
        let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
        near(fit.residual, sign * 0.0005, 1e-13);
        near(fit.redundancy, 1.0 / 6.0, 1e-13);
        near(fit.normalised.unwrap(), sign * 0.5 * 6.0_f64.sqrt(), 1e-9);
        near(fit.gross().unwrap(), sign * 0.003, 1e-12);
        near(fit.detectable.unwrap(), 4.13 * sigma * 6.0_f64.sqrt(), 1e-12);
    }
    near(adjusted.chi_square, 6.0 * 0.25, 1e-9);
    assert!(adjusted.suspects().is_empty());
    assert!(adjusted.converged && adjusted.iterations == 1 && !adjusted.rotation_free);
}

/// Turned by 180 degrees the part shows the same hole from the other side: half the difference of
/// the heights has no offset in it.
#[test]
fn reversal_cancels_an_error_of_the_offset() {
    let (x, error, sigma) = (31.25, 0.037, 0.001);
    let heights = [x + error, -x + error];
    let mut network = Network {
        points: vec![Point::axis([31.0, 0.0])],
        directions: vec![Direction::exact(0.0), Direction::exact(PI)],
        // Both are wrong by the error, and nobody knows.
        offsets: vec![exact(0, 0.0), exact(1, 0.0)],
        observations: (0..2).map(|k| Observation::new(0, k, heights[k], sigma)).collect(),
        ..Network::default()
    };
    let seen = |network: &Network| network.adjust().unwrap().along(0, 0.0).unwrap();
    near(seen(&network).value, x, 1e-13);
    let mut one = network.clone();
    one.observations.truncate(1);
    near(seen(&one).value, x + error, 1e-13);

    // Said beforehand, it is found, and the coordinate keeps the uncertainty of two heights.
    network.systematics.push(Systematic { prior: Prior::About { value: 0.0, standard: 0.5 } });
    for o in &mut network.observations {
        o.systematics.push((0, 1.0));
    }
    let adjusted = network.adjust().unwrap();
    near(seen(&network).value, x, 1e-13);
    near(seen(&network).standard, sigma / 2.0_f64.sqrt(), 1e-15);
    // It is considered and keeps its stated value; the test of the readings finds it.
    assert_eq!(adjusted.systematics[0].estimate, Some(Estimate { value: 0.0, standard: 0.5 }));
    near(adjusted.systematics[0].prior.unwrap().residual, -error, 1e-6);
    near(adjusted.observations[0].residual, 0.0, 1e-6);
    assert_eq!(adjusted.along(0, FRAC_PI_2), None);
    assert!(matches!(adjusted.points[0], Place::OneDirection { angle, .. } if angle.abs() < 1e-15));
}

/// A common error of standard uncertainty u makes heights of σ correlated: variances σ² + u²,
/// covariance u²; it cancels in the difference, and a coefficient of ½ halves it.
#[test]
fn a_common_error_correlates_points() {
    let (sigma, u) = (0.003, 0.004);
    let network = Network {
        points: vec![Point::axis([0.0; 2]); 3],
        directions: vec![Direction::exact(0.0)],
        offsets: vec![exact(0, 2.0)],
        systematics: vec![Systematic { prior: Prior::About { value: 0.0, standard: u } }],
        observations: vec![
            Observation::new(0, 0, 12.0, sigma).with(0, 1.0),
            Observation::new(1, 0, 22.0, sigma).with(0, 1.0),
            Observation::new(2, 0, 32.0, sigma).with(0, 0.5),
        ],
        ..Network::default()
    };
    let adjusted = network.adjust().unwrap();
    let cov = |i, j| adjusted.covariance(i, j).unwrap()[0][0];
    near(cov(0, 0), 25e-6, 1e-18);
    near(cov(0, 1), 16e-6, 1e-18);
    near(cov(0, 2), 8e-6, 1e-18);
    near(cov(2, 2), 9e-6 + 4e-6, 1e-18);
    near(adjusted.along(2, PI).unwrap().value, -30.0, 1e-12);
    assert_eq!(adjusted.degrees, 0);
    assert_eq!(adjusted.observations[0].normalised, None);
    assert_eq!(adjusted.worst(), None);
    assert_eq!(adjusted.covariance(0, 3), None);
}

/// Known with an uncertainty of 0 is exact.
#[test]
fn no_uncertainty_is_exact() {
    let network = |prior| Network {
        points: vec![Point::axis([0.0; 2])],
        directions: vec![Direction::exact(0.0)],
        offsets: vec![Offset { direction: 0, prior }],
        observations: vec![Observation::new(0, 0, 12.0, 0.1)],
        ..Network::default()
    };
    let about = network(Prior::About { value: 3.0, standard: 0.0 }).adjust().unwrap();
    let exact = network(Prior::Exact(3.0)).adjust().unwrap();
    assert_eq!(about.points, exact.points);
    assert_eq!(about.offsets, exact.offsets);
    assert_eq!(exact.offsets[0].estimate, Some(Estimate { value: 3.0, standard: 0.0 }));
}

/// What each point is when something is missing.
#[test]
fn what_nothing_ties_is_not_reported() {
    // Point 0 is the origin in x only. Seen from 0 degrees over a free offset that it ties, and
    // from 90 over one that nothing ties.
    let sigma = 0.001;
    let network = Network {
        points: vec![
            Point::axis([0.0, 0.0]),
            Point::axis([10.0, 20.0]),
            Point::axis([30.0, 40.0]),
            Point::axis([50.0, 60.0]),
            Point::axis([70.0, 80.0]),
            Point::plane([0.0, 90.0], FRAC_PI_2),
        ],
        directions: vec![Direction::exact(0.0), Direction::exact(FRAC_PI_2)],
        offsets: vec![free(0), free(1), free(1)],
        observations: vec![
            Observation::new(0, 0, 5.0, sigma),
            // Both directions, but y hangs on offset 1.
            Observation::new(1, 0, 15.01, sigma),
            Observation::new(1, 1, 28.0, sigma),
            // The untied offset only.
            Observation::new(2, 1, 48.02, sigma),
            // x twice: once is checked by nothing, twice is.
            Observation::new(3, 0, 55.0, sigma),
            Observation::new(3, 0, 55.002, sigma),
            Observation::new(5, 1, 98.0, sigma),
        ],
        fixed: vec![Fixed { point: 0, angle: 0.0, value: 0.0 }],
        ..Network::default()
    };
    let adjusted = network.adjust().unwrap();
    let one = |i: usize, value: f64, u: f64| {
        let Place::OneDirection { angle, along, variance } = adjusted.points[i] else {
            panic!("{:?}", adjusted.points[i])
        };
        near(angle, 0.0, 0.0);
        near(along, value, 1e-13);
        near(variance.sqrt(), u, 1e-15);
    };
    one(0, 0.0, 0.0);
    one(1, 10.01, sigma * 2.0_f64.sqrt());
    one(3, 50.001, sigma * 1.5_f64.sqrt());
    assert_eq!(adjusted.points[2], Place::NotTied);
    assert_eq!(adjusted.points[4], Place::Unseen);
    assert_eq!(adjusted.points[5], Place::NotTied);
    near(adjusted.offsets[0].estimate.unwrap().value, 5.0, 1e-13);
    assert_eq!(adjusted.offsets[1].estimate, None);
    assert_eq!(adjusted.offsets[2].estimate, None);
    // Six observations but the first of x, which only says what c₀ is: x of 1 and 3 take two,
    // the three over offset 1 determine three sums of y and c₁.
    assert_eq!(adjusted.degrees, 1);
    near(adjusted.observations[4].redundancy, 0.5, 1e-13);
    near(adjusted.observations[2].residual, 0.0, 1e-13);
    assert_eq!(adjusted.covariance(2, 2), None);
    near(adjusted.covariance(1, 3).unwrap()[0][0], sigma * sigma, 1e-18);
    near(adjusted.covariance(1, 3).unwrap()[1][1], 0.0, 1e-18);

    // One height of a known y ties all that hang on the same offset.
    let mut tied = network;
    tied.fixed.push(Fixed { point: 5, angle: -FRAC_PI_2, value: -90.0 });
    let adjusted = tied.adjust().unwrap();
    near(at(adjusted.points[1])[1], 20.0, 1e-13);
    near(adjusted.along(2, FRAC_PI_2).unwrap().value, 40.02, 1e-13);
    near(adjusted.along(5, FRAC_PI_2).unwrap().value, 90.0, 0.0);
    assert_eq!(adjusted.offsets[2].estimate, None);
}

/// Four holes in three directions whose angles nobody knows.
fn turned(deltas: [f64; 3]) -> Network {
    let holes = [[0.0, 0.0], [60.0, 0.0], [55.0, 40.0], [-5.0, 30.0]];
    let angles = [0.0, FRAC_PI_2, 2.3];
    let mut network = Network { fixed: origin(), ..Network::default() };
    for p in holes {
        // Stated a tenth of a millimetre off.
        network.points.push(Point::axis([p[0] + 0.1, p[1] - 0.1]));
    }
    for (k, angle) in angles.into_iter().enumerate() {
        network.angle_errors.push(Prior::Free);
        network.directions.push(Direction::with_error(angle, k));
        network.offsets.push(free(k));
        let u = state::up(angle + deltas[k]);
        for (i, p) in holes.iter().enumerate() {
            let height = dot(&u, p) + 3.0;
            network.observations.push(Observation::new(i, k, height, 0.001));
        }
    }
    network
}

#[test]
fn free_angles_leave_the_rotation_free() {
    let network = turned([1e-3, -2e-3, 1.5e-3]);
    let adjusted = network.adjust().unwrap();
    assert!(adjusted.rotation_free && adjusted.converged);
    assert!(adjusted.angle_errors.iter().all(|d| d.estimate.is_none()));
    // 12 heights; 6 coordinates, 3 offsets, 3 angles, less the rotation.
    assert_eq!(adjusted.degrees, 1);
    near(adjusted.chi_square, 0.0, 1e-12);
    // The origin is defined; of the others the distance from it is known and no more.
    near(at(adjusted.points[0])[0], 0.0, 0.0);
    near(at(adjusted.points[0])[1], 0.0, 0.0);
    let Place::OneDirection { along, .. } = adjusted.points[1] else { panic!() };
    near(along.abs(), 60.0, 1e-9);

    // The y of the second hole holds the rotation.
    let mut held = network.clone();
    held.fixed.push(Fixed { point: 1, angle: FRAC_PI_2, value: 0.0 });
    let adjusted = held.adjust().unwrap();
    assert!(!adjusted.rotation_free && adjusted.converged && adjusted.iterations > 1);
    for (found, planted) in adjusted.angle_errors.iter().zip([1e-3, -2e-3, 1.5e-3]) {
        near(found.estimate.unwrap().value, planted, 1e-12);
    }
    near(at(adjusted.points[2])[0], 55.0, 1e-10);
    near(at(adjusted.points[2])[1], 40.0, 1e-10);
    near(at(adjusted.points[3])[0], -5.0, 1e-10);

    // So does one direction without error: it is then what the others are square to.
    let mut held = network;
    held.directions[1] = Direction::exact(FRAC_PI_2 - 2e-3);
    let adjusted = held.adjust().unwrap();
    assert!(!adjusted.rotation_free);
    near(adjusted.angle_errors[0].estimate.unwrap().value, 1e-3, 1e-12);
}

/// A direction that is out of square by a known amount and one that is not: x − y tan e.
#[test]
fn a_stated_error_of_angle_keeps_its_uncertainty() {
    let (e, u, sigma) = (2e-4, 5e-5, 1e-6);
    let network = Network {
        points: vec![Point::axis([0.0, 76.2])],
        angle_errors: vec![Prior::About { value: e, standard: u }],
        directions: vec![Direction::with_error(0.0, 0), Direction::exact(FRAC_PI_2)],
        offsets: vec![exact(0, 0.0), exact(1, 0.0)],
        observations: vec![
            Observation::new(0, 0, 10.0, sigma),
            Observation::new(0, 1, 76.2, sigma),
        ],
        ..Network::default()
    };
    let adjusted = network.adjust().unwrap();
    let x = adjusted.along(0, 0.0).unwrap();
    near(x.value, (10.0 - 76.2 * libm::sin(e)) / libm::cos(e), 1e-12);
    // u(x) is the arm times u, 76.2 · 5e-5, beside which σ is nothing.
    near(x.standard, 76.2 * u, 1e-3 * 76.2 * u);
    near(adjusted.angle_errors[0].estimate.unwrap().standard, u, 1e-12);
}

#[test]
fn input_that_makes_no_sense_is_refused() {
    let good = turned([0.0; 3]);
    let refused = |change: fn(&mut Network)| {
        let mut network = good.clone();
        change(&mut network);
        network.adjust().map(|_| ()).unwrap_err()
    };
    assert!(good.adjust().is_ok());
    assert!(Network::default().adjust().is_ok());
    assert_eq!(refused(|n| n.points[2].near[1] = f64::NAN), Fault::Point(2));
    assert_eq!(refused(|n| n.directions[1].angle = f64::INFINITY), Fault::Direction(1));
    assert_eq!(
        refused(|n| n.directions[2].angle_errors = [3].into_iter().collect()),
        Fault::Direction(2)
    );
    assert_eq!(refused(|n| n.angle_errors[2] = Prior::Exact(f64::NAN)), Fault::AngleError(2));
    assert_eq!(
        refused(|n| n.angle_errors[0] = Prior::About { value: 0.0, standard: -1.0 }),
        Fault::AngleError(0)
    );
    assert_eq!(refused(|n| n.offsets[1].direction = 3), Fault::Offset(1));
    assert_eq!(
        refused(|n| n.offsets[2].prior = Prior::About { value: 0.0, standard: -1.0 }),
        Fault::Offset(2)
    );
    assert_eq!(
        refused(|n| n.systematics.push(Systematic { prior: Prior::Exact(f64::NAN) })),
        Fault::Systematic(0)
    );
    assert_eq!(refused(|n| n.observations[3].standard = 0.0), Fault::Observation(3));
    assert_eq!(refused(|n| n.observations[3].height = f64::NAN), Fault::Observation(3));
    assert_eq!(refused(|n| n.observations[4].point = 4), Fault::Observation(4));
    assert_eq!(refused(|n| n.observations[4].offset = 4), Fault::Observation(4));
    assert_eq!(refused(|n| n.observations[5].systematics.push((0, 1.0))), Fault::Observation(5));
    assert_eq!(
        refused(|n| {
            n.systematics.push(Systematic { prior: Prior::Free });
            n.observations[5].systematics = vec![(0, 1.0), (0, 0.5)];
        }),
        Fault::Observation(5)
    );
    assert_eq!(refused(|n| n.points[1].shape = Shape::Plane { normal: 0.0 }), Fault::EdgeOn(5));
    assert_eq!(refused(|n| n.fixed[1].point = 9), Fault::Fixed(1));
    assert_eq!(refused(|n| n.fixed[1].angle = 0.0), Fault::FixedTwice(1));
    assert_eq!(
        refused(|n| n.fixed.push(Fixed { point: 0, angle: 1.0, value: 0.0 })),
        Fault::FixedTwice(2)
    );
    assert_eq!(
        refused(|n| n.points[0] = Point::plane([0.0; 2], 2.0)),
        Fault::Fixed(0),
        "a plane is fixed along its normal only"
    );
    assert_eq!(refused(|n| n.observations[0].standard = 1e-18), Fault::TooFarApart);
}

#[test]
fn one_wrong_reading_of_many_is_found() {
    // Five directions, offsets free, one height wrong by 20 σ.
    let (sigma, wrong) = (0.001, 0.020);
    let holes = [[0.0, 0.0], [60.0, 0.0], [55.0, 40.0], [-5.0, 30.0], [20.0, 20.0]];
    let mut network = Network { fixed: origin(), ..Network::default() };
    network.points = holes.map(Point::axis).to_vec();
    for (k, angle) in [0.0, FRAC_PI_2, PI, -FRAC_PI_2, 0.7].into_iter().enumerate() {
        network.directions.push(Direction::exact(angle));
        network.offsets.push(free(k));
        for (i, p) in holes.iter().enumerate() {
            let height = dot(&state::up(angle), p);
            network.observations.push(Observation::new(i, k, height, sigma));
        }
    }
    network.observations[13].height += wrong;
    let adjusted = network.adjust().unwrap();
    let first = adjusted.suspects()[0];
    assert_eq!((first.observation, adjusted.worst()), (13, Some(13)));
    near(first.gross, wrong, 1e-12);
    let falling = adjusted.suspects();
    assert!(falling.windows(2).all(|w| w[0].normalised.abs() >= w[1].normalised.abs()));
    // Its residual is r times the error, and Σ v²/σ² what the error itself makes of it.
    let r = adjusted.observations[13].redundancy;
    near(adjusted.observations[13].residual, r * wrong, 1e-12);
    near(adjusted.chi_square, r * (wrong / sigma) * (wrong / sigma), 1e-9);
    network.observations.remove(13);
    let adjusted = network.adjust().unwrap();
    assert!(adjusted.suspects().is_empty());
    near(adjusted.chi_square, 0.0, 1e-12);
}

#[test]
fn singular_values_give_the_matrix_back() {
    // Columns (3, 0, 4), (0, 5, 0) and their sum: rank 2.
    let a = [vec![3.0, 0.0, 4.0], vec![0.0, 5.0, 0.0], vec![3.0, 5.0, 4.0]];
    let found = jacobi::singular(a.to_vec());
    let mut values = found.values.clone();
    values.sort_by(f64::total_cmp);
    // AᵀA = 25 [1 0 1; 0 1 1; 1 1 2] has the eigenvalues 0, 25 and 75.
    near(values[0], 0.0, 1e-14);
    near(values[1], 5.0, 1e-13);
    near(values[2], 75.0_f64.sqrt(), 1e-13);
    for (j, right) in found.right.iter().enumerate() {
        for row in 0..3 {
            let product: f64 = a.iter().zip(right).map(|(column, v)| column[row] * v).sum();
            near(product, found.left[j][row], 1e-13);
        }
    }
}

#[test]
fn the_triangle_is_that_of_all_rows() {
    // More rows than are gathered at once, pushed in pieces of uneven size.
    let rows: Vec<[f64; 4]> = (0..200)
        .map(|i| {
            let t = f64::from(i) / 100.0 - 1.0;
            [1.0, t, t * t, 2.0 - 3.0 * t + 0.5 * t * t]
        })
        .collect();
    let mut triangle = triangle::Triangle::new(3);
    for piece in rows.chunks(77) {
        let columns: Vec<Vec<f64>> =
            (0..4).map(|c| piece.iter().map(|row| row[c]).collect()).collect();
        triangle.push(piece.len(), columns.iter().enumerate().map(|(c, v)| (c, &v[..])));
    }
    triangle.work_in();
    let inverse = triangle.inverse().unwrap();
    let right: Vec<f64> = triangle.right().collect();
    for (found, planted) in inverse.times(&right).iter().zip([2.0, -3.0, 0.5]) {
        near(*found, planted, 1e-13);
    }
    for i in 0..3 {
        for j in 0..3 {
            let rr: f64 = (0..3)
                .map(|k| match k <= i.min(j) {
                    true => triangle.at(k, i) * triangle.at(k, j),
                    false => 0.0,
                })
                .sum();
            let aa: f64 = rows.iter().map(|row| row[i] * row[j]).sum();
            near(rr, aa, 1e-11);
        }
    }
}

/// Two orientations on one face turn together. By hand, with h₁ = x cos δ + y sin δ and h₂ =
/// −x sin δ + y cos δ: ∂x/∂δ = −y and ∂y/∂δ = x. The distance from the origin has no δ in it.
#[test]
fn directions_share_an_angle_error() {
    let (sigma, u, [x, y]) = (1e-3, 1e-4, [30.0, 40.0]);
    let shared = Network {
        points: vec![Point::axis([x, y])],
        angle_errors: vec![Prior::About { value: 0.0, standard: u }],
        directions: vec![Direction::with_error(0.0, 0), Direction::with_error(FRAC_PI_2, 0)],
        offsets: vec![exact(0, 0.0), exact(1, 0.0)],
        observations: vec![Observation::new(0, 0, x, sigma), Observation::new(0, 1, y, sigma)],
        ..Network::default()
    };
    let adjusted = shared.adjust().unwrap();
    let Place::Determined { covariance: c, .. } = adjusted.points[0] else { panic!() };
    near(c[0][0], sigma * sigma + y * y * u * u, 1e-17);
    near(c[1][1], sigma * sigma + x * x * u * u, 1e-17);
    near(c[0][1], -x * y * u * u, 1e-17);
    let radial = LinearForm::point(0, [0.6, 0.8]);
    near(adjusted.variance_of(&radial).unwrap(), sigma * sigma, 1e-17);
    near(adjusted.propagation(&radial).unwrap().influence().angle_errors[0], 0.0, 1e-15);
    let tangential = LinearForm::point(0, [-0.8, 0.6]);
    near(adjusted.propagation(&tangential).unwrap().influence().angle_errors[0], 50.0 * u, 1e-15);
    // With its own arm taken away again nothing of the angle is left.
    let without = tangential.minus(&LinearForm::angle_error(0, 50.0));
    near(adjusted.variance_of(&without).unwrap(), sigma * sigma, 1e-17);

    // One of its own for each: no covariance between x and y.
    let mut apart = shared.clone();
    apart.angle_errors.push(apart.angle_errors[0]);
    apart.directions[1].angle_errors = [1].into_iter().collect();
    let adjusted = apart.adjust().unwrap();
    near(adjusted.covariance(0, 0).unwrap()[0][1], 0.0, 1e-17);

    // Free and shared by all it is a rotation of the whole, until one direction does without.
    let mut turned = turned([2e-3; 3]);
    turned.angle_errors.truncate(1);
    for d in &mut turned.directions {
        d.angle_errors = [0].into_iter().collect();
    }
    let adjusted = turned.adjust().unwrap();
    assert!(adjusted.rotation_free && adjusted.angle_errors[0].estimate.is_none());
    // 12 heights; 6 coordinates and 3 offsets, to which the rotation adds nothing.
    assert_eq!(adjusted.degrees, 3);
    turned.directions[1] = Direction::exact(FRAC_PI_2 + 2e-3);
    let adjusted = turned.adjust().unwrap();
    assert!(!adjusted.rotation_free && adjusted.converged);
    near(adjusted.angle_errors[0].estimate.unwrap().value, 2e-3, 1e-12);
}

/// Two angles that nothing holds: the difference is determined, each alone is not.
#[test]
fn a_difference_of_angle_errors_may_be_all_that_is_known() {
    let adjusted = turned([1e-3, -2e-3, 1.5e-3]).adjust().unwrap();
    let angle = |k| LinearForm::angle_error(k, 1.0);
    assert!(!adjusted.is_determined(&angle(0)) && adjusted.value_of(&angle(0)).is_none());
    for (k, difference) in [(1, -3e-3), (2, 0.5e-3)] {
        let form = angle(k).minus(&angle(0));
        assert!(adjusted.is_determined(&form));
        near(adjusted.value_of(&form).unwrap(), difference, 1e-12);
    }
}

/// By hand: of h₁ = x + s and h₂ = x, equally good, the mean is taken whatever is known of s. The
/// full adjustment would weigh h₁ less. Its test uses that: h₁ − h₂ has σ√2 and u.
#[test]
fn a_systematic_error_is_considered_and_not_estimated() {
    let (sigma, u) = (0.003, 0.004);
    let network = Network {
        points: vec![Point::axis([0.0; 2])],
        directions: vec![Direction::exact(0.0)],
        offsets: vec![exact(0, 0.0)],
        systematics: vec![Systematic { prior: Prior::About { value: 0.001, standard: u } }],
        observations: vec![
            Observation::new(0, 0, 10.011, sigma).with(0, 1.0),
            Observation::new(0, 0, 10.004, sigma),
        ],
        ..Network::default()
    };
    let adjusted = network.adjust().unwrap();
    let x = LinearForm::point(0, [1.0, 0.0]);
    near(adjusted.value_of(&x).unwrap(), 10.007, 1e-13);
    near(adjusted.variance_of(&x).unwrap(), 0.5 * sigma * sigma + 0.25 * u * u, 1e-18);
    near(adjusted.propagation(&x).unwrap().systematic_part(0).unwrap(), -0.5 * u, 1e-16);
    near(adjusted.propagation(&x).unwrap().gain(0).unwrap(), 0.5, 1e-15);
    near(adjusted.propagation(&x).unwrap().gain(1).unwrap(), 0.5, 1e-15);
    assert_eq!(adjusted.systematics[0].estimate, Some(Estimate { value: 0.001, standard: u }));
    // Misclosure 0.006 against variance 2 σ² + u², of which s takes its share by variance.
    let variance = 2.0 * sigma * sigma + u * u;
    assert_eq!(adjusted.degrees, 1);
    near(adjusted.chi_square, 0.006 * 0.006 / variance, 1e-9);
    near(adjusted.observations[0].residual, 0.006 * sigma * sigma / variance, 1e-13);
    near(adjusted.observations[1].redundancy, sigma * sigma / variance, 1e-13);
    let fit = adjusted.systematics[0].prior.unwrap();
    near(fit.residual, -0.006 * u * u / variance, 1e-13);
    near(fit.redundancy, u * u / variance, 1e-13);
}
