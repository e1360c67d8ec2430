//! Student's t distribution, for any real number of degrees of freedom ν > 0, infinite allowed
//! (Abramowitz and Stegun, 26.7; JCGM 100, G.3).

use super::beta::regularised;
use super::slope::descend;
use super::{normal, panels};
use std::f64::consts::PI;

/// Above this the density is integrated: a continued fraction would take √ν steps.
const MANY: f64 = 1e4;
/// Above this t²/ν is as good as 1 + t²/ν, and may be more than a double holds.
const ENORMOUS: f64 = 1e30;

/// Density.
#[must_use]
pub fn pdf(t: f64, degrees: f64) -> f64 {
    let v = degrees;
    if v.is_nan() || v <= 0.0 {
        return f64::NAN;
    }
    if v.is_infinite() {
        return normal::pdf(t);
    }
    // Γ((ν+1)/2) / (√(νπ) Γ(ν/2)); for large ν by its series (DLMF 5.11.8).
    let peak = if v > MANY {
        normal::PEAK * libm::exp(-0.25 / v * (1.0 - 1.0 / (6.0 * v * v)))
    } else {
        libm::exp(libm::lgamma(0.5 * v + 0.5) - libm::lgamma(0.5 * v)) / (v * PI).sqrt()
    };
    if t.is_infinite() {
        return 0.0;
    }
    let square = (t / v) * t;
    let log = if square > ENORMOUS {
        2.0 * libm::log(t.abs()) - libm::log(v)
    } else {
        libm::log1p(square)
    };
    peak * libm::exp(-0.5 * (v + 1.0) * log)
}

/// P(T ≤ t).
#[must_use]
pub fn cdf(t: f64, degrees: f64) -> f64 {
    survival(-t, degrees)
}

/// P(T > t), accurate in the upper tail.
#[must_use]
pub fn survival(t: f64, degrees: f64) -> f64 {
    if t.is_nan() || degrees.is_nan() || degrees <= 0.0 {
        f64::NAN
    } else if t < 0.0 {
        1.0 - tail(-t, degrees)
    } else {
        tail(t, degrees)
    }
}

/// x with P(T ≤ x) = p; −∞ at 0, ∞ at 1. With no degrees of freedom nothing is known, and
/// every quantile but the median is infinite.
#[must_use]
pub fn quantile(p: f64, degrees: f64) -> f64 {
    if p > 0.5 { upper(1.0 - p, degrees) } else { -upper(p, degrees) }
}

/// The t with P(|T| ≤ t) = level: t_p(ν) of JCGM 100, table G.2.
#[must_use]
pub fn two_sided(level: f64, degrees: f64) -> f64 {
    upper(0.5 * (1.0 - level), degrees)
}

/// t with P(T > t) = q.
#[must_use]
pub fn upper(q: f64, degrees: f64) -> f64 {
    let v = degrees;
    if !(0.0..=1.0).contains(&q) || v.is_nan() || v < 0.0 {
        return f64::NAN;
    }
    if v.is_infinite() {
        return normal::upper(q);
    }
    if q > 0.5 {
        return -upper(1.0 - q, v);
    }
    let middle = 0.5 - q;
    if middle == 0.0 {
        return 0.0;
    }
    if q == 0.0 || v == 0.0 {
        return f64::INFINITY;
    }
    // In s = ln t the middle and the tail are both log-concave.
    if q > 0.25 {
        let start = libm::log(middle / pdf(0.0, v));
        let s = descend(start, libm::log(middle), |s| {
            let t = libm::exp(s);
            let area = half(t, v);
            (libm::log(area), t * pdf(t, v) / area)
        });
        return libm::exp(s);
    }
    if tail(f64::MAX, v) > q {
        return f64::INFINITY;
    }
    let start = libm::log(normal::upper(q));
    let s = descend(start, libm::log(q), |s| {
        let t = libm::exp(s);
        let area = tail(t, v);
        (libm::log(area), -t * pdf(t, v) / area)
    });
    libm::exp(s)
}

/// P(T > t) for t ≥ 0: half of I_{ν/(ν+t²)}(ν/2, ½).
fn tail(t: f64, v: f64) -> f64 {
    if v.is_infinite() {
        normal::survival(t)
    } else if t.is_infinite() {
        0.0
    } else if v > MANY {
        panels::tail(t, panels::step(t), f64::INFINITY, |t| pdf(t, v))
    } else {
        let a = 0.5 * v;
        if (t / v) * t > ENORMOUS {
            // The first term of the series, (ν/t²)ᵃ / (a B(a, ½)).
            let beta = libm::lgamma(a) + libm::lgamma(0.5) - libm::lgamma(a + 0.5);
            let power = a * (libm::log(v) - 2.0 * libm::log(t));
            return 0.5 * libm::exp(power - beta) / a;
        }
        let (x, y) = parts(t, v);
        0.5 * regularised(a, 0.5, x, y)
    }
}

/// P(0 ≤ T ≤ t) for t ≥ 0 and finite ν, accurate near zero.
fn half(t: f64, v: f64) -> f64 {
    if v > MANY {
        return panels::tail(t, -2.0, 0.0, |t| pdf(t, v));
    }
    let (x, y) = parts(t, v);
    0.5 * regularised(0.5, 0.5 * v, y, x)
}

