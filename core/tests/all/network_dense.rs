//! The adjustment of heights against another solver.
//!
//! The solver here knows nothing of arrows, points or offsets: one dense matrix for all unknowns,
//! its QR decomposition with column pivoting, and for what is determined the textbook's condition
//! that a quantity is estimable if its row lies in the row space of the equations, which is square
//! to their null space. The networks are random, most of them rank-deficient, with standard
//! uncertainties from 1e-6 to 1 and coordinates from 1e-3 to 1e4.
//!
//! (The singular value decomposition of the same library was tried first; where singular values
//! are zero it did not always give the matrix back to better than a millionth.)

use crate::random::Random;
use nalgebra::{DMatrix, DVector};
use quarterturn_core::network::{
    Adjusted, Direction, Fixed, Network, Observation, Offset, Place, Point, Prior, Shape, Shared,
    Systematic,
};
use std::f64::consts::PI;

fn up(angle: f64) -> [f64; 2] {
    [libm::cos(angle), libm::sin(angle)]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn start(prior: Prior) -> f64 {
    match prior {
        Prior::Exact(v) | Prior::About { value: v, .. } => v,
        Prior::Free => 0.0,
    }
}

fn standard(prior: Prior) -> Option<f64> {
    match prior {
        Prior::About { standard, .. } if standard > 0.0 => Some(standard),
        _ => None,
    }
}

fn unknown(prior: Prior) -> bool {
    matches!(prior, Prior::Free) || standard(prior).is_some()
}

/// All unknowns in one vector: x, y of every point, then δ, c and s where they are unknown.
struct Dense<'a> {
    network: &'a Network,
    error: Vec<Option<usize>>,
    offset: Vec<Option<usize>>,
    systematic: Vec<Option<usize>>,
    priors: Vec<(usize, Prior)>,
    size: usize,
    /// Where the exact definitions hold: x = x₀ + N y.
    kernel: DMatrix<f64>,
    x: DVector<f64>,
}

/// The columns of A that span it, by QR with column pivoting, and its null space, of columns of
/// length 1: where A P = Q [R S], the columns of P [−R⁻¹S; I].
fn null_space(a: &DMatrix<f64>) -> DMatrix<f64> {
    let n = a.ncols();
    if n == 0 {
        return DMatrix::zeros(0, 0);
    }
    // Square at least, so that all of R is there.
    let qr = a.clone().resize_vertically(a.nrows().max(n), 0.0).col_piv_qr();
    let r = qr.r();
    let largest = r[(0, 0)].abs().max(1.0);
    let rank = (0..n).filter(|&i| r[(i, i)].abs() > 1e-9 * largest).count();
    let square = r.view((0, 0), (rank, rank)).into_owned();
    let rest = r.view((0, rank), (rank, n - rank)).into_owned();
    let mut null = DMatrix::zeros(n, n - rank);
    if n > rank {
        if rank > 0 {
            let top = square.solve_upper_triangular(&rest).unwrap();
            null.view_mut((0, 0), (rank, n - rank)).copy_from(&-top);
        }
        null.view_mut((rank, 0), (n - rank, n - rank)).fill_with_identity();
        qr.p().inv_permute_rows(&mut null);
        // Orthonormal.
        null = null.qr().q();
    }
    null
}

/// Lengths of the columns; those that are nothing but rounding of `whole` keep what they are.
fn scales(a: &DMatrix<f64>, whole: &DMatrix<f64>) -> DVector<f64> {
    let lengths: Vec<f64> = a.column_iter().map(|c| c.norm()).collect();
    let largest = whole.column_iter().fold(0.0, |a: f64, c| a.max(c.norm()));
    let scale = |l: &f64| if *l > 1e-14 * largest { *l } else { largest.max(1.0) };
    DVector::from_vec(lengths.iter().map(scale).collect())
}

