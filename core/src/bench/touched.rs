//! The touches that a measured value is made of.

/// The touches of one instrument behind a measured value Σ aᵢ tᵢ, where the touch tᵢ is a mean of nᵢ
/// repeats: a face with a = 1, a centre with ½ and ½, a size with 1 and −1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touched {
    /// Index of the instrument in the plan.
    pub instrument: usize,
    /// Σ a²: the weight of what all repeats of one touch have in common.
    pub once: f64,
    /// Σ a²/n: the weight of what repeats average out.
    pub repeated: f64,
    /// How often the flatness of the plate enters: once in a height, since it moves both touches of
    /// a bore alike, and not at all in a size.
    pub plate: f64,
}

impl Touched {
    /// One touch, or a value that the gauge works out itself, repeated `n` times.
    #[must_use]
    pub fn single(instrument: usize, n: usize) -> Self {
        Self { instrument, once: 1.0, repeated: inverse(n), plate: 1.0 }
    }

    /// A size that the gauge works out itself, repeated `n` times.
    #[must_use]
    pub fn size(instrument: usize, n: usize) -> Self {
        Self { plate: 0.0, ..Self::single(instrument, n) }
    }

    /// The mean of the low and the high touch, repeated so many times.
    #[must_use]
    pub fn middle(instrument: usize, n: [usize; 2]) -> Self {
        let repeated = 0.25 * n.into_iter().map(inverse).sum::<f64>();
        Self { instrument, once: 0.5, repeated, plate: 1.0 }
    }

    /// The high touch less the low one, repeated so many times.
    #[must_use]
    pub fn difference(instrument: usize, n: [usize; 2]) -> Self {
        let repeated = n.into_iter().map(inverse).sum();
        Self { instrument, once: 2.0, repeated, plate: 0.0 }
    }

    /// Σ aᵢ bᵢ/nᵢ of the middle and the difference of the same low and high touches: the weight of the
    /// repeatability variance in their covariance, ½ (1/n_high − 1/n_low).
    #[must_use]
    pub fn middle_with_difference([low, high]: [usize; 2]) -> f64 {
        0.5 * (inverse(high) - inverse(low))
    }
}

fn inverse(n: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "at most a hundred repeats")]
    let n = n.max(1) as f64;
    1.0 / n
}
