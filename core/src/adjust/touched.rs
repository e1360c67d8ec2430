//! The touches that something measured comes from.

/// Touches by one gauge, whose independent errors eᵢ are in Σ aᵢ eᵢ: in a height with a = 1, in a
/// centre between two touches with ½, in a size with 1 and −1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touched {
    /// Index of the gauge in the plan.
    pub instrument: usize,
    /// Σ a²: what all repeats of one touch have in common.
    pub once: f64,
    /// Σ a²/n: what the mean of n repeats makes smaller.
    pub repeated: f64,
}

impl Touched {
    /// One touch, or what a gauge works out itself, repeated `n` times.
    #[must_use]
    pub fn single(instrument: usize, n: usize) -> Self {
        Self { instrument, once: 1.0, repeated: inverse(n) }
    }

    /// The mean of two touches, each repeated so many times.
    #[must_use]
    pub fn middle(instrument: usize, n: [usize; 2]) -> Self {
        let repeated = 0.25 * n.into_iter().map(inverse).sum::<f64>();
        Self { instrument, once: 0.5, repeated }
    }

    /// The difference of two touches, each repeated so many times.
    #[must_use]
    pub fn difference(instrument: usize, n: [usize; 2]) -> Self {
        let repeated = n.into_iter().map(inverse).sum();
        Self { instrument, once: 2.0, repeated }
    }
}

fn inverse(n: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "at most a hundred repeats")]
    let n = n.max(1) as f64;
    1.0 / n
}