fn scaled(a: &DMatrix<f64>, d: &DVector<f64>) -> DMatrix<f64> {
    let mut a = a.clone();
    for (mut c, d) in a.column_iter_mut().zip(d.iter()) {
        c /= *d;
    }
    a
}

impl<'a> Dense<'a> {
    fn new(network: &'a Network) -> Self {
        let mut size = 2 * network.points.len();
        let mut priors = Vec::new();
        let mut take = |prior: Prior| {
            unknown(prior).then(|| {
                priors.push((size, prior));
                size += 1;
                size - 1
            })
        };
        let error = network.directions.iter().map(|d| take(d.error)).collect();
        let offset: Vec<_> = network.offsets.iter().map(|d| take(d.prior)).collect();
        let systematic = network.systematics.iter().map(|d| take(d.prior)).collect();

        let mut rows: Vec<(usize, [f64; 2], f64)> =
            network.fixed.iter().map(|f| (f.point, up(f.angle), f.value)).collect();
        for (i, p) in network.points.iter().enumerate() {
            if let Shape::Plane { normal } = p.shape {
                let n = up(normal);
                let across = [-n[1], n[0]];
                rows.push((i, across, dot(across, p.near)));
            }
        }
        let mut c = DMatrix::zeros(rows.len(), size);
        let mut v = DVector::zeros(rows.len());
        for (r, (i, d, value)) in rows.iter().enumerate() {
            c[(r, 2 * i)] = d[0];
            c[(r, 2 * i + 1)] = d[1];
            v[r] = *value;
        }
        let mut x = DVector::zeros(size);
        for (i, p) in network.points.iter().enumerate() {
            x[2 * i] = p.near[0];
            x[2 * i + 1] = p.near[1];
        }
        for (k, p) in &priors {
            x[*k] = start(*p);
        }
        // Free offsets start so that the points are about where they are stated to be.
        for (j, c) in offset.iter().enumerate() {
            let Some(c) = *c else { continue };
            let seen = network.observations.iter().filter(|o| o.offset == j);
            let open: Vec<f64> = seen
                .map(|o| {
                    let direction = &network.directions[network.offsets[j].direction];
                    let u = up(direction.angle + start(direction.error));
                    o.height - dot(u, network.points[o.point].near)
                })
                .collect();
            if network.offsets[j].prior == Prior::Free && !open.is_empty() {
                x[c] = DVector::from_vec(open).mean();
            }
        }
        let kernel = if rows.is_empty() {
            DMatrix::identity(size, size)
        } else {
            // The nearest place where all definitions hold.
            let step = c.transpose() * (&c * c.transpose()).lu().solve(&(&v - &c * &x)).unwrap();
            x += step;
            null_space(&c)
        };
        Self { network, error, offset, systematic, priors, size, kernel, x }
    }

    /// Design, misclosures and standard uncertainties at `x`; the values known beforehand come
    /// last.
    fn equations(&self, x: &DVector<f64>) -> (DMatrix<f64>, DVector<f64>, DVector<f64>) {
        let known: Vec<_> =
            self.priors.iter().filter_map(|(k, p)| Some((*k, start(*p), standard(*p)?))).collect();
        let n = self.network.observations.len();
        let mut a = DMatrix::zeros(n + known.len(), self.size);
        let mut b = DVector::zeros(n + known.len());
        let mut sigma = DVector::zeros(n + known.len());
        for (i, o) in self.network.observations.iter().enumerate() {
            let k = self.network.offsets[o.offset].direction;
            let direction = &self.network.directions[k];
            let delta = self.error[k].map_or(start(direction.error), |c| x[c]);
            let u = up(direction.angle + delta);
            let p = [x[2 * o.point], x[2 * o.point + 1]];
            let c =
                self.offset[o.offset].map_or(start(self.network.offsets[o.offset].prior), |c| x[c]);
            let mut computed = dot(u, p) + c;
            a[(i, 2 * o.point)] = u[0];
            a[(i, 2 * o.point + 1)] = u[1];
            if let Some(c) = self.error[k] {
                a[(i, c)] = -p[0] * u[1] + p[1] * u[0];
            }
            if let Some(c) = self.offset[o.offset] {
                a[(i, c)] = 1.0;
            }
            for &(m, coefficient) in &o.systematics {
                computed += coefficient
                    * self.systematic[m].map_or(start(self.network.systematics[m].prior), |c| x[c]);
                if let Some(c) = self.systematic[m] {
                    a[(i, c)] = coefficient;
                }
            }
            b[i] = o.height - computed;
            sigma[i] = o.standard;
        }
        for (r, (k, value, standard)) in known.iter().enumerate() {
            a[(n + r, *k)] = 1.0;
            b[n + r] = value - x[*k];
            sigma[n + r] = *standard;
        }
        (a, b, sigma)
    }

