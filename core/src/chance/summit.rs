//! The two logarithms beneath the gamma and beta densities, without cancellation.
//!
//! C. Loader, Fast and accurate computation of binomial probabilities (2000): a density is its
//! peak by Stirling's formula, times the exponential of a deviance, both computed without
//! subtracting large numbers.

use std::f64::consts::PI;

/// ln √(2π).
const HALF_LN_TAU: f64 = 0.918_938_533_204_672_7;

/// The error of Stirling's formula: ln Γ(a+1) − (a + ½) ln a + a − ln √(2π), for a > 0.
///
/// From 10 on the asymptotic series (DLMF 5.11.1), whose first term left out is below 1e-15.
pub(super) fn stirling_error(a: f64) -> f64 {
    if a < 10.0 {
        return libm::lgamma(a + 1.0) - (a + 0.5) * libm::log(a) + a - HALF_LN_TAU;
    }
    let w = 1.0 / (a * a);
    (1.0 / 12.0
        - w * (1.0 / 360.0
            - w * (1.0 / 1260.0
                - w * (1.0 / 1680.0 - w * (1.0 / 1188.0 - w * (691.0 / 360_360.0))))))
        / a
}

/// The deviance a ln(a/m) + m − a, for a and m > 0: zero at m = a, positive elsewhere.
///
/// Near the peak by the series of 2 artanh v with v = (a − m)/(a + m).
pub(super) fn deviance(a: f64, m: f64) -> f64 {
    let v = (a - m) / (a + m);
    if v.abs() >= 0.1 {
        return a * libm::log(a / m) + m - a;
    }
    let square = v * v;
    let mut power = 2.0 * a * v * square;
    let mut sum = (a - m) * v;
    let mut odd = 3.0;
    loop {
        let more = sum + power / odd;
        if more.to_bits() == sum.to_bits() {
            return sum;
        }
        sum = more;
        power *= square;
        odd += 2.0;
    }
}

/// xᵃ e⁻ˣ / Γ(a+1), for a and x ≥ 0: the Poisson probability of a when x is expected.
pub(super) fn poisson(a: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return if a == 0.0 { 1.0 } else { 0.0 };
    }
    if a < 10.0 {
        return libm::exp(a * libm::log(x) - x - libm::lgamma(a + 1.0));
    }
    libm::exp(-stirling_error(a) - deviance(a, x)) / (2.0 * PI * a).sqrt()
}

/// Γ(a+b+1)/(Γ(a+1) Γ(b+1)) xᵃ yᵇ with x + y = 1, for a and b > 0: the binomial probability.
pub(super) fn binomial(a: f64, b: f64, x: f64, y: f64) -> f64 {
    if x <= 0.0 || y <= 0.0 {
        return 0.0;
    }
    let n = a + b;
    libm::exp(
        stirling_error(n)
            - stirling_error(a)
            - stirling_error(b)
            - deviance(a, n * x)
            - deviance(b, n * y),
    ) * (n / (2.0 * PI * a * b)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::super::testing::near;
    use super::*;

    /// Computed independently: ln Γ(a+1) − (a + ½) ln a + a − ln √(2π) in 40 digits; both sides
    /// of where the series begins.
    #[test]
    fn error_of_stirlings_formula() {
        for (a, error) in [
            (0.5, 0.153_426_409_720_027_35),
            (3.0, 0.027_677_925_684_998_34),
            (9.5, 0.008_768_700_134_139_386),
            (10.0, 0.008_330_563_433_362_87),
            (25.0, 0.003_333_155_636_728_093),
            (1e4, 8.333_333_330_555_556e-6),
        ] {
            near(stirling_error(a), error, 1e-12);
        }
    }

    /// Computed independently: a ln(a/m) + m − a in 40 digits.
    #[test]
    fn deviance_near_the_peak_and_far_from_it() {
        near(deviance(1000.0, 1001.0), 4.996_669_164_668_332e-4, 1e-14);
        near(deviance(1000.0, 1300.0), 37.635_735_532_508_95, 1e-14);
        near(deviance(0.5, 40.0), 37.308_986_682_663_06, 1e-15);
        assert_eq!(deviance(7.0, 7.0).to_bits(), 0.0_f64.to_bits());
    }
}
