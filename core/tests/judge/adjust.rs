//! Dense weighted least squares over all observations at once, by singular values.

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

/// Singular values below this part of the largest count as zero: coefficients are of the size of 1,
/// and two directions that differ by less than an hour of arc's millionth are one.
const RANK: f64 = 1e-9;

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
    let svd = a.svd(true, true);
    let (u, v) = (svd.u.expect("asked for"), svd.v_t.expect("asked for").transpose());
    let largest = svd.singular_values.max();
    let mut step = DVector::<f64>::zeros(n);
    let mut covariance = DMatrix::<f64>::zeros(n, n);
    let (mut free, mut rank) = (Vec::new(), 0);
    for j in 0..n {
        let s = svd.singular_values[j];
        let direction = v.column(j);
        if s <= RANK * largest {
            free.push(direction.into_owned());
            continue;
        }
        rank += 1;
        step += direction * (u.column(j).dot(&b) / s);
        covariance += (direction * direction.transpose()) * (unit * unit / (s * s));
    }
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
