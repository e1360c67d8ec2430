//! The least-squares circle through points: least sum of squared distances from the circle.

use super::document::Pair;
use nalgebra::{DMatrix, DVector};

/// Centre and radius, by Gauss-Newton from the circle of least algebraic distance.
/// `None` where they are nearly on one line.
pub(crate) fn fit(points: &[Pair]) -> Option<(Pair, f64)> {
    let n = points.len();
    let middle =
        points.iter().fold([0.0; 2], |s, p| [s[0] + p[0] / n as f64, s[1] + p[1] / n as f64]);
    let local: Vec<Pair> = points.iter().map(|p| [p[0] - middle[0], p[1] - middle[1]]).collect();
    let a = DMatrix::from_fn(n, 3, |i, j| if j < 2 { 2.0 * local[i][j] } else { 1.0 });
    let b = DVector::from_fn(n, |i, _| local[i][0] * local[i][0] + local[i][1] * local[i][1]);
    let s = least_squares(&a, &b)?;
    let mut c = [s[0], s[1]];
    let mut r = libm::sqrt((s[2] + c[0] * c[0] + c[1] * c[1]).max(0.0));
    for _ in 0..200 {
        let mut jacobian = DMatrix::zeros(n, 3);
        let mut gap = DVector::zeros(n);
        for (i, p) in local.iter().enumerate() {
            let (dx, dy) = (p[0] - c[0], p[1] - c[1]);
            let d = libm::hypot(dx, dy);
            (jacobian[(i, 0)], jacobian[(i, 1)], jacobian[(i, 2)]) = (-dx / d, -dy / d, -1.0);
            gap[i] = d - r;
        }
        let step = least_squares(&jacobian, &(-gap))?;
        c = [c[0] + step[0], c[1] + step[1]];
        r += step[2];
        if step.amax() < 1e-12 {
            return Some(([c[0] + middle[0], c[1] + middle[1]], r));
        }
    }
    None
}

fn least_squares(a: &DMatrix<f64>, b: &DVector<f64>) -> Option<DVector<f64>> {
    a.tr_mul(a).lu().solve(&a.tr_mul(b)).filter(|x| x.iter().all(|v| v.abs() < 1e6))
}
