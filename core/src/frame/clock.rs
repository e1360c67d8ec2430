//! The rotation of a frame: stopped by the feature that must come to lie where the drawing has it.

use super::vector::{dot, less, rotated, turned};

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
    if dot(across, turned(measured)).abs() < least {
        return None;
    }
    // Newton's method, from an angle that is small already.
    let mut turn = 0.0;
    for _ in 0..8 {
        let m = rotated(measured, turn);
        let rate = dot(across, turned(m));
        if rate == 0.0 {
            return None;
        }
        turn -= dot(across, less(m, arm)) / rate;
    }
    let lever = dot(across, turned(rotated(measured, turn)));
    // eᵀ R is e turned back.
    let e = rotated(across, -turn);
    Some(Clock { turn, rate: [-e[0] / lever, -e[1] / lever] })
}
