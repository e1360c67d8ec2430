//! How the readings of a piece agree with each other.

use crate::chance::chi_square;
use crate::network::CRITICAL;
use crate::quantity::Length;
use serde::Serialize;

/// How one height agrees with the others.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Residual {
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// Number of the orientation.
    pub orientation: u32,
    /// Observed less adjusted.
    pub residual: Length,
    /// Redundancy number: how much of an error of this height shows in its residual, 0 to 1.
    pub redundancy: f64,
    /// Residual in its own standard deviations; absent where nothing checks the height.
    pub normalised: Option<f64>,
    /// The apparent error of this height, if it alone is wrong.
    pub error: Option<Length>,
}

/// How the zero of an orientation agrees with what the others say of the same features.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ZeroResidual {
    /// Number of the orientation.
    pub orientation: u32,
    /// Residual in its own standard deviations.
    pub normalised: f64,
    /// The apparent error of the zero, if it alone is wrong.
    pub error: Length,
}

/// Below this p-value readings contradict each other.
const REJECTED: f64 = 1e-3;

/// A residual of more than this many standard deviations contradicts the others (common practice, no
/// source).
const OUTLYING: f64 = 4.0;

/// The test of the adjustment as a whole.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Test {
    /// Σ v²/σ² of all facts and of the errors with a known uncertainty.
    pub chi_square: f64,
    /// How many of them are redundant.
    pub degrees: usize,
    /// The largest residual in its own standard deviations.
    pub worst: f64,
}

impl Test {
    /// The p-value: the probability that good readings agree as badly. `None` where nothing is
    /// redundant.
    #[must_use]
    pub fn p_value(&self) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "a count of heights")]
        (self.degrees > 0).then(|| chi_square::survival(self.chi_square, self.degrees as f64))
    }

    /// Whether the readings contradict each other: the chi-square test fails at 1 in 1,000, or one
    /// residual exceeds four of its standard deviations.
    #[must_use]
    pub fn fails(&self) -> bool {
        self.p_value().is_some_and(|p| p < REJECTED) || self.worst > OUTLYING
    }

    /// The factor by which the variances of places grow where the readings contradict each other:
    /// χ²/ν, the variance of unit weight, and never less than 1 (C. D. Ghilani, Adjustment
    /// Computations, the reference variance; from memory).
    #[must_use]
    pub fn variance_factor(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a count of heights")]
        let degrees = self.degrees.max(1) as f64;
        if self.fails() { (self.chi_square / degrees).max(1.0) } else { 1.0 }
    }
}

/// Those of `all` whose normalised residual is critical, worst first (Baarda's data snooping).
pub(super) fn critical<T: Copy>(all: &[T], normalised: impl Fn(&T) -> Option<f64>) -> Vec<T> {
    let w = |one: &T| normalised(one).map_or(0.0, f64::abs);
    let mut found: Vec<T> = all.iter().copied().filter(|one| w(one) > CRITICAL).collect();
    found.sort_by(|a, b| w(b).total_cmp(&w(a)));
    found
}
