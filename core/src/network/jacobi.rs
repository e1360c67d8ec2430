//! Singular values and vectors of small matrices by one-sided Jacobi rotations.
//!
//! Slower than other ways and more exact (Golub and Van Loan, 8.6.3): small singular values come
//! out with small relative errors, and it needs nothing but + − × ÷ √, so that the result is the
//! same on every machine.

use super::block::product;

/// More sweeps than any matrix of this size needs.
const SWEEPS: usize = 60;

/// A V = U Σ.
#[derive(Debug)]
pub(super) struct Singular {
    /// The columns of U Σ.
    pub(super) left: Vec<Vec<f64>>,
    /// The columns of V.
    pub(super) right: Vec<Vec<f64>>,
    /// The singular values, in the order of the columns.
    pub(super) values: Vec<f64>,
}

fn rotate(cos: f64, sin: f64, columns: &mut [Vec<f64>], p: usize, q: usize) {
    let (low, high) = columns.split_at_mut(q);
    for (a, b) in low[p].iter_mut().zip(&mut high[0]) {
        (*a, *b) = (cos * *a - sin * *b, sin * *a + cos * *b);
    }
}

/// Decomposes the matrix with these columns.
pub(super) fn singular(columns: Vec<Vec<f64>>) -> Singular {
    let n = columns.len();
    let mut left = columns;
    let mut right: Vec<Vec<f64>> = (0..n)
        .map(|i| {
            let mut e = vec![0.0; n];
            e[i] = 1.0;
            e
        })
        .collect();
    for _ in 0..SWEEPS {
        let mut turned = false;
        for q in 1..n {
            for p in 0..q {
                let (a, b) = (product(&left[p], &left[p]), product(&left[q], &left[q]));
                let g = product(&left[p], &left[q]);
                if g.abs() <= 1e-15 * (a * b).sqrt() {
                    continue;
                }
                turned = true;
                let zeta = (b - a) / (2.0 * g);
                let t = zeta.signum() / (zeta.abs() + (1.0 + zeta * zeta).sqrt());
                let cos = 1.0 / (1.0 + t * t).sqrt();
                rotate(cos, cos * t, &mut left, p, q);
                rotate(cos, cos * t, &mut right, p, q);
            }
        }
        if !turned {
            break;
        }
    }
    let values = left.iter().map(|c| product(c, c).sqrt()).collect();
    Singular { left, right, values }
}
