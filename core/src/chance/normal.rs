//! The standard normal distribution (Abramowitz and Stegun, 26.2).

use std::f64::consts::FRAC_1_SQRT_2;

/// 1/√(2π).
pub(super) const PEAK: f64 = 0.398_942_280_401_432_7;

/// Density φ(x).
#[must_use]
pub fn pdf(x: f64) -> f64 {
    PEAK * libm::exp(-0.5 * x * x)
}

/// Φ(x) = P(X ≤ x), accurate in the lower tail too.
#[must_use]
pub fn cdf(x: f64) -> f64 {
    0.5 * libm::erfc(-x * FRAC_1_SQRT_2)
}

/// P(X > x), accurate in the upper tail, where 1 − Φ(x) has no digits left.
#[must_use]
pub fn survival(x: f64) -> f64 {
    cdf(-x)
}

/// P(a ≤ X ≤ b); zero where b is not above a.
///
/// The difference is taken on the side where both terms are small.
#[must_use]
pub fn between(a: f64, b: f64) -> f64 {
    if b <= a {
        0.0
    } else if a > 0.0 {
        survival(a) - survival(b)
    } else if b < 0.0 {
        cdf(b) - cdf(a)
    } else {
        // On both sides of zero: a sum.
        0.5 * (libm::erf(b * FRAC_1_SQRT_2) - libm::erf(a * FRAC_1_SQRT_2))
    }
}

/// x with Φ(x) = p: −∞ at 0, ∞ at 1, NaN outside.
#[must_use]
pub fn quantile(p: f64) -> f64 {
    if p > 0.5 { upper(1.0 - p) } else { -upper(p) }
}

/// The k with P(|X| ≤ k) = level: 1.960 for 0.95.
#[must_use]
pub fn two_sided(level: f64) -> f64 {
    upper(0.5 * (1.0 - level))
}

/// x with P(X > x) = q, for q up to 0.5 at full precision.
///
/// Abramowitz and Stegun 26.2.23 (good to 4.5e-4), then Halley's steps on the exact tail: each
/// triples the number of digits.
#[must_use]
pub fn upper(q: f64) -> f64 {
    if !(0.0..=1.0).contains(&q) {
        return f64::NAN;
    }
    if q > 0.5 {
        return -upper(1.0 - q);
    }
    if q == 0.0 {
        return f64::INFINITY;
    }
    let t = (-2.0 * libm::log(q)).sqrt();
    let mut x = t
        - (2.515_517 + t * (0.802_853 + t * 0.010_328))
            / (1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308)));
    for _ in 0..3 {
        let e = (survival(x) - q) / pdf(x);
        x += e / (1.0 - 0.5 * x * e);
    }
    x
}

#[cfg(test)]
mod tests {
    use super::super::testing::{close, near};
    use super::*;

    /// Computed independently: erfc(−x/√2)/2 in 40 digits. The argument of erfc is rounded, which
    /// costs x² units in the last place far out.
    #[test]
    fn cumulative_in_both_tails() {
        for (x, p) in [
            (-20.0, 2.753_624_118_606_233_7e-89),
            (-8.0, 6.220_960_574_271_784e-16),
            (-5.0, 2.866_515_718_791_939e-7),
            (-1.0, 0.158_655_253_931_457_05),
            (-0.1, 0.460_172_162_722_971),
            (0.5, 0.691_462_461_274_013_1),
            (3.0, 0.998_650_101_968_369_9),
        ] {
            near(cdf(x), p, 1e-13);
            near(survival(-x), p, 1e-13);
        }
    }

    /// Computed independently: √2 erf⁻¹(1 − 2q) in 40 digits.
    #[test]
    fn quantiles_in_both_tails() {
        for (q, x) in [
            (0.4999, 2.506_628_300_880_351e-4),
            (0.3, 0.524_400_512_708_040_8),
            (0.025, 1.959_963_984_540_054_2),
            (1e-5, 4.264_890_793_922_825),
            (1e-10, 6.361_340_902_404_056),
            (1e-30, 11.464_024_688_443_377),
        ] {
            near(upper(q), x, 2e-12);
            near(quantile(q), -x, 2e-12);
        }
        near(quantile(0.975), 1.959_963_984_540_054_2, 1e-14);
        near(two_sided(0.95), 1.959_963_984_540_054_2, 1e-14);
        close(quantile(0.5), 0.0, 1e-16);
    }

    #[test]
    fn ends_and_arguments_out_of_domain() {
        assert!(quantile(0.0) == f64::NEG_INFINITY);
        assert!(quantile(1.0) == f64::INFINITY);
        for p in [-1e-9, 1.000_001, f64::NAN] {
            assert!(quantile(p).is_nan());
        }
        close(cdf(f64::NEG_INFINITY), 0.0, 0.0);
        close(cdf(f64::INFINITY), 1.0, 0.0);
        assert!(cdf(f64::NAN).is_nan());
    }

    #[test]
    fn a_difference_keeps_its_digits_in_the_tails() {
        // Computed independently: ½ (erfc(9/√2) − erfc(9.1/√2)) in 40 digits.
        near(between(9.0, 9.1), 6.769_292_568_102_964e-20, 1e-12);
        near(between(-9.1, -9.0), 6.769_292_568_102_964e-20, 1e-12);
        near(between(-1.0, 2.0), 0.818_594_614_120_364, 1e-15);
        near(between(-1e-9, 1e-9), 2e-9 * PEAK, 1e-15);
        close(between(1.0, 1.0), 0.0, 0.0);
        close(between(2.0, 1.0), 0.0, 0.0);
    }
}
