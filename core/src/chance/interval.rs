//! The probability that a dimension lies within its limits (JCGM 106:2012, 7.2 to 7.4).

use super::{NOISE, normal};

/// P(lower ≤ X ≤ upper) for X normal with mean `value` and standard uncertainty `standard`, both
/// in the unit of the limits; a limit that is not there limits nothing.
///
/// Without uncertainty it is 1 or 0, the limits counting as inside. NaN for a negative
/// uncertainty or a NaN.
#[must_use]
pub fn in_interval(value: f64, standard: f64, lower: Option<f64>, upper: Option<f64>) -> f64 {
    let lower = lower.unwrap_or(f64::NEG_INFINITY);
    let upper = upper.unwrap_or(f64::INFINITY);
    if [value, standard, lower, upper].iter().any(|v| v.is_nan()) || standard < 0.0 {
        return f64::NAN;
    }
    if standard == 0.0 {
        let inside = value >= lower - NOISE && value <= upper + NOISE;
        return if inside { 1.0 } else { 0.0 };
    }
    normal::between((lower - value) / standard, (upper - value) / standard)
}

#[cfg(test)]
mod tests {
    use super::super::testing::close;
    use super::*;

    #[test]
    fn either_limit_may_be_absent() {
        let phi_one = 0.841_344_746_068_542_9; // Φ(1), computed independently: ½ erfc(−1/√2)
        close(in_interval(9.9, 0.1, None, Some(10.0)), phi_one, 1e-14);
        close(in_interval(10.1, 0.1, Some(10.0), None), phi_one, 1e-14);
        close(in_interval(10.1, 0.1, Some(10.0), Some(10.2)), 2.0 * phi_one - 1.0, 1e-13);
        close(in_interval(10.1, 0.1, None, None), 1.0, 0.0);
    }

    #[test]
    fn without_uncertainty_limits_are_inside() {
        let at = |value| in_interval(value, 0.0, Some(0.564), Some(0.942));
        close(at(0.378 + 0.564), 1.0, 0.0);
        close(at(0.564), 1.0, 0.0);
        close(at(0.563_999), 0.0, 0.0);
        close(at(0.942_001), 0.0, 0.0);
    }

    #[test]
    fn arguments_out_of_domain() {
        assert!(in_interval(1.0, -0.1, None, Some(2.0)).is_nan());
        assert!(in_interval(f64::NAN, 0.1, None, Some(2.0)).is_nan());
        assert!(in_interval(1.0, f64::NAN, None, None).is_nan());
        close(in_interval(1.0, 0.1, Some(2.0), Some(0.0)), 0.0, 0.0);
    }
}
