//! Tails of smooth densities, panel by panel.

use super::gauss::{N20, integral};

/// Width of a panel in standard deviations, z of them away from the peak: the tail falls off as
/// e^(−z t), and twenty points do for a fall of e^8.
pub(super) fn step(z: f64) -> f64 {
    if z > 4.0 { 8.0 / z } else { 2.0 }
}

/// ∫ of `density` from `from` outwards (the sign of `step` says which way) to `end`, until more
/// adds nothing; the density must fall off monotonously.
pub(super) fn tail(from: f64, step: f64, end: f64, density: impl Fn(f64) -> f64) -> f64 {
    let (mut sum, mut a) = (0.0, from);
    for _ in 0..1000 {
        let b = if step > 0.0 { (a + step).min(end) } else { (a + step).max(end) };
        if (b - a).abs() <= 0.0 {
            break;
        }
        let more = integral(&N20, a.min(b), a.max(b), &density);
        sum += more;
        if more <= 1e-17 * sum {
            break;
        }
        a = b;
    }
    sum
}
