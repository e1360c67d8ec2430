//! A feature in a frame.

use super::{Frame, FrameCoordinate, added, pairs};
use crate::adjust::{Adjustment, BenchSensitivities, Form, SizeRef};
use crate::job::Job;

/// A feature in a frame. Its coordinates are found once, for all that follows from them.
#[derive(Clone, Debug, PartialEq)]
pub struct Located {
    /// x and y; `None` what the facts do not determine.
    pub coordinates: [Option<FrameCoordinate>; 2],
    /// Which of them is a result, and not only what others count from.
    is_result: [bool; 2],
}

impl Frame {
    /// Finds a feature in this frame.
    #[must_use]
    pub fn locate(&self, job: &Job, bench: &Adjustment, feature: usize) -> Located {
        let coordinates = [0, 1].map(|k| self.coordinate(job, bench, feature, k));
        let read = bench.facts().read.get(feature).copied().unwrap_or_default();
        let is_result = [0, 1].map(|k| {
            let counts = coordinates[k].as_ref().is_some_and(|c| c.from_datum);
            // The datum itself says nothing about where it is.
            read[k] || (counts && !self.counts_from(feature, k))
        });
        Located { coordinates, is_result }
    }
}

impl Located {
    /// Coordinate `k` (0 for x, 1 for y) as far as it was measured, mm: what only served as a zero or a
    /// rest has one where it counts from a datum, and not by being what others count from.
    #[must_use]
    pub fn measured(&self, k: usize) -> Option<f64> {
        self.coordinates[k].as_ref().filter(|_| self.is_result[k]).map(|c| c.value)
    }

    /// Covariance of the coordinates, mm², those of the datum features with it: zero along what is not
    /// determined. `None` where neither coordinate is, or the uncertainty of a gauge that it depends on
    /// is not known.
    #[must_use]
    pub fn covariance(&self, bench: &Adjustment) -> Option<[[f64; 2]; 2]> {
        let found = &self.coordinates;
        let mut sum = [[0.0; 2]; 2];
        if found.iter().all(Option::is_none) {
            return None;
        }
        for (i, a) in found.iter().enumerate() {
            for (j, b) in found.iter().enumerate().skip(i) {
                let (Some(a), Some(b)) = (a, b) else { continue };
                sum[i][j] = pairs(&a.forms, &b.forms)
                    .map(|(w, a, b)| {
                        let known = bench.knows(a) && bench.knows(b);
                        Some(w * bench.covariance(a, b).filter(|_| known)?)
                    })
                    .sum::<Option<f64>>()?;
                sum[j][i] = sum[i][j];
            }
        }
        Some(sum)
    }

    /// Covariance of x and y with a measured size, mm²; zero where it is not known.
    #[must_use]
    pub fn covariance_with_size(&self, bench: &Adjustment, of: SizeRef) -> [f64; 2] {
        let one = |(w, form): &(f64, Form)| Some(w * bench.covariance_with_size(form, of)?);
        let with = |found: &Option<FrameCoordinate>| {
            found.as_ref()?.forms.iter().map(one).sum::<Option<f64>>()
        };
        self.coordinates.each_ref().map(|found| with(found).unwrap_or_default())
    }

    /// How a result follows from the bench that follows from x and y by `weights` and from sizes;
    /// `None` where a coordinate that counts is not determined.
    #[must_use]
    pub fn to_bench(
        &self,
        weights: [f64; 2],
        sizes: Vec<(SizeRef, f64)>,
    ) -> Option<BenchSensitivities> {
        let mut forms = vec![(1.0, Form::default())];
        self.add_to(&mut forms, weights)?;
        Some(BenchSensitivities { forms, sizes, touches: Vec::new() })
    }

    /// Adds x and y times `weights` to a sum.
    pub(super) fn add_to(&self, sum: &mut Vec<(f64, Form)>, weights: [f64; 2]) -> Option<()> {
        for (w, found) in weights.into_iter().zip(&self.coordinates).filter(|(w, _)| *w != 0.0) {
            *sum = added(sum, w, &found.as_ref()?.forms);
        }
        Some(())
    }
}
