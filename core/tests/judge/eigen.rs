//! Eigenvalues and eigenvectors of a symmetric matrix by cyclic Jacobi rotations (Golub and Van Loan, Matrix
//! Computations, section 8.5): slow, and each to the last digits, also where the matrix is singular.

use nalgebra::{DMatrix, DVector};

pub(crate) struct Eigen {
    pub values: DVector<f64>,
    /// One column for each value.
    pub vectors: DMatrix<f64>,
}

pub(crate) fn symmetric(matrix: &DMatrix<f64>) -> Eigen {
    let n = matrix.nrows();
    let mut a = matrix.clone();
    let mut v = DMatrix::<f64>::identity(n, n);
    let scale = a.amax().max(f64::MIN_POSITIVE);
    for _ in 0..100 {
        let mut largest: f64 = 0.0;
        for p in 0..n {
            for q in p + 1..n {
                let apq = a[(p, q)];
                largest = largest.max(apq.abs());
                if apq.abs() <= 1e-300 {
                    continue;
                }
                let theta = (a[(q, q)] - a[(p, p)]) / (2.0 * apq);
                let t = 1.0_f64.copysign(theta) / (theta.abs() + libm::sqrt(theta * theta + 1.0));
                let c = 1.0 / libm::sqrt(t * t + 1.0);
                let s = t * c;
                for k in 0..n {
                    let (x, y) = (a[(k, p)], a[(k, q)]);
                    (a[(k, p)], a[(k, q)]) = (c * x - s * y, s * x + c * y);
                }
                for k in 0..n {
                    let (x, y) = (a[(p, k)], a[(q, k)]);
                    (a[(p, k)], a[(q, k)]) = (c * x - s * y, s * x + c * y);
                    let (x, y) = (v[(k, p)], v[(k, q)]);
                    (v[(k, p)], v[(k, q)]) = (c * x - s * y, s * x + c * y);
                }
                (a[(p, q)], a[(q, p)]) = (0.0, 0.0);
            }
        }
        if largest <= 1e-16 * scale {
            break;
        }
    }
    Eigen { values: a.diagonal(), vectors: v }
}