    fn solve(self) -> Solution {
        let mut x = self.x.clone();
        let mut passes = 0;
        loop {
            passes += 1;
            let (a, b, sigma) = self.equations(&x);
            let free = &a * &self.kernel;
            // Rank and null space from the geometry: equal weights.
            let d = scales(&free, &a);
            let mut null = null_space(&scaled(&free, &d));
            let rank = free.ncols() - null.ncols();
            for (mut row, d) in null.row_iter_mut().zip(d.iter()) {
                row /= *d;
            }
            // The solution, with the weights: QR of all equations, and a row for each movement of
            // the null space that stops it.
            let mut weighted = free.clone();
            for (mut row, s) in weighted.row_iter_mut().zip(sigma.iter()) {
                row /= *s;
            }
            let d = scales(&weighted, &{
                let mut whole = a.clone();
                for (mut row, s) in whole.row_iter_mut().zip(sigma.iter()) {
                    row /= *s;
                }
                whole
            });
            let (m, n) = (weighted.nrows(), weighted.ncols());
            let mut all = scaled(&weighted, &d).resize_vertically(m + null.ncols(), 0.0);
            for (j, movement) in null.column_iter().enumerate() {
                let mut row = movement.component_mul(&d);
                row /= row.norm();
                all.row_mut(m + j).copy_from(&row.transpose());
            }
            let qr = all.qr();
            let (left, r) = (qr.q(), qr.r());
            let mut root = r.solve_upper_triangular(&DMatrix::identity(n, n)).unwrap();
            for (mut row, d) in root.row_iter_mut().zip(d.iter()) {
                row /= *d;
            }
            let (root, null) = (&self.kernel * root, &self.kernel * null);
            let left = left.rows(0, m).into_owned();
            let step = &root * left.tr_mul(&b.component_div(&sigma));
            x += &step;
            // Linear networks need one pass; the others are for rounding and for angles.
            if passes == 25 {
                let (_, b, sigma) = self.equations(&x);
                let redundancy =
                    DVector::from_iterator(m, left.row_iter().map(|row| 1.0 - row.norm_squared()));
                return Solution { x, root, null, v: b, sigma, redundancy, rank };
            }
        }
    }
}

struct Solution {
    x: DVector<f64>,
    /// Covariance = root rootᵀ.
    root: DMatrix<f64>,
    /// Movements that no observation notices.
    null: DMatrix<f64>,
    v: DVector<f64>,
    sigma: DVector<f64>,
    redundancy: DVector<f64>,
    rank: usize,
}

impl Solution {
    /// Value and standard uncertainty of f · x, if f lies in the row space.
    fn estimate(&self, f: &[(usize, f64)]) -> Option<(f64, f64)> {
        let mut row = DVector::zeros(self.x.len());
        for (k, a) in f {
            row[*k] = *a;
        }
        for c in self.null.column_iter() {
            let size = f.iter().map(|(k, a)| (self.null.row(*k) * *a).norm()).sum::<f64>();
            if c.dot(&row).abs() > 1e-7 * size.max(1e-3 * c.norm()) {
                return None;
            }
        }
        Some((self.x.dot(&row), self.root.tr_mul(&row).norm()))
    }
}

