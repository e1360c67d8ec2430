//! The adjustment of heights against another solver.
//!
//! The solver knows nothing of arrows, points or offsets. It is asked twice: with the systematic
//! errors as stated, for the estimate and its covariance from the definition, and with the
//! systematic errors as unknowns, for what the tests of the readings use. The networks are random, most of them rank-deficient, with standard
//! uncertainties from 1e-6 to 1 and coordinates from 1e-3 to 1e4.
//!
//! (The singular value decomposition of the same library was tried first; where singular values
//! are zero it did not always give the matrix back to better than a millionth.)

use crate::network_common::dense::{Dense, Solution, Systematics, null_space};
use crate::network_common::{noise, random, standard, unknown, up};
use crate::random::Random;
use nalgebra::DMatrix;
use quarterturn_core::network::{Adjusted, Network, Place, Shape, Shared};

/// What a network turned out to have, to be sure that all of it was met.
#[derive(Default, Debug)]
struct Met {
    determined: usize,
    one: usize,
    not_tied: usize,
    unseen: usize,
    deficient: usize,
    undetermined: usize,
    pairs: usize,
    considered: usize,
}

/// `a` and `b` agree to `part` of the uncertainty `u`, or to what rounding leaves of `size`.
fn agree(what: &str, a: f64, b: f64, u: f64, size: f64) {
    let allowed = 1e-6 * u + 2e-13 * size;
    assert!((a - b).abs() <= allowed, "{what}: {a} and {b}, allowed {allowed}");
}

/// How far apart the angles (rad) and arms (relative) of two solutions are, if there are angles.
fn apart(network: &Network, columns: &[Vec<Option<usize>>; 3], a: &Solution, b: &Solution) -> f64 {
    let angles: Vec<usize> = columns[0].iter().copied().flatten().collect();
    if angles.is_empty() {
        return 0.0;
    }
    // The systematic errors come last, so these have the same places in both.
    let points = 2 * network.points.len();
    let difference = a.x.rows(0, points) - b.x.rows(0, points);
    let arms = difference.amax() / a.x.rows(0, points).amax();
    angles.iter().fold(arms, |most, &c| most.max((a.x[c] - b.x[c]).abs()))
}

