//! The regularised incomplete beta function I_x(a, b) (DLMF 8.17.2).

use super::gamma::nonzero;
use super::summit::binomial;

/// I_x(a, b), for a, b > 0 and x from 0 to 1; `y` is 1 − x, given by the caller because a small
/// one cannot be had from x.
///
/// Costs about √max(a, b) steps.
#[must_use]
pub fn regularised(a: f64, b: f64, x: f64, y: f64) -> f64 {
    if [a, b, x, y].iter().any(|v| v.is_nan()) || a <= 0.0 || b <= 0.0 || x < 0.0 || y < 0.0 {
        return f64::NAN;
    }
    if x == 0.0 {
        return 0.0;
    }
    if y == 0.0 {
        return 1.0;
    }
    if x < (a + 1.0) / (a + b + 2.0) { fraction(a, b, x, y) } else { 1.0 - fraction(b, a, y, x) }
}

/// The continued fraction DLMF 8.17.22, by Lentz's method.
fn fraction(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let mut c = 1.0;
    let mut d = 1.0 / nonzero(1.0 - (a + b) * x / (a + 1.0));
    let mut h = d;
    let mut m = 0.0;
    for _ in 0..10_000_000 {
        m += 1.0;
        let am = a + 2.0 * m;
        let even = m * (b - m) * x / ((am - 1.0) * am);
        d = 1.0 / nonzero(1.0 + even * d);
        c = nonzero(1.0 + even / c);
        h *= d * c;
        let odd = -(a + m) * (a + b + m) * x / (am * (am + 1.0));
        d = 1.0 / nonzero(1.0 + odd * d);
        c = nonzero(1.0 + odd / c);
        let delta = d * c;
        h *= delta;
        if (delta - 1.0).abs() < 2e-16 {
            break;
        }
    }
    // xᵃ yᵇ / (a B(a, b)), from the binomial probability.
    binomial(a, b, x, y) * (b / (a + b)) * h
}

#[cfg(test)]
mod tests {
    use super::super::testing::near;
    use super::*;

    /// Computed independently: the hypergeometric function, or quadrature, in 40 digits.
    #[test]
    fn for_few_and_many() {
        for (a, b, x, is) in [
            (0.5, 0.5, 0.3, 0.369_010_119_565_545_4),
            (2.0, 3.0, 0.01, 5.920_3e-4),
            (2.0, 3.0, 0.99, 0.999_996_03),
            (50.0, 60.0, 0.45, 0.464_235_291_430_603_54),
            (1000.0, 0.5, 0.998, 0.045_419_228_506_963_505),
            (0.5, 1000.0, 0.002, 0.954_580_771_493_036_5),
            (1e5, 2e5, 0.334, 0.780_761_813_832_126_5),
            (8.0, 0.5, 1e-6, 1.963_807_025_147_073_5e-49),
        ] {
            near(regularised(a, b, x, 1.0 - x), is, 2e-12);
        }
    }

    #[test]
    fn ends_and_arguments_out_of_domain() {
        assert_eq!(regularised(1.0, 2.0, 0.0, 1.0).to_bits(), 0.0_f64.to_bits());
        near(regularised(1.0, 2.0, 1.0, 0.0), 1.0, 0.0);
        assert!(regularised(0.0, 2.0, 0.5, 0.5).is_nan());
        assert!(regularised(1.0, f64::NAN, 0.5, 0.5).is_nan());
        assert!(regularised(1.0, 2.0, -0.1, 1.1).is_nan());
    }
}
