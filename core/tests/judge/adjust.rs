//! Dense weighted least squares over all observations at once, by the eigenvalues of its normal equations.

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

/// Eigenvalues of the normal equations below this part of the largest count as zero. Two directions that
/// differ by an edge's squareness alone, some minutes of arc, are one direction: the coordinate that they
/// would give is uncertain by many millimetres.
const RANK: f64 = 1e-5;

pub(crate) fn adjust(net: &Network) -> Adjusted {
    let (m, n) = (net.observations.len(), net.start.len());
    // All weights relative to a micrometre or so, which keeps the columns alike in size.
    let unit = net.observations.iter().map(|o| o.variance).fold(f64::INFINITY, f64::min);
    let unit = if unit.is_finite() { libm::sqrt(unit) } else { 1.0 };
    let mut a = DMatrix::<f64>::zeros(m.max(n), n);
    let mut b = DVector::<f64>::zeros(m.max(n));
    for (row, o) in net.observations.iter().enumerate() {
        let weight = unit / libm::sqrt(o.variance);
        for (j, c) in &o.coefficients {
            a[(row, *j)] += c * weight;
        }
        b[row] = (o.value - evaluate(&o.coefficients, &net.start)) * weight;
    }
    let normal = a.tr_mul(&a);
    let eigen = super::eigen::symmetric(&normal);
    let largest = eigen.values.amax();
    let mut inverse = DMatrix::<f64>::zeros(n, n);
    let (mut free, mut rank) = (Vec::new(), 0);
    for j in 0..n {
        let direction = eigen.vectors.column(j);
        if eigen.values[j] <= RANK * largest {
            free.push(direction.into_owned());
            continue;
        }
        rank += 1;
        inverse += (direction * direction.transpose()) / eigen.values[j];
    }
    // The pseudo-inverse of the normal equations, then twice what it left over.
    let mut step = DVector::<f64>::zeros(n);
    for _ in 0..3 {
        let left = &b - &a * &step;
        step += &inverse * a.tr_mul(&left);
    }
    let mut slope = a.tr_mul(&(&b - &a * &step));
    for direction in &free {
        slope -= direction * direction.dot(&slope);
    }
    let slope = slope.amax();
    assert!(slope < 1e-9 * (1.0 + b.amax()), "the least squares are not least: {slope:e}");
    let covariance = inverse * (unit * unit);
    let unknowns: Vec<f64> = net.start.iter().zip(step.iter()).map(|(x, d)| x + d).collect();
    let chi_square = net
        .observations
        .iter()
        .map(|o| {
            let v = o.value - evaluate(&o.coefficients, &unknowns);
            v * v / o.variance
        })
        .sum();
    let undetermined =
        if free.is_empty() { DMatrix::zeros(n, 0) } else { DMatrix::from_columns(&free) };
    Adjusted { unknowns, undetermined, covariance, chi_square, degrees: m - rank }
}