/// A random network. With `angles` some directions have errors that must be found, and the
/// uncertainties and coordinates keep to what a bench can show.
#[expect(clippy::too_many_lines, reason = "one choice after the other")]
fn network(random: &mut Random, angles: bool) -> Network {
    let reach = if angles { random.power_of_ten(1.0, 3.0) } else { random.power_of_ten(-3.0, 4.0) };
    let mut network = Network::default();
    let mut truth = Vec::new();
    for _ in 0..2 + random.below(6) {
        let p = [random.range(-reach, reach), random.range(-reach, reach)];
        let near = [p[0] + 1e-3 * reach * random.normal(), p[1] + 1e-3 * reach * random.normal()];
        truth.push(p);
        network.points.push(match random.chance(0.2) {
            true => {
                let normal = random.range(-PI, PI);
                // It is where it was touched.
                let across = [-libm::sin(normal), libm::cos(normal)];
                let t = dot(across, p) - dot(across, near);
                Point::plane([near[0] + t * across[0], near[1] + t * across[1]], normal)
            }
            false => Point::axis(near),
        });
    }
    let mut deltas = Vec::new();
    for k in 0..1 + random.below(5) {
        let angle = match (angles, random.chance(0.6)) {
            (false, true) => [0.0, PI / 2.0, PI, 1.5 * PI][random.below(4)],
            (false, false) => [0.3, 0.9, 1.2, 1.9, 2.7][k] + random.range(-0.1, 0.1),
            // Never two that are nearly the same.
            (true, _) => [0.0, 0.5, 1.1, 1.7, 2.3][k] + random.range(-0.1, 0.1),
        };
        let error = match random.below(3) {
            1 if angles => Prior::About {
                value: 1e-4 * random.normal(),
                standard: random.power_of_ten(-5.0, -3.0),
            },
            2 if angles => Prior::Free,
            _ => Prior::ZERO,
        };
        let delta = match error {
            Prior::Exact(v) => v,
            Prior::About { value, standard } => value + standard * random.normal(),
            Prior::Free => 1e-3 * random.normal(),
        };
        deltas.push(delta);
        network.directions.push(Direction { angle, error });
    }
    let mut offsets = Vec::new();
    for k in 0..network.directions.len() {
        for _ in 0..1 + random.below(3) {
            let value = random.range(-reach, reach);
            let standard = if angles {
                random.power_of_ten(-4.0, 0.0)
            } else {
                random.power_of_ten(-6.0, 0.0)
            };
            let prior = match random.below(3) {
                0 => Prior::Exact(value),
                1 => Prior::About { value, standard },
                _ => Prior::Free,
            };
            let c = match prior {
                Prior::About { .. } => value + standard * random.normal(),
                _ => value,
            };
            offsets.push(c);
            network.offsets.push(Offset { direction: k, prior });
        }
    }
    let mut errors = Vec::new();
    for _ in 0..random.below(3) {
        let standard = random.power_of_ten(-5.0, -2.0);
        let prior = match random.below(4) {
            0 => Prior::Free,
            1 => Prior::Exact(standard),
            _ => Prior::About { value: 0.0, standard },
        };
        errors.push(if prior == Prior::Exact(standard) {
            standard
        } else {
            standard * random.normal()
        });
        network.systematics.push(Systematic { prior });
    }
    let density = random.range(0.1, 1.0);
    for (i, place) in truth.iter().enumerate() {
        for (j, offset) in offsets.iter().enumerate() {
            let k = network.offsets[j].direction;
            let u = up(network.directions[k].angle + deltas[k]);
            let edge_on = match network.points[i].shape {
                Shape::Plane { normal } => dot(up(normal), u).abs() < 0.1,
                Shape::Axis => false,
            };
            if edge_on || !random.chance(density) {
                continue;
            }
            for _ in 0..1 + random.below(2) {
                let standard = if angles {
                    reach * random.power_of_ten(-7.0, -5.0)
                } else {
                    random.power_of_ten(-6.0, 0.0)
                };
                let mut height = dot(*place, u) + offset + standard * random.normal();
                let mut systematics = Vec::new();
                for (m, e) in errors.iter().enumerate() {
                    if random.chance(0.6) {
                        let a = [0.5, 1.0, height][random.below(3)];
                        systematics.push((m, a));
                        height += a * e;
                    }
                }
                network.observations.push(Observation {
                    point: i,
                    offset: j,
                    height,
                    standard,
                    systematics,
                });
            }
        }
    }
    let mut fix = |point: usize, angle: f64| {
        network.fixed.push(Fixed { point, angle, value: dot(truth[point], up(angle)) });
    };
    for point in 0..random.below(3) {
        if let Shape::Plane { normal } = network.points[point].shape {
            fix(point, if random.chance(0.5) { normal } else { normal + PI });
            continue;
        }
        let angle = if random.chance(0.7) { 0.0 } else { random.range(-PI, PI) };
        fix(point, angle);
        if random.chance(0.5) {
            fix(point, angle + if random.chance(0.7) { PI / 2.0 } else { 0.7 });
        }
    }
    network
}

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
}

