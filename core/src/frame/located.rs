//! A feature in a frame.

use super::{Frame, FrameCoordinate, added};
use crate::adjust::{Adjustment, BenchSensitivities, Form, Propagated, SizeRef};
use crate::job::Job;

/// A feature in a frame. Its coordinates, and what their uncertainty follows from, are found once, for
/// all that is asked of them.
#[derive(Clone, Debug)]
pub struct Located<'b> {
    /// x and y; `None` what the facts do not determine.
    pub coordinates: [Option<FrameCoordinate<'b>>; 2],
    /// Which of them is a result, and not only what others count from.
    is_result: [bool; 2],
}

impl Frame {
    /// Finds a feature in this frame.
    #[must_use]
    pub fn locate<'b>(&self, job: &Job, bench: &'b Adjustment, feature: usize) -> Located<'b> {
        let coordinates = self.coordinates(job, bench, feature);
        let read = bench.facts().read.get(feature).copied().unwrap_or_default();
        let is_result = [0, 1].map(|k| {
            let counts = coordinates[k].as_ref().is_some_and(|c| c.from_datum);
            // The datum itself says nothing about where it is.
            read[k] || (counts && !self.counts_from(feature, k))
        });
        Located { coordinates, is_result }
    }

    /// The coordinates of a feature in this frame; `None` what the facts do not determine.
    #[must_use]
    pub fn coordinates<'b>(
        &self,
        job: &Job,
        bench: &'b Adjustment,
        feature: usize,
    ) -> [Option<FrameCoordinate<'b>>; 2] {
        [0, 1].map(|k| self.coordinate(job, bench, feature, k))
    }
}

impl Located<'_> {
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
    pub fn covariance(&self) -> Option<[[f64; 2]; 2]> {
        if self.coordinates.iter().all(Option::is_none) {
            return None;
        }
        let between = |i: usize, j: usize| {
            let (Some(a), Some(b)) = (&self.coordinates[i], &self.coordinates[j]) else {
                return Some(0.0);
            };
            let (a, b) = (a.propagated.as_ref()?, b.propagated.as_ref()?);
            pairs(a, b).map(|(w, a, b)| Some(w * a.covariance(b)?)).sum::<Option<f64>>()
        };
        let (xx, xy, yy) = (between(0, 0)?, between(0, 1)?, between(1, 1)?);
        Some([[xx, xy], [xy, yy]])
    }

    /// Covariance of x and y with a measured size, mm²; zero where it is not known.
    #[must_use]
    pub fn covariance_with_size(&self, of: SizeRef) -> [f64; 2] {
        let one = |(w, form): &(f64, Propagated<'_>)| Some(w * form.covariance_with_size(of)?);
        let with = |found: &FrameCoordinate<'_>| {
            found.propagated.as_ref()?.iter().map(one).sum::<Option<f64>>()
        };
        self.coordinates.each_ref().map(|found| found.as_ref().and_then(with).unwrap_or_default())
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
        add(&mut forms, weights, &self.coordinates)?;
        Some(BenchSensitivities { forms, sizes, touches: Vec::new() })
    }
}

/// Adds x and y times `weights` to a sum; `None` where one that counts is not determined.
pub(super) fn add(
    sum: &mut Vec<(f64, Form)>,
    weights: [f64; 2],
    coordinates: &[Option<FrameCoordinate<'_>>; 2],
) -> Option<()> {
    for (w, found) in weights.into_iter().zip(coordinates).filter(|(w, _)| *w != 0.0) {
        *sum = added(sum, w, &found.as_ref()?.forms);
    }
    Some(())
}

/// Pairs of forms that belong to the same end of an edge, with its probability.
fn pairs<'a, 'b>(
    a: &'a [(f64, Propagated<'b>)],
    b: &'a [(f64, Propagated<'b>)],
) -> impl Iterator<Item = (f64, &'a Propagated<'b>, &'a Propagated<'b>)> {
    let n = a.len().max(b.len());
    (0..n).filter_map(move |i| {
        let ((wa, a), (wb, b)) = (a.get(i).or(a.first())?, b.get(i).or(b.first())?);
        Some((wa.min(*wb), a, b))
    })
}
