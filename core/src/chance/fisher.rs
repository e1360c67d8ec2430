//! Fisher's F distribution, for real degrees of freedom, infinite allowed (Abramowitz and Stegun,
//! 26.6).

use super::beta::regularised;
use super::chi_square;

/// From here on a number of degrees of freedom is taken for infinite; the error is its inverse.
const ENDLESS: f64 = 1e13;

/// P(F ≤ x), with `above` degrees of freedom in the numerator and `below` in the denominator.
#[must_use]
pub fn cdf(x: f64, above: f64, below: f64) -> f64 {
    pair(x, above, below).0
}

/// P(F > x), accurate in the upper tail: the significance of a ratio of variances.
#[must_use]
pub fn survival(x: f64, above: f64, below: f64) -> f64 {
    pair(x, above, below).1
}

fn pair(x: f64, above: f64, below: f64) -> (f64, f64) {
    if x.is_nan() || above.is_nan() || below.is_nan() || above <= 0.0 || below <= 0.0 {
        return (f64::NAN, f64::NAN);
    }
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    if x.is_infinite() {
        return (1.0, 0.0);
    }
    match (above < ENDLESS, below < ENDLESS) {
        (true, true) => {
            // Scaled so that neither product overflows.
            let r = (above / below) * x;
            let (p, q) = (r / (1.0 + r), 1.0 / (1.0 + r));
            let (a, b) = (0.5 * above, 0.5 * below);
            (regularised(a, b, p, q), regularised(b, a, q, p))
        }
        (true, false) => {
            let chi = above * x;
            (chi_square::cdf(chi, above), chi_square::survival(chi, above))
        }
        (false, true) => {
            let chi = below / x;
            (chi_square::survival(chi, below), chi_square::cdf(chi, below))
        }
        (false, false) if x < 1.0 => (0.0, 1.0),
        (false, false) => (1.0, 0.0),
    }
}

#[cfg(test)]
mod tests {
    use super::super::student;
    use super::super::testing::near;
    use super::*;

    /// Computed independently: incomplete beta functions in 40 digits, by quadrature of the
    /// density in the last line.
    #[test]
    fn tails() {
        for (x, a, b, q) in [
            (21.0, 8.0, 180.0, 2.583_264_337_268_971_4e-22),
            (1.0, 3.0, 7.0, 0.447_079_613_468_483_56),
            (4.5, 2.0, 10.0, 0.040_386_107_340_619_26),
            (30.0, 1.0, 1.0, 0.114_964_117_951_033_15),
            (0.2, 12.5, 3.5, 0.985_716_156_003_538_3),
            (1.6, 60.0, 1e5, 0.002_186_595_987_065_521),
        ] {
            near(survival(x, a, b), q, 1e-11);
            near(cdf(x, a, b), 1.0 - q, 1e-12);
            // The other way up.
            near(cdf(1.0 / x, b, a), q, 1e-11);
        }
    }

    #[test]
    fn one_degree_above_is_the_square_of_t() {
        for (t, v) in [(0.3, 4.0), (2.5, 1.7), (3.0, 300.0)] {
            near(survival(t * t, 1.0, v), 2.0 * student::survival(t, v), 1e-12);
        }
    }

    #[test]
    fn infinite_degrees() {
        near(survival(1.6, 60.0, f64::INFINITY), chi_square::survival(96.0, 60.0), 0.0);
        near(survival(1.6, 60.0, 1e9), chi_square::survival(96.0, 60.0), 1e-6);
        near(survival(1.6, f64::INFINITY, 60.0), chi_square::cdf(37.5, 60.0), 0.0);
        near(cdf(1.5, f64::INFINITY, f64::INFINITY), 1.0, 0.0);
        assert!(survival(1.0, 0.0, 3.0).is_nan());
        assert!(survival(f64::NAN, 2.0, 3.0).is_nan());
        near(survival(-1.0, 2.0, 3.0), 1.0, 0.0);
    }
}
