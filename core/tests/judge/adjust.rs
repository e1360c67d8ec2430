//! Dense weighted least squares over all observations at once, in the space that the eigenvalues of its
//! normal equations leave determined.

use super::observations::{Network, evaluate};
use nalgebra::{DMatrix, DVector};

/// The adjusted unknowns, their covariance, and the directions that no observation determines.
#[derive(Clone, Debug)]
pub(crate) struct Adjusted {
    pub unknowns: Vec<f64>,
    /// Columns that span everything that may be added to the unknowns and changes no observation.
    pub undetermined: DMatrix<f64>,
    pub covariance: DMatrix<f64>,
    /// Sum of the squared residuals over their variances.
    pub chi_square: f64,
    pub degrees: usize,
}

/// Eigenvalues of the normal equations of equal weights below this part of the largest count as zero. Two directions that
/// differ by an edge's squareness alone, some minutes of arc, are one direction: the coordinate that they
/// would give is uncertain by many millimetres.
const RANK: f64 = 1e-5;

pub(crate) fn adjust(net: &Network) -> Adjusted {
    let (m, n) = (net.observations.len(), net.start.len());
    let mut a = DMatrix::<f64>::zeros(m, n);
    let mut b = DVector::<f64>::zeros(m);
    let mut weighted = DMatrix::<f64>::zeros(m, n);
    for (row, o) in net.observations.iter().enumerate() {
        for (j, c) in &o.coefficients {
            a[(row, *j)] += c;
            weighted[(row, *j)] += c / o.variance;
        }
        b[row] = o.value - evaluate(&o.coefficients, &net.start);
    }
    // What is determined hangs on the directions alone, whatever their weights.
    let eigen = super::eigen::symmetric(&a.tr_mul(&a));
    let largest = eigen.values.amax();
    let (mut fixed, mut free) = (Vec::new(), Vec::new());
    for j in 0..n {
        let direction = eigen.vectors.column(j).into_owned();
        if eigen.values[j] > RANK * largest { fixed.push(direction) } else { free.push(direction) }
    }
    let columns = |list: &[DVector<f64>]| {
        if list.is_empty() { DMatrix::zeros(n, 0) } else { DMatrix::from_columns(list) }
    };
    let basis = columns(&fixed);
    let normal = basis.tr_mul(&a.tr_mul(&weighted)) * &basis;
    // In units of its diagonal, so that exact facts beside touches do no harm.
    let scale = DMatrix::from_diagonal(&normal.diagonal().map(|d| 1.0 / libm::sqrt(d)));
    let inverse = (&scale * &normal * &scale).cholesky().expect("determined").inverse();
    let inverse = &basis * (&scale * inverse * &scale) * basis.transpose();
    let mut step = DVector::<f64>::zeros(n);
    for _ in 0..5 {
        let left = &b - &a * &step;
        step += &inverse * weighted.tr_mul(&left);
    }
    let left = &b - &a * &step;
    let slope = &inverse * weighted.tr_mul(&left);
    assert!(slope.amax() < 1e-10, "the least squares are not least: {:e}", slope.amax());
    let unknowns: Vec<f64> = net.start.iter().zip(step.iter()).map(|(x, d)| x + d).collect();
    let chi_square = net
        .observations
        .iter()
        .map(|o| {
            let v = o.value - evaluate(&o.coefficients, &unknowns);
            v * v / o.variance
        })
        .sum();
    let degrees = m - fixed.len();
    Adjusted { unknowns, undetermined: columns(&free), covariance: inverse, chi_square, degrees }
}
