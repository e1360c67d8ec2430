//! Sums of coordinates and angle errors against a dense solver: which of them are determined, their
//! values and covariances, what they owe to each observation and to each systematic error.

use crate::network_common::dense::{Dense, Solution, Systematics};
use crate::network_common::{dot, noise, random, unknown, up};
use crate::random::Random;
use nalgebra::DVector;
use quarterturn_core::network::{
    Adjusted, Direction, Fixed, LinearForm, Network, Observation, Offset, Place, Point, Prior,
    Shape, Systematic,
};
use std::f64::consts::FRAC_PI_2;

/// Sums of random points and angle errors; some along a direction the points were seen from, so
/// that offsets and angles drop out of their differences.
fn form(r: &mut Random, network: &Network) -> LinearForm {
    if !network.observations.is_empty() && r.chance(0.6) {
        let one = &network.observations[r.remainder(network.observations.len())];
        let offset = &network.offsets[one.offset];
        let same: Vec<&Observation> =
            network.observations.iter().filter(|o| o.offset == one.offset).collect();
        let other = same[r.remainder(same.len())];
        let d = up(network.directions[offset.direction].angle);
        // Of a plane, all of that direction's height is along its normal.
        let along = |o: &Observation| match network.points[o.point].shape {
            Shape::Axis => LinearForm::point(o.point, d),
            Shape::Plane { normal } => {
                let n = up(normal);
                LinearForm::point(o.point, n.map(|x| x * dot(n, d)))
            }
        };
        return along(one).minus(&along(other));
    }
    let mut form = LinearForm::default();
    for _ in 0..1 + r.remainder(3) {
        let weights = [noise(r), noise(r)];
        form = form.plus(&LinearForm::point(r.remainder(network.points.len()), weights));
    }
    if !network.angle_errors.is_empty() && r.chance(0.4) {
        let k = r.remainder(network.angle_errors.len());
        form = form.plus(&LinearForm::angle_error(k, 10.0 * noise(r)));
    }
    form
}

/// The same as a row over all unknowns of the dense solver, and what is exact in it.
fn row(
    form: &LinearForm,
    network: &Network,
    errors: &[Option<usize>],
    size: usize,
) -> (DVector<f64>, f64) {
    let mut row = DVector::zeros(size);
    let mut exact = 0.0;
    for &(point, w) in &form.points {
        let w = match network.points[point].shape {
            Shape::Axis => w,
            Shape::Plane { normal } => up(normal).map(|n| n * dot(up(normal), w)),
        };
        row[2 * point] += w[0];
        row[2 * point + 1] += w[1];
    }
    for &(k, w) in &form.angle_errors {
        match errors[k] {
            Some(c) => row[c] += w,
            None => exact += w * crate::network_common::start(network.angle_errors[k]),
        }
    }
    (row, exact)
}

/// Whether the row lies in the row space; None where the two thresholds may differ.
fn estimable(
    found: &Solution,
    form: &LinearForm,
    row: &DVector<f64>,
    shared: usize,
) -> Option<bool> {
    let mut size = 0.0;
    for (point, w) in &form.points {
        size += dot(*w, *w).sqrt() * found.null.rows(2 * point, 2).norm();
    }
    let entries = row.iter().zip(found.null.row_iter()).skip(shared);
    size += entries.map(|(w, moved)| w.abs() * moved.norm()).sum::<f64>();
    let change = found.null.tr_mul(row).norm();
    match change / size.max(1e-3 * found.null.norm()) {
        share if !share.is_finite() || share < 1e-9 => Some(true),
        share if share > 1e-5 => Some(false),
        _ => None,
    }
}

#[derive(Debug, Default)]
struct Met {
    determined: usize,
    not: usize,
    /// Determined, though a point in it is not.
    loose: usize,
    pairs: usize,
    considered: usize,
}

fn near(what: &str, a: f64, b: f64, u: f64, size: f64) {
    let allowed = 1e-6 * u + 2e-13 * size;
    assert!((a - b).abs() <= allowed, "{what}: {a} and {b}, allowed {allowed}");
}

