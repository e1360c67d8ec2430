//! The χ² distribution for any real number of degrees of freedom k > 0 (Abramowitz and Stegun,
//! 26.4).

use super::slope::descend;
use super::summit::poisson;
use super::{gamma, normal};

/// P(X ≤ x).
#[must_use]
pub fn cdf(x: f64, degrees: f64) -> f64 {
    gamma::lower(0.5 * degrees, 0.5 * positive(x))
}

/// P(X > x), accurate in the upper tail.
#[must_use]
pub fn survival(x: f64, degrees: f64) -> f64 {
    gamma::upper(0.5 * degrees, 0.5 * positive(x))
}

/// x with P(X ≤ x) = p; 0 at 0, ∞ at 1.
#[must_use]
pub fn quantile(p: f64, degrees: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) || degrees.is_nan() || degrees <= 0.0 || degrees.is_infinite() {
        return f64::NAN;
    }
    if p == 0.0 {
        return 0.0;
    }
    if p > 0.5 {
        return upper(1.0 - p, degrees);
    }
    if cdf(f64::MIN_POSITIVE, degrees) > p {
        return 0.0;
    }
    invert(normal::quantile(p), degrees, p, true)
}

/// x with P(X > x) = q; ∞ at 0, 0 at 1.
#[must_use]
pub fn upper(q: f64, degrees: f64) -> f64 {
    if !(0.0..=1.0).contains(&q) || degrees.is_nan() || degrees <= 0.0 || degrees.is_infinite() {
        return f64::NAN;
    }
    if q == 0.0 {
        return f64::INFINITY;
    }
    if q > 0.5 {
        return quantile(1.0 - q, degrees);
    }
    invert(normal::upper(q), degrees, q, false)
}

/// In s = ln x both tails are log-concave. Starts from Wilson and Hilferty's cube (Abramowitz
/// and Stegun 26.4.17), or where that is of no use from the first term of the series.
fn invert(z: f64, degrees: f64, area: f64, below: bool) -> f64 {
    let a = 0.5 * degrees;
    let h = 2.0 / (9.0 * degrees);
    let cube = 1.0 - h + z * h.sqrt();
    let start = if cube > 0.2 {
        libm::log(degrees * cube * cube * cube)
    } else {
        libm::log(2.0) + (libm::log(area) + libm::lgamma(a + 1.0)) / a
    };
    let s = descend(start, libm::log(area), |s| {
        let half = 0.5 * libm::exp(s);
        let is = if below { gamma::lower(a, half) } else { gamma::upper(a, half) };
        // x times the density of x.
        let rate = a * poisson(a, half);
        (libm::log(is), if below { rate } else { -rate } / is)
    });
    libm::exp(s)
}

/// Below zero there is nothing.
fn positive(x: f64) -> f64 {
    if x < 0.0 { 0.0 } else { x }
}

#[cfg(test)]
mod tests {
    use super::super::testing::near;
    use super::*;

    /// Computed independently: the root of ln P = ln p (or ln Q) in s = ln x, in 40 digits.
    #[test]
    fn quantiles() {
        for (p, k, x) in [
            (0.95, 1.0, 3.841_458_820_694_126),
            (0.95, 2.0, 5.991_464_547_107_982),
            (0.95, 3.0, 7.814_727_903_251_18),
            (0.95, 10.0, 18.307_038_053_275_147),
            (0.95, 50.0, 67.504_806_549_541_2),
            (0.01, 0.3, 5.848_367_240_403_193e-14),
            (1e-6, 4.0, 0.002_829_761_322_958_682),
            (0.5, 5.0, 4.351_460_191_095_527),
            (0.025, 24.0, 12.401_150_217_444_433),
            (0.975, 24.0, 39.364_077_026_603_91),
            (0.999, 7.5, 25.230_054_920_678_605),
        ] {
            near(quantile(p, k), x, 5e-12);
        }
    }

    #[test]
    fn quantiles_undo_tails() {
        for k in [0.1, 1.0, 2.0, 7.3, 400.0, 3e4, 1e6] {
            for q in [1e-14, 1e-3, 0.2, 0.5, 0.8, 0.999_9] {
                near(survival(upper(q, k), k), q, 1e-11);
                near(cdf(quantile(q, k), k), q, 1e-11);
            }
        }
    }

    #[test]
    fn ends_and_arguments_out_of_domain() {
        assert_eq!(cdf(-1.0, 3.0).to_bits(), 0.0_f64.to_bits());
        assert_eq!(quantile(0.0, 3.0).to_bits(), 0.0_f64.to_bits());
        assert!(quantile(1.0, 3.0) == f64::INFINITY);
        let below_doubles = quantile(1e-10, 0.001);
        assert_eq!(below_doubles.to_bits(), 0.0_f64.to_bits());
        for v in [cdf(1.0, 0.0), cdf(f64::NAN, 1.0), quantile(0.5, -1.0), quantile(2.0, 1.0)] {
            assert!(v.is_nan());
        }
    }
}
