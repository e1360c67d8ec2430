//! Effective degrees of freedom, and the coverage factor that they ask for.

use super::{normal, student};

/// Effective degrees of freedom of a combined variance (Welch and Satterthwaite; JCGM 100:2008,
/// G.4.1): u⁴/ν = Σ uᵢ⁴/νᵢ over independent contributions, each given as its variance uᵢ² and its
/// degrees of freedom νᵢ, infinite where the variance is taken for exact.
///
/// Infinite where nothing was estimated from few, or there is no variance at all. What comes from
/// one estimate is one contribution.
///
/// ```
/// # use quarterturn_core::chance::effective_degrees;
/// // JCGM 100:2008, G.4.1, example: 0.25, 0.57 and 0.82 % from 10, 5 and 15 observations.
/// let of = |u: f64, n: f64| (u * u, n - 1.0);
/// let degrees = effective_degrees([of(0.25, 10.0), of(0.57, 5.0), of(0.82, 15.0)]);
/// assert!((degrees - 18.9987).abs() < 1e-4);
/// ```
#[must_use]
pub fn effective_degrees(contributions: impl IntoIterator<Item = (f64, f64)>) -> f64 {
    let (mut variance, mut fourth) = (0.0, 0.0);
    for (square, degrees) in contributions {
        variance += square;
        // Nothing of an unknown is nothing: 0/0 is no number.
        if square != 0.0 {
            fourth += square * square / degrees;
        }
    }
    if fourth == 0.0 { f64::INFINITY } else { variance * variance / fourth }
}

/// The coverage factor for the level that two standard deviations of a normal distribution cover,
/// 95.45 %: 2, or Student's t where the degrees of freedom are finite (JCGM 100:2008, G.3.2).
#[must_use]
pub fn coverage_factor(degrees: f64) -> f64 {
    const K: f64 = 2.0;
    if degrees.is_finite() { student::two_sided(2.0 * normal::cdf(K) - 1.0, degrees) } else { K }
}

#[cfg(test)]
mod tests {
    use super::super::testing::near;
    use super::*;

    #[test]
    fn one_alone_keeps_its_own() {
        near(effective_degrees([(4.0, 7.5)]), 7.5, 1e-15);
        near(effective_degrees([(4.0, 7.5), (0.0, 0.0)]), 7.5, 1e-15);
        // Two alike have twice as many.
        near(effective_degrees([(4.0, 7.5), (4.0, 7.5)]), 15.0, 1e-15);
    }

    #[test]
    fn where_nothing_was_estimated_they_are_infinite() {
        assert!(effective_degrees([]).is_infinite());
        assert!(effective_degrees([(0.0, 3.0)]).is_infinite());
        assert!(effective_degrees([(1.0, f64::INFINITY), (2.0, f64::INFINITY)]).is_infinite());
        near(effective_degrees([(1.0, f64::INFINITY), (1.0, 2.0)]), 8.0, 1e-15);
        assert!(effective_degrees([(f64::NAN, 2.0)]).is_nan());
        // No degrees at all: nothing is known.
        assert!(effective_degrees([(1.0, 0.0)]).abs() < 1e-300);
    }
}