fn compare(r: &mut Random, network: &Network, adjusted: &Adjusted, met: &mut Met) {
    let dense = Dense::new(network, Systematics::Considered);
    let errors = dense.error.clone();
    let found = dense.solve();
    let largest = network.observations.iter().fold(1e-3, |a: f64, o| a.max(o.height.abs()));
    let size = 10.0 * largest.max(found.x.amax());
    let floor = 1e-3 + 1e-2 * found.root.norm();
    let mut last: Option<(LinearForm, DVector<f64>)> = None;
    for _ in 0..12 {
        let form = form(r, network);
        let (row, exact) = row(&form, network, &errors, found.x.len());
        let Some(estimable) = estimable(&found, &form, &row, 2 * network.points.len()) else {
            continue;
        };
        let seen = form.points.iter().all(|(i, _)| adjusted.points[*i] != Place::Unseen);
        let determined = adjusted.is_determined(&form);
        // An unseen plane is where the definition of the dense solver left it.
        assert_eq!(determined, estimable && seen, "{form:?}");
        if !determined {
            met.not += 1;
            continue;
        }
        met.determined += 1;
        let whole = |point: usize| !matches!(adjusted.points[point], Place::NotTied);
        met.loose += usize::from(!form.points.iter().all(|(i, _)| whole(*i)));

        let root = found.root.tr_mul(&row);
        let u = root.norm();
        // Rounding grows with the residuals, and what a considered error does is all in them.
        let rounded = 1.0 + 1e-5 * found.v.component_div(&found.sigma).amax();
        let value = found.x.dot(&row) + exact;
        near("value", adjusted.value_of(&form).unwrap(), value, rounded * u, size);
        let variance = adjusted.variance_of(&form).unwrap();
        near("standard", variance.sqrt(), u, u, floor);
        let owed = adjusted.propagation(&form).map(|p| p.influence()).unwrap();
        let all = [&owed.observations, &owed.angle_errors, &owed.offsets, &owed.systematics];
        let squares: f64 = all.into_iter().flatten().map(|part| part * part).sum();
        near("sum of squares", squares.sqrt(), u, u, floor);
        let gains = found.gain.tr_mul(&row);
        for (i, part) in owed.observations.iter().enumerate() {
            let sigma = network.observations[i].standard;
            near("part", *part, gains[i] * sigma, u, floor);
            near(
                "gain",
                adjusted.propagation(&form).and_then(|p| p.gain(i)).unwrap() * sigma,
                gains[i] * sigma,
                u,
                floor,
            );
        }
        let parts = found.parts.tr_mul(&row);
        for (k, m) in found.considered.iter().enumerate() {
            near("considered", owed.systematics[*m], parts[k], u, floor);
            near(
                "alone",
                adjusted.propagation(&form).and_then(|p| p.systematic_part(*m)).unwrap(),
                parts[k],
                u,
                floor,
            );
            met.considered += usize::from(parts[k].abs() > 1e-3 * u);
        }
        if let Some((other, other_row)) = &last {
            let other_root = found.root.tr_mul(other_row);
            let (uv, v) = (root.dot(&other_root), other_root.norm());
            let c = adjusted.covariance_of(&form, other).unwrap();
            near("covariance", c, uv, u * v, floor * (u + v + 1e-13 * floor));
            let same = adjusted.covariance_of(other, &form).unwrap();
            near("covariance", c, same, u * v, 0.0);
            met.pairs += 1;
        }
        last = Some((form, row));
    }
}

#[test]
fn random_forms_agree_with_a_dense_solver() {
    let mut r = Random::new(11);
    let mut met = Met::default();
    for _ in 0..400 {
        let network = random(&mut r, false);
        let adjusted = network.adjust().unwrap();
        compare(&mut r, &network, &adjusted, &mut met);
    }
    println!("{met:?}");
    assert!(met.determined > 1000 && met.not > 500 && met.loose > 100);
    assert!(met.pairs > 500 && met.considered > 300);
}

