//! How far each observation is checked by the others.

use super::adjusted::Adjusted;

/// |w| above this is suspected: the normal distribution exceeds it by chance once in a thousand
/// observations, the level Baarda proposed for data snooping.
pub const CRITICAL: f64 = 3.29;

/// Below this redundancy an observation is not checked by others at all.
const UNCHECKED: f64 = 1e-6;

/// What the adjustment says of one observation, or of a value known beforehand.
///
/// W. Baarda, *A Testing Procedure for Use in Geodetic Networks*; Ghilani on blunder detection.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// v: observed minus adjusted, mm (rad of an angle).
    pub residual: f64,
    /// r, from 0 to 1: the share of an error in the observation that shows in its residual. All
    /// of them add up to the degrees of freedom.
    pub redundancy: f64,
    /// w = v / (σ √r), which is normal with variance 1 if the observation is good. None where
    /// no other observation checks this one.
    pub normalised: Option<f64>,
    /// The smallest error that the test finds four times out of five, 4.13 σ / √r: Baarda's
    /// internal reliability. None where no other observation checks this one.
    pub detectable: Option<f64>,
}

impl Fit {
    pub(super) fn new(residual: f64, standard: f64, redundancy: f64) -> Self {
        let redundancy = redundancy.clamp(0.0, 1.0);
        let spread = (redundancy > UNCHECKED).then(|| redundancy.sqrt());
        Self {
            residual,
            redundancy,
            normalised: spread.map(|s| residual / (standard * s)),
            detectable: spread.map(|s| 4.13 * standard / s),
        }
    }

    /// The error that would explain the residual if this observation alone were wrong: v / r,
    /// mm. None where no other observation checks this one.
    #[must_use]
    pub fn gross(&self) -> Option<f64> {
        self.normalised.map(|_| self.residual / self.redundancy)
    }
}

/// An observation that does not fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suspect {
    /// Index of the observation.
    pub observation: usize,
    /// Its normalised residual w.
    pub normalised: f64,
    /// The error it would have, v / r, mm: the height less this fits the others.
    pub gross: f64,
}

impl Adjusted {
    /// The observations with |w| above [`CRITICAL`], the worst first.
    ///
    /// One wrong observation raises |w| of its neighbours too. Leave out the first, adjust again,
    /// and see what is still suspected; where several are equally bad, the network cannot tell
    /// which of them is wrong.
    #[must_use]
    pub fn suspects(&self) -> Vec<Suspect> {
        let mut found: Vec<Suspect> = (self.observations.iter().enumerate())
            .filter_map(|(observation, fit)| {
                let (normalised, gross) = (fit.normalised?, fit.gross()?);
                Some(Suspect { observation, normalised, gross })
            })
            .filter(|s| s.normalised.abs() > CRITICAL)
            .collect();
        found.sort_by(|a, b| b.normalised.abs().total_cmp(&a.normalised.abs()));
        found
    }

    /// Index of the observation with the largest |w|, if any is checked; the first of equals.
    #[must_use]
    pub fn worst(&self) -> Option<usize> {
        let mut worst: Option<(usize, f64)> = None;
        for (i, fit) in self.observations.iter().enumerate() {
            if let Some(w) = fit.normalised
                && worst.is_none_or(|(_, most)| w.abs() > most)
            {
                worst = Some((i, w.abs()));
            }
        }
        worst.map(|(i, _)| i)
    }
}