/// `a` and `b` agree to `part` of the uncertainty `u`, or to what rounding leaves of `size`.
fn agree(what: &str, a: f64, b: f64, u: f64, size: f64) {
    let allowed = 1e-6 * u + 2e-13 * size;
    assert!((a - b).abs() <= allowed, "{what}: {a} and {b}, allowed {allowed}");
}

fn compare(network: &Network, adjusted: &Adjusted, met: &mut Met) {
    let dense = Dense::new(network);
    let columns = [dense.error.clone(), dense.offset.clone(), dense.systematic.clone()];
    let (kernel, known) = (dense.kernel.ncols(), dense.priors.clone());
    let found = dense.solve();
    // The largest number there is: rounding is a part of it.
    let largest = network.observations.iter().fold(1e-3, |a: f64, o| a.max(o.height.abs()));
    let size = largest.max(found.x.amax());

    met.deficient += usize::from(found.rank < kernel);
    // What rounding leaves of a zero uncertainty.
    let floor = 1e-3 + 1e-2 * found.root.norm();
    let degrees = found.v.len() - found.rank;
    assert_eq!(adjusted.degrees, degrees);
    let mut sum = 0.0;
    let mut chi_square = 0.0;
    for (i, v) in found.v.iter().enumerate() {
        chi_square += (v / found.sigma[i]) * (v / found.sigma[i]);
        if let Some(fit) = adjusted.observations.get(i) {
            agree("residual", fit.residual, *v, found.sigma[i], size);
            agree("redundancy", fit.redundancy, found.redundancy[i], 1.0, 0.0);
            sum += fit.redundancy;
        }
    }
    let rounding = size / found.sigma.iter().fold(1.0, |a: f64, b| a.min(*b));
    agree("chi-square", adjusted.chi_square, chi_square, chi_square, rounding);

    let mut priors = known.iter().filter(|(_, p)| standard(*p).is_some()).enumerate();
    let shared: [&[Shared]; 3] = [&adjusted.directions, &adjusted.offsets, &adjusted.systematics];
    for (columns, shared) in columns.iter().zip(shared) {
        for (column, shared) in columns.iter().zip(shared) {
            let Some(column) = column else { continue };
            let estimate = found.estimate(&[(*column, 1.0)]);
            assert_eq!(shared.estimate.is_some(), estimate.is_some(), "{column} {shared:?}");
            met.undetermined += usize::from(estimate.is_none());
            if let (Some(a), Some((value, u))) = (shared.estimate, estimate) {
                agree("shared unknown", a.value, value, u, size);
                agree("its uncertainty", a.standard, u, u, 0.0);
            }
            if let Some(fit) = shared.prior {
                let (r, _) = priors.next().unwrap();
                let i = network.observations.len() + r;
                agree("redundancy of prior", fit.redundancy, found.redundancy[i], 1.0, 0.0);
                sum += fit.redundancy;
            }
        }
    }
    assert!(priors.next().is_none());
    #[expect(clippy::cast_precision_loss, reason = "a count")]
    let degrees = degrees as f64;
    agree("sum of redundancies", sum, degrees, 1.0 + degrees, 0.0);

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
                agree("x", at[0], x.0, x.1, size);
                agree("y", at[1], y.0, y.1, size);
                agree("u(x)", covariance[0][0].sqrt(), x.1, x.1, floor);
                agree("u(y)", covariance[1][1].sqrt(), y.1, y.1, floor);
            }
            Place::OneDirection { angle, along: value, variance } => {
                met.one += 1;
                let d = up(angle);
                let (q, u) = found.estimate(&along(d)).expect("it is not estimable");
                agree("coordinate", value, q, u, size);
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
}