#[test]
fn random_forms_with_angle_errors_agree_with_a_dense_solver() {
    let mut r = Random::new(12);
    let mut met = Met::default();
    for _ in 0..400 {
        let network = random(&mut r, true);
        let adjusted = network.adjust().unwrap();
        // As in the comparison of the networks themselves: not where the arms are only stated, nor
        // where an angle is hardly known.
        let poor = |p: &Option<_>| {
            p.is_some_and(|e: quarterturn_core::network::Estimate| e.standard > 4e-3)
        };
        let loose = adjusted.points.iter().enumerate().any(|(i, place)| {
            let seen = network.observations.iter().any(|o| o.point == i);
            seen && network.points[i].shape == Shape::Axis
                && !matches!(place, Place::Determined { .. })
        });
        let angle = network.angle_errors.iter().any(|p| unknown(*p));
        if !adjusted.converged
            || adjusted.angle_errors.iter().any(|e| poor(&e.estimate))
            || (angle && loose)
        {
            continue;
        }
        compare(&mut r, &network, &adjusted, &mut met);
    }
    println!("{met:?}");
    assert!(met.determined > 500 && met.pairs > 200 && met.considered > 100);
}

/// Four holes and a face; x hangs on two zeros that nothing ties, and two orientations share an
/// angle error.
fn untied() -> Network {
    let at = [[3.0, 4.0], [40.0, 12.0], [75.0, 60.0], [20.0, 55.0]];
    let mut points: Vec<Point> = at.into_iter().map(Point::axis).collect();
    points.push(Point::plane([100.0, 30.0], 0.0));
    let about = |standard| Prior::About { value: 0.0, standard };
    let mut network = Network {
        points,
        angle_errors: vec![about(1e-4)],
        directions: vec![
            Direction::exact(0.0),
            Direction::with_error(FRAC_PI_2, 0),
            Direction::with_error(-FRAC_PI_2, 0),
        ],
        offsets: [0, 0, 1, 2].map(|direction| Offset { direction, prior: Prior::Free }).to_vec(),
        systematics: vec![Systematic { prior: about(2e-5) }, Systematic { prior: about(0.002) }],
        observations: Vec::new(),
        fixed: vec![Fixed { point: 0, angle: FRAC_PI_2, value: 4.0 }],
    };
    for (i, p) in network.points.iter().enumerate() {
        for (j, offset) in network.offsets.iter().enumerate() {
            // Holes 0 and 1 with the first zero along x, the others and the face with the second.
            let skip = match j {
                0 => i > 1,
                1 => i < 2,
                _ => i == 4,
            };
            if skip {
                continue;
            }
            let u = up(network.directions[offset.direction].angle);
            let n = f64::from(u32::try_from(7 * i + 3 * j).unwrap());
            let height = dot(p.near, u) + 200.0 + 2e-3 * libm::sin(n);
            let seen = Observation::new(i, j, height, 0.001 + 1e-4 * n);
            network.observations.push(seen.with(0, height).with(1, [0.5, 1.0][i % 2]));
        }
    }
    network
}