/// Compares all that was found. Where the two linearisations, at the considered estimate and at the
/// full adjustment's own, lie too far apart to compare the tests of the readings, it says so.
fn compare(network: &Network, adjusted: &Adjusted, met: &mut Met) -> bool {
    let dense = Dense::new(network, Systematics::Considered);
    let columns = [dense.error.clone(), dense.offset.clone(), dense.systematic.clone()];
    let found = dense.solve();
    let dense = Dense::new(network, Systematics::Estimated);
    let (kernel, known) = (dense.kernel.ncols(), dense.priors.clone());
    let full = dense.solve();
    let apart = apart(network, &columns, &found, &full);
    if apart > 1e-4 {
        return false;
    }
    let curved = 1.0 + 1e7 * apart;
    // The largest number there is: rounding is a part of it.
    let largest = network.observations.iter().fold(1e-3, |a: f64, o| a.max(o.height.abs()));
    let size = largest.max(found.x.amax());

    met.deficient += usize::from(full.rank < kernel);
    met.considered += found.considered.len();
    // Rounding grows with the residuals, and what a considered systematic error does is all in them.
    let worst = found.v.component_div(&found.sigma).amax();
    let rounded = 1.0 + 1e-5 * worst;
    // What rounding leaves of a zero uncertainty.
    let floor = 1e-3 + 1e-2 * found.root.norm();
    let degrees = full.v.len() - full.rank;
    assert_eq!(adjusted.degrees, degrees);
    let mut sum = 0.0;
    let mut chi_square = 0.0;
    for (i, v) in full.v.iter().enumerate() {
        chi_square += (v / full.sigma[i]) * (v / full.sigma[i]);
        if let Some(fit) = adjusted.observations.get(i) {
            agree("residual", fit.residual, *v, curved * full.sigma[i], size);
            agree("redundancy", fit.redundancy, full.redundancy[i], curved, 0.0);
            sum += fit.redundancy;
        }
    }
    let rounding = size / full.sigma.iter().fold(1.0, |a: f64, b| a.min(*b));
    agree("chi-square", adjusted.chi_square, chi_square, curved * chi_square, rounding);

    let mut priors = known.iter().filter(|(_, p)| standard(*p).is_some()).enumerate();
    let shared: [&[Shared]; 3] = [&adjusted.angle_errors, &adjusted.offsets, &adjusted.systematics];
    for (columns, shared) in columns.iter().zip(shared) {
        for (column, shared) in columns.iter().zip(shared) {
            if let Some(column) = column {
                let estimate = found.estimate(&[(*column, 1.0)]);
                assert_eq!(shared.estimate.is_some(), estimate.is_some(), "{column} {shared:?}");
                met.undetermined += usize::from(estimate.is_none());
                if let (Some(a), Some((value, u))) = (shared.estimate, estimate) {
                    agree("shared unknown", a.value, value, rounded * u, size);
                    agree("its uncertainty", a.standard, u, u, 0.0);
                }
            }
            if let Some(fit) = shared.prior {
                let (r, _) = priors.next().unwrap();
                let i = network.observations.len() + r;
                agree("redundancy of prior", fit.redundancy, full.redundancy[i], curved, 0.0);
                agree("residual of prior", fit.residual, full.v[i], curved * full.sigma[i], size);
                sum += fit.redundancy;
            }
        }
    }
    assert!(priors.next().is_none());
    #[expect(clippy::cast_precision_loss, reason = "a count")]
    let degrees = degrees as f64;
    agree("sum of redundancies", sum, degrees, curved * (1.0 + degrees), 0.0);

    for (i, place) in adjusted.points.iter().enumerate() {
        let along = |d: [f64; 2]| [(2 * i, d[0]), (2 * i + 1, d[1])];
        let [x, y] = [found.estimate(&along([1.0, 0.0])), found.estimate(&along([0.0, 1.0]))];
        let plane = matches!(network.points[i].shape, Shape::Plane { .. });
        // Across a plane the definition of the test, not an observation, says where it is.
        let fixed = network.fixed.iter().any(|f| f.point == i);
        let seen = fixed || network.observations.iter().any(|o| o.point == i);
        match *place {
            Place::Determined { at, covariance } => {
                met.determined += 1;
                assert!(!plane);
                let (x, y) = (x.expect("x is not estimable"), y.expect("y is not estimable"));
                agree("x", at[0], x.0, rounded * x.1, size);
                agree("y", at[1], y.0, rounded * y.1, size);
                agree("u(x)", covariance[0][0].sqrt(), x.1, x.1, floor);
                agree("u(y)", covariance[1][1].sqrt(), y.1, y.1, floor);
            }
            Place::OneDirection { angle, along: value, variance } => {
                met.one += 1;
                let d = up(angle);
                let (q, u) = found.estimate(&along(d)).expect("it is not estimable");
                agree("coordinate", value, q, rounded * u, size);
                agree("its uncertainty", variance.sqrt(), u, u, floor);
                if !plane {
                    assert!(found.estimate(&along([-d[1], d[0]])).is_none(), "{i} has both");
                }
            }
            Place::NotTied => {
                met.not_tied += 1;
                assert!(seen);
                if plane {
                    let Shape::Plane { normal } = network.points[i].shape else { panic!() };
                    assert!(found.estimate(&along(up(normal))).is_none(), "{i} is tied");
                } else {
                    // No direction at all: the movements of the point fill the plane.
                    let rows = found.null.rows(2 * i, 2).into_owned();
                    let s = rows.svd(false, false).singular_values;
                    assert!(s.len() == 2 && s[1] > 1e-9 * s[0], "{i} has one direction");
                }
            }
            Place::Unseen => {
                met.unseen += 1;
                assert!(!seen);
            }
        }
    }
    // Covariances between points, in the directions that are known.
    for i in 0..network.points.len() {
        for j in 0..network.points.len() {
            let Some(c) = adjusted.covariance(i, j) else { continue };
            let project = |k: usize| match adjusted.points[k] {
                Place::OneDirection { angle, .. } => {
                    let d = up(angle);
                    DMatrix::from_row_slice(
                        2,
                        2,
                        &[d[0] * d[0], d[0] * d[1], d[0] * d[1], d[1] * d[1]],
                    )
                }
                _ => DMatrix::identity(2, 2),
            };
            let rows = |k: usize| project(k) * found.root.rows(2 * k, 2);
            let expected = rows(i) * rows(j).transpose();
            let (ui, uj) = (rows(i).norm(), rows(j).norm());
            let (u, rounding) = (ui * uj, floor * (ui + uj + 1e-13 * floor));
            for a in 0..2 {
                for b in 0..2 {
                    agree("covariance", c[a][b], expected[(a, b)], u, rounding);
                }
            }
            met.pairs += 1;
        }
    }
    true
}