/// ν/(ν+t²) and t²/(ν+t²), without overflow.
fn parts(t: f64, v: f64) -> (f64, f64) {
    let r = (t / v) * t;
    if r > 1.0 {
        let inverse = (v / t) / t;
        (inverse / (1.0 + inverse), 1.0 / (1.0 + inverse))
    } else {
        (1.0 / (1.0 + r), r / (1.0 + r))
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{close, near};
    use super::*;

    /// Computed independently: ½ I_{ν/(ν+t²)}(ν/2, ½) in 40 digits, by quadrature of the density
    /// for the large ν.
    #[test]
    fn tails_for_real_degrees() {
        for (t, v, q) in [
            (1.0, 1.0, 0.25),
            (2.0, 0.5, 0.222_757_445_091_565_62),
            (0.001, 3.0, 0.499_632_447_484_730_47),
            (3.0, 2.5, 0.036_288_047_774_515_92),
            (10.0, 16.741_15, 8.959_331_822_123_323e-9),
            (40.0, 7.0, 7.951_089_992_425_185e-10),
            (2.0, 9999.0, 0.022_763_631_680_755_053),
            (5.0, 5e4, 2.876_192_528_470_63e-7),
            (2.0, 5e4, 0.022_752_831_522_148_715),
            (12.0, 1e5, 1.872_252_905_978_175_5e-33),
            (2.0, 1e8, 0.022_750_133_297_953_376),
            (0.3, 3e5, 0.382_088_681_739_180_67),
        ] {
            near(survival(t, v), q, 2e-12);
            near(cdf(-t, v), q, 2e-12);
            near(cdf(t, v), 1.0 - q, 1e-13);
        }
        near(survival(2.0, f64::INFINITY), normal::survival(2.0), 0.0);
        near(survival(2.0, 1e300), normal::survival(2.0), 1e-13);
    }

    /// Computed independently: the root of ln tail(eˢ) = ln q in 40 digits.
    #[test]
    fn quantiles_for_real_degrees() {
        for (q, v, t) in [
            (0.025, 16.741_15, 2.112_303_318_681_681),
            (0.005, 16.741_15, 2.903_780_965_970_067),
            (0.005, 16.0, 2.920_781_622_425_1),
            (0.025, 18.9987, 2.093_033_747_757_87),
            (0.025, 1.0, 12.706_204_736_174_705),
            (0.025, 0.7, 36.611_415_031_588_69),
            (0.45, 3.3, 0.135_590_918_888_784_9),
            (0.3, 2.0, 0.617_213_399_848_367_6),
            (1e-10, 5.0, 156.825_592_708_894_32),
            (1e-10, 0.5, 1.028_491_156_316_34e19),
            (0.025, 1.5, 6.016_663_104_427_932),
            (0.05, 9.0, 1.833_112_932_656_237_2),
            (0.025, 5e4, 1.960_011_431_093_68),
        ] {
            near(upper(q, v), t, 5e-12);
            near(quantile(q, v), -t, 5e-12);
        }
        // ν = 2 in closed form: t = (2p − 1)/√(2p(1 − p)).
        near(quantile(0.9, 2.0), 0.8 / 0.18_f64.sqrt(), 1e-13);
        near(two_sided(0.95, f64::INFINITY), normal::two_sided(0.95), 0.0);
    }

    #[test]
    fn quantiles_undo_tails() {
        for v in [0.3, 1.0, 2.7, 30.0, 9e3, 1.1e4, 1e7, 1e12] {
            for q in [1e-12, 1e-4, 0.05, 0.249, 0.251, 0.4, 0.4999, 0.7, 0.999] {
                near(survival(upper(q, v), v), q, 1e-11);
            }
        }
        close(quantile(0.5, 3.0), 0.0, 0.0);
    }

    #[test]
    fn the_density_is_the_slope() {
        for (t, v) in [(0.0, 0.7), (1.3, 3.0), (-2.0, 40.0), (0.7, 2e4), (1.0, f64::INFINITY)] {
            let h = 1e-5;
            near((cdf(t + h, v) - cdf(t - h, v)) / (2.0 * h), pdf(t, v), 1e-8);
        }
    }

    #[test]
    fn ends_and_arguments_out_of_domain() {
        assert!(quantile(1.0, 3.0) == f64::INFINITY);
        assert!(quantile(0.0, 3.0) == f64::NEG_INFINITY);
        assert!(two_sided(0.95, 0.0) == f64::INFINITY);
        assert!(upper(1e-10, 0.001) == f64::INFINITY, "beyond the range of doubles");
        assert!(quantile(0.9, -1.0).is_nan());
        assert!(quantile(1.1, 3.0).is_nan());
        assert!(survival(1.0, 0.0).is_nan());
        assert!(survival(f64::NAN, 3.0).is_nan());
        close(survival(f64::INFINITY, 3.0), 0.0, 0.0);
    }

    #[test]
    fn far_out_the_tail_is_a_power() {
        for v in [0.001, 0.5, 1.0] {
            near(survival(1e20, v) / survival(1e21, v), libm::pow(10.0, v), 1e-12);
            near(survival(1e200, v) / survival(1e201, v), libm::pow(10.0, v), 1e-12);
        }
        // Cauchy: 1/(π t).
        near(survival(1e10, 1.0), 1e-10 / PI, 1e-13);
        near(survival(1e200, 1.0), 1e-200 / PI, 1e-12);
        near(pdf(1e100, 1.0), 1e-200 / PI, 1e-12);
    }
}
