//! Vectors in the plane, as bare figures.

/// A quarter turn counter-clockwise.
pub(super) const fn turned([x, y]: [f64; 2]) -> [f64; 2] {
    [-y, x]
}

pub(super) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

pub(super) fn less(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

/// Turned counter-clockwise by an angle in radians.
pub(super) fn rotated([x, y]: [f64; 2], by: f64) -> [f64; 2] {
    let (c, s) = (libm::cos(by), libm::sin(by));
    [c * x - s * y, s * x + c * y]
}