#[test]
fn random_networks_agree_with_a_dense_solver() {
    let mut random = Random::new(1);
    let mut met = Met::default();
    for case in 0..600 {
        let network = network(&mut random, false);
        let adjusted = network.adjust().unwrap_or_else(|fault| panic!("{case}: {fault}"));
        assert!(adjusted.converged && adjusted.iterations == 1);
        compare(&network, &adjusted, &mut met);
    }
    println!("{met:?}");
    assert!(met.determined > 500 && met.one > 500 && met.not_tied > 50 && met.unseen > 20);
    assert!(met.deficient > 100 && met.undetermined > 100 && met.pairs > 2000);
}

#[test]
fn random_networks_with_errors_of_angle_agree_with_a_dense_solver() {
    let mut random = Random::new(2);
    let (mut cases, mut skipped, mut unconverged) = (0, 0, 0);
    let mut met = Met::default();
    for case in 0..400 {
        let network = network(&mut random, true);
        let adjusted = network.adjust().unwrap_or_else(|fault| panic!("{case}: {fault}"));
        // An angle that is known to some milliradians only is not small any more: where the last
        // linearisation stood then matters, and it may not converge, which it says.
        let poor =
            adjusted.directions.iter().any(|d| d.estimate.is_some_and(|e| e.standard > 4e-3));
        unconverged += usize::from(!adjusted.converged);
        // Nor does it matter how far along the plate a point is that hangs loose along it: its
        // arm is what was stated, and then the two solvers stop it at different places.
        let adjusted_angle = network.directions.iter().any(|d| unknown(d.error));
        let armless = adjusted.points.iter().enumerate().any(|(i, place)| {
            let seen = network.observations.iter().any(|o| o.point == i);
            let axis = matches!(network.points[i].shape, Shape::Axis);
            seen && axis && !matches!(place, Place::Determined { .. })
        });
        if poor || !adjusted.converged || (adjusted_angle && armless) {
            skipped += 1;
            continue;
        }
        compare(&network, &adjusted, &mut met);
        cases += 1;
    }
    println!("{cases} compared, {skipped} not, {unconverged} not converged: {met:?}");
    assert!(cases > 200 && unconverged <= 2);
    assert!(met.determined > 500 && met.one > 150 && met.deficient > 50 && met.pairs > 2000);
}

#[test]
fn null_spaces_are_null() {
    let mut random = Random::new(3);
    for _ in 0..100 {
        let (m, n, k) = (1 + random.below(8), 2 + random.below(6), 1 + random.below(4));
        let a = DMatrix::from_fn(m, k, |_, _| random.normal())
            * DMatrix::from_fn(k, n, |_, _| random.normal());
        let null = null_space(&a);
        assert_eq!(null.ncols(), n - m.min(k).min(n));
        assert!((&a * &null).norm() < 1e-10, "{a} {null}");
        let square = null.tr_mul(&null);
        assert!((square - DMatrix::identity(null.ncols(), null.ncols())).norm() < 1e-12);
    }
}
