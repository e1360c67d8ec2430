//! Sums of coordinates on the bench.

use crate::bench::Target;
use smallvec::{SmallVec, smallvec};

/// A linear form of the adjusted coordinates and errors of angle: Σ (a x + b y) + Σ w δ.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Form {
    /// What is seen, each with the weights of its x and y.
    pub targets: SmallVec<[(Target, [f64; 2]); 4]>,
    /// Errors of angle by their index in the facts' directions, each with its weight in mm/rad.
    pub angles: SmallVec<[(usize, f64); 2]>,
}

impl Form {
    /// One target along a vector.
    #[must_use]
    pub fn along(target: Target, weights: [f64; 2]) -> Self {
        Self { targets: smallvec![(target, weights)], angles: SmallVec::new() }
    }

    /// One error of angle.
    #[must_use]
    pub fn angle(error: usize) -> Self {
        Self { targets: SmallVec::new(), angles: smallvec![(error, 1.0)] }
    }

    /// Adds `times` another form.
    pub fn add(&mut self, times: f64, other: &Self) {
        for (target, w) in &other.targets {
            let w = w.map(|w| times * w);
            match self.targets.iter_mut().find(|(own, _)| own == target) {
                Some((_, sum)) => *sum = [sum[0] + w[0], sum[1] + w[1]],
                None => self.targets.push((*target, w)),
            }
        }
        for (angle, w) in &other.angles {
            match self.angles.iter_mut().find(|(own, _)| own == angle) {
                Some((_, sum)) => *sum += times * w,
                None => self.angles.push((*angle, times * w)),
            }
        }
    }
}
