//! One dense matrix for all unknowns, its QR decomposition with column pivoting, and for what is
//! determined the textbook's condition that a quantity is estimable if its row lies in the row space
//! of the equations, which is square to their null space.

use super::{dot, standard, start, unknown, up};
use nalgebra::{DMatrix, DVector};
use quarterturn_core::network::{Network, Prior, Shape};

/// What is done with the systematic errors that are known with a standard uncertainty.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Systematics {
    /// They are as stated; what they may be is added to the covariance.
    Considered,
    /// They are unknowns, with their stated values as observations.
    Estimated,
}

/// All unknowns in one vector: x, y of every point, then δ, c and s where they are unknown.
pub(crate) struct Dense<'a> {
    network: &'a Network,
    pub(crate) error: Vec<Option<usize>>,
    pub(crate) offset: Vec<Option<usize>>,
    pub(crate) systematic: Vec<Option<usize>>,
    pub(crate) priors: Vec<(usize, Prior)>,
    /// Considered systematic errors: index and standard uncertainty.
    considered: Vec<(usize, f64)>,
    size: usize,
    /// Where the exact definitions hold: x = x₀ + N y.
    pub(crate) kernel: DMatrix<f64>,
    x: DVector<f64>,
}

/// The columns of A that span it, by QR with column pivoting, and its null space, of columns of
/// length 1: where A P = Q [R S], the columns of P [−R⁻¹S; I].
pub(crate) fn null_space(a: &DMatrix<f64>) -> DMatrix<f64> {
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
pub(crate) fn scales(a: &DMatrix<f64>, whole: &DMatrix<f64>) -> DVector<f64> {
    let lengths: Vec<f64> = a.column_iter().map(|c| c.norm()).collect();
    let largest = whole.column_iter().fold(0.0, |a: f64, c| a.max(c.norm()));
    let scale = |l: &f64| if *l > 1e-14 * largest { *l } else { largest.max(1.0) };
    DVector::from_vec(lengths.iter().map(scale).collect())
}

pub(crate) fn scaled(a: &DMatrix<f64>, d: &DVector<f64>) -> DMatrix<f64> {
    let mut a = a.clone();
    for (mut c, d) in a.column_iter_mut().zip(d.iter()) {
        c /= *d;
    }
    a
}

impl<'a> Dense<'a> {
    pub(crate) fn new(network: &'a Network, systematics: Systematics) -> Self {
        let mut size = 2 * network.points.len();
        let mut priors = Vec::new();
        let mut take = |prior: Prior| {
            unknown(prior).then(|| {
                priors.push((size, prior));
                size += 1;
                size - 1
            })
        };
        let error = network.angle_errors.iter().map(|p| take(*p)).collect();
        let offset: Vec<_> = network.offsets.iter().map(|d| take(d.prior)).collect();
        let mut considered = Vec::new();
        let systematic = (network.systematics.iter().enumerate())
            .map(|(m, s)| match standard(s.prior) {
                Some(u) if systematics == Systematics::Considered => {
                    considered.push((m, u));
                    None
                }
                _ => take(s.prior),
            })
            .collect();

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
                    let errors = direction.angle_errors.iter();
                    let known: f64 = errors.map(|e| start(network.angle_errors[*e])).sum();
                    let u = up(direction.angle + known);
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
            // What rounding leaves of a zero would let a heavy observation of what is exact move the
            // rest.
            null_space(&c).map(|k| if k.abs() < 1e-14 { 0.0 } else { k })
        };
        Self { network, error, offset, systematic, priors, considered, size, kernel, x }
    }

    /// Design, misclosures and standard uncertainties at `x`; the values known beforehand come
    /// last.
    pub(crate) fn equations(&self, x: &DVector<f64>) -> (DMatrix<f64>, DVector<f64>, DVector<f64>) {
        let known: Vec<_> =
            self.priors.iter().filter_map(|(k, p)| Some((*k, start(*p), standard(*p)?))).collect();
        let n = self.network.observations.len();
        let mut a = DMatrix::zeros(n + known.len(), self.size);
        let mut b = DVector::zeros(n + known.len());
        let mut sigma = DVector::zeros(n + known.len());
        for (i, o) in self.network.observations.iter().enumerate() {
            let k = self.network.offsets[o.offset].direction;
            let direction = &self.network.directions[k];
            let delta =
                |e: &usize| self.error[*e].map_or(start(self.network.angle_errors[*e]), |c| x[c]);
            let u = up(direction.angle + direction.angle_errors.iter().map(delta).sum::<f64>());
            let p = [x[2 * o.point], x[2 * o.point + 1]];
            let c =
                self.offset[o.offset].map_or(start(self.network.offsets[o.offset].prior), |c| x[c]);
            let mut computed = dot(u, p) + c;
            a[(i, 2 * o.point)] = u[0];
            a[(i, 2 * o.point + 1)] = u[1];
            for c in direction.angle_errors.iter().filter_map(|e| self.error[*e]) {
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

    pub(crate) fn solve(self) -> Solution {
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
            let solve = |b: &DVector<f64>| &root * left.tr_mul(&b.component_div(&sigma));
            x += solve(&b);
            // Linear networks need one pass; the others are for rounding and for angles.
            if passes == 25 {
                let (_, b, sigma) = self.equations(&x);
                let redundancy =
                    DVector::from_iterator(m, left.row_iter().map(|row| 1.0 - row.norm_squared()));
                // By how much the estimate changes with each observation: (AᵀWA)⁻ AᵀW.
                let mut gain = &root * left.transpose();
                for (mut column, s) in gain.column_iter_mut().zip(sigma.iter()) {
                    column /= *s;
                }
                // And with each considered systematic error, times its standard uncertainty.
                let mut parts = DMatrix::zeros(self.size, self.considered.len());
                for (k, (m, u)) in self.considered.iter().enumerate() {
                    let mut open = DVector::zeros(sigma.len());
                    for (i, o) in self.network.observations.iter().enumerate() {
                        for (_, a) in o.systematics.iter().filter(|(s, _)| s == m) {
                            open[i] = -a * u;
                        }
                    }
                    // Solved like the equations, and again for what rounding left.
                    for _ in 0..5 {
                        let step = solve(&open);
                        open -= &a * &step;
                        let mut part = parts.column_mut(k);
                        part += step;
                    }
                }
                // V = (AᵀWA)⁻ + B P Bᵀ.
                let whole = DMatrix::from_fn(self.size, n + parts.ncols(), |i, j| {
                    if j < n { root[(i, j)] } else { parts[(i, j - n)] }
                });
                let considered = self.considered.iter().map(|(m, _)| *m).collect();
                let root = whole;
                return Solution {
                    x,
                    root,
                    null,
                    v: b,
                    sigma,
                    redundancy,
                    rank,
                    gain,
                    parts,
                    considered,
                };
            }
        }
    }
}

pub(crate) struct Solution {
    pub(crate) x: DVector<f64>,
    /// Covariance = root rootᵀ.
    pub(crate) root: DMatrix<f64>,
    /// Movements that no observation notices.
    pub(crate) null: DMatrix<f64>,
    pub(crate) v: DVector<f64>,
    pub(crate) sigma: DVector<f64>,
    pub(crate) redundancy: DVector<f64>,
    pub(crate) rank: usize,
    /// How the estimate changes with each observation and each value known beforehand.
    pub(crate) gain: DMatrix<f64>,
    /// How it changes with each considered systematic error, by its standard uncertainty.
    pub(crate) parts: DMatrix<f64>,
    /// Index of each considered systematic error.
    pub(crate) considered: Vec<usize>,
}

impl Solution {
    /// Value and standard uncertainty of f · x, if f lies in the row space.
    pub(crate) fn estimate(&self, f: &[(usize, f64)]) -> Option<(f64, f64)> {
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
