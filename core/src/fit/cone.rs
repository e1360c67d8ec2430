//! The second-order cone of three dimensions, v₀ >= |(v₁, v₂)|.
//!
//! The formulas are those of L. Vandenberghe, *The CVXOPT linear and quadratic cone program
//! solvers* (2010), sections 2 and 4: Jordan product, Nesterov-Todd scaling, step to the boundary.

use crate::quantity::vector::dot;

/// A vector of the cone's space.
pub(super) type V3 = [f64; 3];

/// v₀ - |(v₁, v₂)|: above 0 inside.
pub(super) fn margin(v: &V3) -> f64 {
    v[0] - (v[1] * v[1] + v[2] * v[2]).sqrt()
}

/// v₀² - |(v₁, v₂)|².
pub(super) fn det(v: &V3) -> f64 {
    v[0] * v[0] - v[1] * v[1] - v[2] * v[2]
}

/// The Jordan product a ∘ b.
pub(super) fn product(a: &V3, b: &V3) -> V3 {
    [dot(a, b), a[0] * b[1] + b[0] * a[1], a[0] * b[2] + b[0] * a[2]]
}

/// The x with a ∘ x = b; `det` is that of a.
pub(super) fn quotient(a: &V3, det: f64, b: &V3) -> V3 {
    let inverse = 1.0 / (det * a[0]);
    let x = (a[0] * b[0] - a[1] * b[1] - a[2] * b[2]) * (inverse * a[0]);
    let each = inverse * det;
    [x, (b[1] - x * a[1]) * each, (b[2] - x * a[2]) * each]
}

/// How far one may go from `v` along `d` before the cone ends; infinite if it never does. `c` is
/// the determinant of v.
pub(super) fn reach(v: &V3, c: f64, d: &V3) -> f64 {
    let a = d[0] * d[0] - d[1] * d[1] - d[2] * d[2];
    let b = v[0] * d[0] - v[1] * d[1] - v[2] * d[2];
    let root = (b * b - a * c).max(0.0).sqrt();
    if a < 0.0 && b > 0.0 {
        (b + root) / -a
    } else if b < 0.0 {
        // Also where d points straight back and rounding would have the root imaginary.
        c / (root - b)
    } else if a < 0.0 {
        c / root
    } else {
        f64::INFINITY
    }
}

/// The scaling W of Nesterov and Todd, symmetric, with W z = W⁻¹ s.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scaling {
    w: V3,
    eta: f64,
    inverse: f64,
    /// Determinants of slack and multiplier.
    pub(super) dets: [f64; 2],
    /// Determinant of W z.
    pub(super) det: f64,
}

impl Scaling {
    /// For a slack and a multiplier inside the cone; `None` once rounding has put one outside.
    pub(super) fn of(slack: &V3, dual: &V3) -> Option<Self> {
        let (ds, dz) = (det(slack), det(dual));
        if ds.is_nan() || dz.is_nan() || ds <= 0.0 || dz <= 0.0 {
            return None;
        }
        let (is, iz) = (1.0 / ds.sqrt(), 1.0 / dz.sqrt());
        let half = 0.5 / (0.5 * (1.0 + dot(slack, dual) * is * iz)).sqrt();
        let (a, b) = (half * is, half * iz);
        let w =
            [a * slack[0] + b * dual[0], a * slack[1] - b * dual[1], a * slack[2] - b * dual[2]];
        let eta = (ds * is * iz).sqrt();
        Some(Self { w, eta, inverse: 1.0 / eta, dets: [ds, dz], det: ds * dz * is * iz })
    }

    /// W x.
    pub(super) fn times(&self, x: &V3) -> V3 {
        let w = &self.w;
        let along = w[1] * x[1] + w[2] * x[2];
        let k = x[0] + along / (1.0 + w[0]);
        [
            self.eta * (w[0] * x[0] + along),
            self.eta * (x[1] + k * w[1]),
            self.eta * (x[2] + k * w[2]),
        ]
    }

    /// W⁻¹ x.
    pub(super) fn undo(&self, x: &V3) -> V3 {
        let w = &self.w;
        let along = w[1] * x[1] + w[2] * x[2];
        let k = along / (1.0 + w[0]) - x[0];
        [
            (w[0] * x[0] - along) * self.inverse,
            (x[1] + k * w[1]) * self.inverse,
            (x[2] + k * w[2]) * self.inverse,
        ]
    }

    /// The matrix W⁻².
    pub(super) fn inverse_square(&self) -> [V3; 3] {
        let v = [self.w[0], -self.w[1], -self.w[2]];
        let k = self.inverse * self.inverse;
        let at = |i: usize, j: usize| 2.0 * k * v[i] * v[j];
        [
            [at(0, 0) - k, at(0, 1), at(0, 2)],
            [at(0, 1), at(1, 1) + k, at(1, 2)],
            [at(0, 2), at(1, 2), at(2, 2) + k],
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const S: V3 = [2.0, 1.0, -0.5];
    const Z: V3 = [1.0, -0.3, 0.9];

    fn near(a: &V3, b: &V3) {
        assert!(a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-13), "{a:?} {b:?}");
    }

    #[test]
    fn scaling_takes_slack_and_multiplier_to_the_same_point() {
        let w = Scaling::of(&S, &Z).unwrap();
        near(&w.times(&Z), &w.undo(&S));
        near(&w.undo(&w.times(&S)), &S);
        let h = w.inverse_square();
        near(&h.map(|row| dot(&row, &S)), &Z);
        assert!((w.det - det(&w.times(&Z))).abs() < 1e-13);
    }

    #[test]
    fn quotient_undoes_the_product() {
        near(&quotient(&S, det(&S), &product(&S, &Z)), &Z);
    }

    #[test]
    fn reach_ends_on_the_boundary() {
        for d in [[-1.0, 0.2, 0.1], [0.1, 3.0, 1.0], [1.0, -2.0, 0.0], [-1.0, -3.0, 0.0]] {
            let far = reach(&S, det(&S), &d);
            let end = [S[0] + far * d[0], S[1] + far * d[1], S[2] + far * d[2]];
            assert!(far > 0.0 && margin(&end).abs() < 1e-13, "{d:?} {far} {end:?}");
        }
        let back = reach(&[0.1, 0.0, 0.0], 0.1 * 0.1, &[-0.3, 0.0, 0.0]);
        assert!((back - 1.0 / 3.0).abs() < 1e-7, "{back}");
        assert!(reach(&S, det(&S), &[1.0, 0.5, 0.2]).is_infinite());
        assert!((reach(&S, det(&S), &[-1.0, -0.5, 0.25]) - 2.0).abs() < 1e-7);
    }
}
