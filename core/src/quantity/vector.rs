//! Vectors as bare figures, for kernels that work in the plane or with a few unknowns.
//!
//! A vector is an array: `[x, y]` in the plane. Lengths and angles leave a kernel as their own
//! types.

/// The scalar product.
pub(crate) fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The vector from `b` to `a`.
pub(crate) const fn minus(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

/// Turned by a quarter turn, counter-clockwise.
pub(crate) const fn quarter_turned([x, y]: [f64; 2]) -> [f64; 2] {
    [-y, x]
}

/// The z component of the vector product: above 0 where `b` lies counter-clockwise of `a`.
pub(crate) const fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// Its length. Squares of lengths in mm neither overflow nor matter where they vanish.
pub(crate) fn norm([x, y]: [f64; 2]) -> f64 {
    (x * x + y * y).sqrt()
}

/// Turned by an angle in radians, counter-clockwise positive.
pub(crate) fn rotated([x, y]: [f64; 2], turn: f64) -> [f64; 2] {
    let (s, c) = (libm::sin(turn), libm::cos(turn));
    [c * x - s * y, s * x + c * y]
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn counter_clockwise_is_positive() {
        let (x, y) = ([2.0, 0.0], [0.0, 3.0]);
        assert!((cross(x, y) - 6.0).abs() < 1e-15);
        let turned = minus(rotated(x, FRAC_PI_2), [0.0, 2.0]);
        assert!(norm(turned) < 1e-15);
        for (is, should) in quarter_turned([2.0, 3.0]).into_iter().zip([-3.0, 2.0]) {
            assert!(f64::abs(is - should) < 1e-15);
        }
    }

    #[test]
    fn products_and_lengths() {
        assert!((dot(&[1.0, 2.0, 3.0], &[4.0, -5.0, 6.0]) - 12.0).abs() < 1e-15);
        assert!((norm([3.0, -4.0]) - 5.0).abs() < 1e-15);
        assert!((norm(minus([1.0, 1.0], [1.0, 3.0])) - 2.0).abs() < 1e-15);
    }
}
