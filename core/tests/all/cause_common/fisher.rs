//! Fisher's distribution, by another way than the core's.

/// P(F > x): the incomplete beta function by its continued fraction (DLMF 8.17.22).
pub(crate) fn tail(x: f64, above: f64, below: f64) -> f64 {
    if x.is_nan() {
        return f64::NAN;
    }
    if x <= 0.0 {
        return 1.0;
    }
    let (a, b) = (0.5 * below, 0.5 * above);
    let t = below / (below + above * x);
    if t <= 0.0 {
        return 0.0;
    }
    if t < (a + 1.0) / (a + b + 2.0) { beta(a, b, t) } else { 1.0 - beta(b, a, 1.0 - t) }
}

fn beta(a: f64, b: f64, x: f64) -> f64 {
    let log = libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b)
        + a * libm::log(x)
        + b * libm::log1p(-x);
    let (mut c, mut d) = (1.0, 1.0 / (1.0 - (a + b) * x / (a + 1.0)));
    let mut h = d;
    let mut m = 0.0;
    while m < 10_000.0 {
        m += 1.0;
        let n = a + 2.0 * m;
        let even = m * (b - m) * x / ((n - 1.0) * n);
        d = 1.0 / (1.0 + even * d);
        c = 1.0 + even / c;
        h *= c * d;
        let odd = -(a + m) * (a + b + m) * x / (n * (n + 1.0));
        d = 1.0 / (1.0 + odd * d);
        c = 1.0 + odd / c;
        h *= c * d;
        if (c * d - 1.0).abs() < 1e-15 {
            break;
        }
    }
    libm::exp(log) * h / a
}
