//! The regularised incomplete gamma functions P(a, x) and Q(a, x) = 1 − P(a, x) (DLMF 8.2.4).

use super::panels;
use super::summit::poisson;

/// Above this a sum of terms takes thousands of them; the density is integrated instead.
const MANY: f64 = 1e4;

/// P(a, x), for a > 0 and x ≥ 0.
#[must_use]
pub fn lower(a: f64, x: f64) -> f64 {
    pair(a, x).0
}

/// Q(a, x), for a > 0 and x ≥ 0; accurate where P(a, x) is nearly 1.
#[must_use]
pub fn upper(a: f64, x: f64) -> f64 {
    pair(a, x).1
}

/// (P, Q), the smaller of the two computed and the other its complement.
fn pair(a: f64, x: f64) -> (f64, f64) {
    if a.is_nan() || x.is_nan() || a <= 0.0 || a.is_infinite() || x < 0.0 {
        return (f64::NAN, f64::NAN);
    }
    if x == 0.0 {
        return (0.0, 1.0);
    }
    if x.is_infinite() {
        return (1.0, 0.0);
    }
    let from_lower = |p: f64| (p, 1.0 - p);
    let from_upper = |q: f64| (1.0 - q, q);
    if a > MANY {
        let density = |t: f64| poisson(a, t) * (a / t);
        let deviation = a.sqrt();
        let z = (x - a).abs() / deviation;
        let step = deviation * panels::step(z);
        return if x < a {
            from_lower(panels::tail(x, -step, 0.0, density))
        } else {
            from_upper(panels::tail(x, step, f64::INFINITY, density))
        };
    }
    if x < a + 1.0 { from_lower(series(a, x)) } else { from_upper(fraction(a, x)) }
}

/// P(a, x) = xᵃ e⁻ˣ / Γ(a+1) · Σ xⁿ / ((a+1) … (a+n)) (DLMF 8.7.1).
fn series(a: f64, x: f64) -> f64 {
    let (mut sum, mut term, mut n) = (1.0, 1.0, a);
    while term > 1e-17 * sum {
        n += 1.0;
        term *= x / n;
        sum += term;
    }
    poisson(a, x) * sum
}

/// Q(a, x) by Legendre's continued fraction (DLMF 8.9.2, even part), by Lentz's method.
fn fraction(a: f64, x: f64) -> f64 {
    let mut b = x + 1.0 - a;
    let mut c = 1e300;
    let mut d = 1.0 / b;
    let mut h = d;
    let mut i = 0.0;
    for _ in 0..100_000 {
        i += 1.0;
        let an = -i * (i - a);
        b += 2.0;
        d = 1.0 / nonzero(an * d + b);
        c = nonzero(b + an / c);
        let delta = c * d;
        h *= delta;
        if (delta - 1.0).abs() < 2e-16 {
            break;
        }
    }
    poisson(a, x) * a * h
}

/// Keeps Lentz's method from dividing by zero.
pub(super) fn nonzero(v: f64) -> f64 {
    if v.abs() < 1e-300 { 1e-300 } else { v }
}

#[cfg(test)]
mod tests {
    use super::super::testing::near;
    use super::*;

    /// Computed independently: P by Kummer's function, Q by quadrature, in 40 digits.
    #[test]
    fn both_tails_for_few_and_many() {
        for (a, x, p, q) in [
            (0.5, 0.1, 0.345_279_153_981_422_97, 0.654_720_846_018_577),
            (0.5, 10.0, 0.999_992_255_783_569, 7.744_216_431_044_084e-6),
            (1.0, 1e-8, 9.999_999_95e-9, 0.999_999_99),
            (3.7, 2.0, 0.186_274_670_889_053_98, 0.813_725_329_110_946),
            (3.7, 40.0, 0.999_999_999_999_976_9, 2.307_450_596_610_164e-14),
            (100.0, 80.0, 0.017_108_313_035_133_114, 0.982_891_686_964_867),
            (100.0, 100.0, 0.513_298_798_279_148_7, 0.486_701_201_720_851_34),
            (100.0, 160.0, 0.999_999_855_797_755, 1.442_022_450_535_273_7e-7),
            (5000.0, 5000.0, 0.501_880_634_033_817_4, 0.498_119_365_966_182_6),
            (5000.0, 4700.0, 7.597_064_861_941_271e-6, 0.999_992_402_935_138),
            (20_000.0, 20_000.0, 0.500_940_316_233_749_3, 0.499_059_683_766_250_7),
            (20_000.0, 19_000.0, 3.236_874_643_618_59e-13, 0.999_999_999_999_676_3),
            (20_000.0, 21_500.0, 1.0, 1.989_923_835_278_505_5e-25),
            (1e6, 1_002_000.0, 0.977_195_904_101_230_1, 0.022_804_095_898_769_863),
        ] {
            near(lower(a, x), p, 1e-12);
            near(upper(a, x), q, 1e-12);
        }
    }

    #[test]
    fn the_two_ways_meet() {
        // Below and above where terms give way to an integral; a²-th moments are smooth there.
        for z in [-3.0, -0.5, 0.0, 0.5, 3.0] {
            let at = |a: f64| lower(a, a + z * a.sqrt());
            near(at(MANY * (1.0 - 1e-13)), at(MANY * (1.0 + 1e-13)), 1e-11);
        }
    }

    #[test]
    fn ends_and_arguments_out_of_domain() {
        near(upper(2.5, 0.0), 1.0, 0.0);
        near(lower(2.5, f64::INFINITY), 1.0, 0.0);
        for (a, x) in [(0.0, 1.0), (-1.0, 1.0), (f64::INFINITY, 1.0), (1.0, -1.0), (1.0, f64::NAN)]
        {
            assert!(lower(a, x).is_nan() && upper(a, x).is_nan(), "{a}, {x}");
        }
    }
}