#[test]
fn random_networks_agree_with_a_dense_solver() {
    let mut r = Random::new(1);
    let mut met = Met::default();
    for case in 0..600 {
        let network = random(&mut r, false);
        let adjusted = network.adjust().unwrap_or_else(|fault| panic!("{case}: {fault}"));
        assert!(adjusted.converged && adjusted.iterations == 1);
        assert!(compare(&network, &adjusted, &mut met));
    }
    println!("{met:?}");
    assert!(met.determined > 500 && met.one > 500 && met.not_tied > 50 && met.unseen > 20);
    assert!(met.deficient > 100 && met.undetermined > 100 && met.pairs > 2000);
    assert!(met.considered > 100);
}

#[test]
fn random_networks_with_angle_errors_agree_with_a_dense_solver() {
    let mut r = Random::new(2);
    let (mut cases, mut skipped, mut curved, mut unconverged) = (0, 0, 0, 0);
    let mut met = Met::default();
    for case in 0..400 {
        let network = random(&mut r, true);
        let adjusted = network.adjust().unwrap_or_else(|fault| panic!("{case}: {fault}"));
        // An angle that is known to some milliradians only is not small any more: where the last
        // linearisation stood then matters, and it may not converge, which it says.
        let poor =
            adjusted.angle_errors.iter().any(|d| d.estimate.is_some_and(|e| e.standard > 4e-3));
        unconverged += usize::from(!adjusted.converged);
        // Nor does it matter how far along the plate a point is that hangs loose along it: its
        // arm is what was stated, and then the two solvers stop it at different places.
        let adjusted_angle = network.angle_errors.iter().any(|p| unknown(*p));
        let armless = adjusted.points.iter().enumerate().any(|(i, place)| {
            let seen = network.observations.iter().any(|o| o.point == i);
            let axis = matches!(network.points[i].shape, Shape::Axis);
            seen && axis && !matches!(place, Place::Determined { .. })
        });
        if poor || !adjusted.converged || (adjusted_angle && armless) {
            skipped += 1;
            continue;
        }
        if compare(&network, &adjusted, &mut met) {
            cases += 1;
        } else {
            curved += 1;
        }
    }
    println!("{cases} compared, {skipped} and {curved} not, {unconverged} not converged: {met:?}");
    assert!(cases > 200 && unconverged <= 2);
    assert!(met.determined > 500 && met.one > 150 && met.deficient > 50 && met.pairs > 2000);
}

#[test]
fn null_spaces_are_null() {
    let mut r = Random::new(3);
    for _ in 0..100 {
        let (m, n, k) = (1 + r.remainder(8), 2 + r.remainder(6), 1 + r.remainder(4));
        let a = DMatrix::from_fn(m, k, |_, _| noise(&mut r))
            * DMatrix::from_fn(k, n, |_, _| noise(&mut r));
        let null = null_space(&a);
        assert_eq!(null.ncols(), n - m.min(k).min(n));
        assert!((&a * &null).norm() < 1e-10, "{a} {null}");
        let square = null.tr_mul(&null);
        assert!((square - DMatrix::identity(null.ncols(), null.ncols())).norm() < 1e-12);
    }
}
