//! Quantiles by Newton's method in logarithms.

/// The s at which a function falls or rises to `target`, given as logarithms: `of(s)` is the pair
/// (ln F, d ln F / ds), concave in s and monotone.
///
/// A tail or a cumulative probability whose density is log-concave in s is itself log-concave
/// (Prékopa), so that every tangent lies above it and the steps approach the root from one side
/// without a bracket.
pub(super) fn descend(start: f64, target: f64, of: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut s = start;
    for _ in 0..200 {
        let (value, slope) = of(s);
        let step = (target - value) / slope;
        if !step.is_finite() {
            // So far out that F is zero in double precision: half the way back.
            s = 0.5 * (s + start);
            continue;
        }
        s += step;
        if step.abs() <= 4e-16 * s.abs().max(1.0) {
            break;
        }
    }
    s
}