/// Differences along x over the same zero are those of the network in which one hole has been given
/// an x, and so are their variances and what they owe.
#[test]
fn differences_over_a_zero_that_nothing_ties_are_known() {
    let network = untied();
    let loose = network.adjust().unwrap();
    let mut tied = network.clone();
    for (point, x) in [(1, 41.5), (3, 19.0)] {
        tied.fixed.push(Fixed { point, angle: 0.0, value: x });
    }
    let tied = tied.adjust().unwrap();
    let x = |i: usize| LinearForm::point(i, [1.0, 0.0]);
    for (i, j) in [(0, 1), (2, 3), (2, 4), (4, 3)] {
        assert!(!loose.is_determined(&x(i)) && !loose.is_determined(&x(j)), "{i} {j}");
        let difference = x(i).minus(&x(j));
        assert!(loose.is_determined(&difference), "{i} {j}");
        let (a, b) = (loose.value_of(&difference).unwrap(), tied.value_of(&difference).unwrap());
        assert!((a - b).abs() < 1e-12, "{i} {j}: {a} {b}");
        let state = [i, j].map(|i| loose.state_of(i).unwrap()[0]);
        assert!((state[0] - state[1] - a).abs() < 1e-13);
        let [u, v] = [&loose, &tied].map(|n| n.variance_of(&difference).unwrap());
        assert!((u / v - 1.0).abs() < 1e-10, "{u} {v}");
        let [u, v] =
            [&loose, &tied].map(|n| n.propagation(&difference).map(|p| p.influence()).unwrap());
        for (u, v) in u.observations.iter().zip(&v.observations) {
            assert!((u - v).abs() < 1e-12, "{u} {v}");
        }
        for (u, v) in u.systematics.iter().zip(&v.systematics) {
            assert!((u - v).abs() < 1e-12, "{u} {v}");
        }
        assert!(u.systematics[0].abs() > 1e-5);
        // With a coordinate that is known, too.
        let y = LinearForm::point(2, [0.0, 1.0]);
        let [u, v] = [&loose, &tied].map(|n| n.covariance_of(&difference, &y).unwrap());
        assert!((u - v).abs() < 1e-16, "{u} {v}");
    }
    // Not over two zeros, and not the sum.
    for not in [x(0).minus(&x(2)), x(0).plus(&x(1)), x(1).minus(&x(0).times(0.999))] {
        assert!(!loose.is_determined(&not), "{not:?}");
        assert!(tied.is_determined(&not));
    }
    // The face has nothing else, and so nothing is known of it alone.
    assert_eq!(loose.points[4], Place::NotTied);
    assert_eq!(loose.variance_of(&x(4)), None);
    assert_eq!(loose.value_of(&x(4)), None);
    assert_eq!(loose.propagation(&x(4)).and_then(|p| p.gain(0)), None);
    assert_eq!(loose.propagation(&x(4)).map(|p| p.influence()), None);
    assert_eq!(loose.propagation(&x(4)).and_then(|p| p.systematic_part(0)), None);
    assert_eq!(loose.covariance_of(&x(4), &LinearForm::point(2, [0.0, 1.0])), None);
    // A hole with one coordinate counts with that in a sum.
    let oblique = LinearForm::point(2, [0.6, 0.8]);
    assert!(!loose.is_determined(&oblique));
    let y = LinearForm::point(2, [0.0, 0.8]);
    let [a, b] = [&oblique, &y].map(|f| loose.value_of(f).unwrap());
    assert!((a - b).abs() < 1e-12, "{a} {b}");
    let [a, b] = [&oblique, &y].map(|f| loose.variance_of(f).unwrap());
    assert!((a / b - 1.0).abs() < 1e-12, "{a} {b}");
}

/// A coordinate that no orientation sees is not determined, however little it varies.
#[test]
fn a_coordinate_that_was_not_seen_is_not_determined() {
    let mut network = untied();
    network.observations.retain(|o| o.offset < 2);
    network.fixed = vec![Fixed { point: 0, angle: 0.0, value: 3.0 }];
    network.points.push(Point::axis([1.0, 1.0]));
    let adjusted = network.adjust().unwrap();
    let along = |angle: f64| LinearForm::point(1, up(angle));
    assert!(adjusted.is_determined(&along(0.0)));
    assert!(adjusted.is_determined(&along(5e-4)));
    assert!(!adjusted.is_determined(&along(2e-3)));
    assert!(!adjusted.is_determined(&along(FRAC_PI_2)));
    assert_eq!(adjusted.points[5], Place::Unseen);
    assert!(!adjusted.is_determined(&LinearForm::point(5, [1.0, 0.0])));
    assert_eq!(adjusted.value_of(&LinearForm::point(5, [1.0, 0.0])), None);
    assert_eq!(adjusted.state_of(5), Some([1.0, 1.0]));
    assert_eq!(adjusted.state_of(6), None);
}
