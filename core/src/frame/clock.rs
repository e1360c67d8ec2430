//! The rotation of a frame: stopped by the feature that must come to lie where the drawing has it.

use crate::quantity::vector::{dot, minus, quarter_turned, rotated};

/// A rotation that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Clock {
    /// Angle θ, counter-clockwise, rad.
    pub(super) turn: f64,
    /// How θ moves with the coordinates of what stopped it, on the bench, rad/mm; with those of the
    /// origin it moves the other way by as much.
    pub(super) rate: [f64; 2],
}

/// The rotation about the origin that brings a feature seen at `measured` from there to `arm`, as
/// far as the unit vector `across` says; None if it is so near the origin that it stops nothing.
///
/// With R the rotation, J a quarter turn and e the direction across: eᵀ (R m − a) = 0, and so
/// dθ = −eᵀ R dm/λ with the lever λ = eᵀ J R m.
pub(super) fn clock(measured: [f64; 2], arm: [f64; 2], across: [f64; 2]) -> Option<Clock> {
    let least = 1e-6 * (1.0 + libm::hypot(arm[0], arm[1]));
    if dot(&across, &quarter_turned(measured)).abs() < least {
        return None;
    }
    // Newton's method, from an angle that is small already.
    let mut turn = 0.0;
    for _ in 0..8 {
        let m = rotated(measured, turn);
        let rate = dot(&across, &quarter_turned(m));
        if rate == 0.0 {
            return None;
        }
        turn -= dot(&across, &minus(m, arm)) / rate;
    }
    let lever = dot(&across, &quarter_turned(rotated(measured, turn)));
    // eᵀ R is e turned back.
    let e = rotated(across, -turn);
    Some(Clock { turn, rate: [-e[0] / lever, -e[1] / lever] })
}

/// A rotation that was fitted.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fitted {
    /// Angle θ, counter-clockwise, rad.
    pub(super) turn: f64,
    /// How θ moves with each point, rad/mm; with the origin it moves the other way by their sum.
    pub(super) rates: Vec<[f64; 2]>,
}

/// The rotation about the origin that brings points seen at `measured` from there as near as can be
/// to `arms`, by the least sum of squares; None if all are so near the origin that they stop nothing.
///
/// With S = Σ m × a and C = Σ m · a, the sum of |R m − a|² is least at θ = atan2(S, C) (the plane
/// case of fitting two sets of points, P. H. Schönemann, Psychometrika 31, 1966; from memory).
pub(super) fn fitted(measured: &[[f64; 2]], arms: &[[f64; 2]]) -> Option<Fitted> {
    let (mut s, mut c, mut squares) = (0.0, 0.0, 0.0);
    for (m, a) in measured.iter().zip(arms) {
        s += m[0] * a[1] - m[1] * a[0];
        c += dot(m, a);
        squares += dot(a, a);
    }
    let (length, most) = (libm::hypot(s, c), libm::sqrt(squares));
    if length <= 1e-6 * (1.0 + most) * most {
        return None;
    }
    let whole = length * length;
    let rate = |a: &[f64; 2]| [(c * a[1] - s * a[0]) / whole, (-c * a[0] - s * a[1]) / whole];
    Some(Fitted { turn: libm::atan2(s, c), rates: arms.iter().map(rate).collect() })
}
