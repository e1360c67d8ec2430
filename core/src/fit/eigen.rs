//! Symmetric matrices of three or four rows, taken apart.

use crate::quantity::vector::dot;

/// Eigenvalues and eigenvectors of a symmetric matrix: `vectors[k]` belongs to `values[k]`.
///
/// Cyclic Jacobi (G. H. Golub and C. F. Van Loan, *Matrix Computations*, 8.5): at this size as
/// fast as any, and small eigenvalues come out as exact as large ones.
#[derive(Clone, Copy, Debug)]
pub(super) struct Eigen<const N: usize> {
    pub(super) values: [f64; N],
    pub(super) vectors: [[f64; N]; N],
}

impl<const N: usize> Eigen<N> {
    pub(super) fn of(mut a: [[f64; N]; N]) -> Self {
        let mut vectors = [[0.0; N]; N];
        for (k, v) in vectors.iter_mut().enumerate() {
            v[k] = 1.0;
        }
        for _ in 0..30 {
            let mut off = 0.0;
            let mut on = 0.0;
            for (i, row) in a.iter().enumerate() {
                on += row[i] * row[i];
                off += row[i + 1..].iter().map(|v| v * v).sum::<f64>();
            }
            if off <= 1e-32 * on {
                break;
            }
            for p in 0..N {
                for q in p + 1..N {
                    turn(&mut a, &mut vectors, p, q);
                }
            }
        }
        let mut values = [0.0; N];
        for (k, value) in values.iter_mut().enumerate() {
            *value = a[k][k];
        }
        Self { values, vectors }
    }

    /// The largest eigenvalue, 0 if none is above 0.
    pub(super) fn largest(&self) -> f64 {
        self.values.iter().fold(0.0, |m, v| m.max(*v))
    }

    /// The solution of least length of A x = b, as far as b lies in the span of the eigenvectors
    /// with values above `floor`.
    pub(super) fn solve(&self, b: &[f64; N], floor: f64) -> [f64; N] {
        let mut x = [0.0; N];
        for (value, v) in self.values.iter().zip(&self.vectors) {
            if *value > floor {
                let along = dot(v, b) / value;
                for (x, v) in x.iter_mut().zip(v) {
                    *x += along * v;
                }
            }
        }
        x
    }
}

/// One rotation, which makes element (p, q) vanish.
fn turn<const N: usize>(a: &mut [[f64; N]; N], v: &mut [[f64; N]; N], p: usize, q: usize) {
    let apq = a[p][q];
    if apq.abs() < 1e-300 {
        return;
    }
    let tau = (a[q][q] - a[p][p]) / (2.0 * apq);
    let t = tau.signum() / (tau.abs() + (1.0 + tau * tau).sqrt());
    let c = 1.0 / (1.0 + t * t).sqrt();
    let s = t * c;
    for row in a.iter_mut() {
        (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
    }
    for k in 0..N {
        let (x, y) = (a[p][k], a[q][k]);
        a[p][k] = c * x - s * y;
        a[q][k] = s * x + c * y;
        let (x, y) = (v[p][k], v[q][k]);
        v[p][k] = c * x - s * y;
        v[q][k] = s * x + c * y;
    }
}

/// Adds w g gᵀ.
pub(super) fn add_square<const N: usize>(a: &mut [[f64; N]; N], w: f64, g: &[f64; N]) {
    for (row, gi) in a.iter_mut().zip(g) {
        for (a, gj) in row.iter_mut().zip(g) {
            *a += w * gi * gj;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn vectors_are_orthonormal_and_put_the_matrix_together_again() {
        let mut a = [[0.0; 4]; 4];
        add_square(&mut a, 2.0, &[1.0, -0.5, 0.25, 3.0]);
        add_square(&mut a, 1e-7, &[0.0, 1.0, 1.0, -1.0]);
        add_square(&mut a, 0.5, &[0.3, 0.0, -2.0, 0.1]);
        let eigen = Eigen::of(a);
        let mut again = [[0.0; 4]; 4];
        for (i, (value, v)) in eigen.values.iter().zip(&eigen.vectors).enumerate() {
            add_square(&mut again, *value, v);
            for (j, w) in eigen.vectors.iter().enumerate() {
                let wanted = if i == j { 1.0 } else { 0.0 };
                assert!((dot(v, w) - wanted).abs() < 1e-14);
            }
        }
        let apart = a.iter().flatten().zip(again.iter().flatten()).map(|(a, b)| (a - b).abs());
        assert!(apart.fold(0.0, f64::max) < 1e-13);
        // Three squares: the fourth value is rounding.
        let least = eigen.values.iter().fold(f64::INFINITY, |m, v| m.min(v.abs()));
        assert!(least < 1e-14 && eigen.largest() > 20.0);
    }
}
