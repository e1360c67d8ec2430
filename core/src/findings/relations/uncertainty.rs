//! How uncertain the figure of a relation is.

use super::Bench;
use crate::adjust::{Owed, Sensitivities, Source, Touched};
use crate::quantity::Length;
use crate::relation::VectorBetween;

/// What is known of the uncertainty of everything that was measured.
pub(super) struct Known<'r, 'a, 'b> {
    pub(super) bench: &'r Bench<'a, 'b>,
}

impl Known<'_, '_, '_> {
    /// Returns the standard uncertainty of a figure; `None` where that of anything it follows from is
    /// not known.
    pub(super) fn standard(&self, by: &Sensitivities) -> Option<Length> {
        let Bench { measured, doubts, features, .. } = self.bench;
        let mut variance = 0.0;
        for (instrument, squares) in &by.touches {
            let u = measured.touch(*instrument)?.to_mm();
            variance += squares * u * u;
        }
        if by.sizes.is_empty() && by.places.is_empty() {
            return Some(Length::mm(variance.sqrt()));
        }
        variance += self.variance(&by.places)?;
        // The probe constant is in all sizes of one instrument alike, and in the places too.
        let mut probes: Vec<(usize, f64)> = Vec::new();
        for (size, derivative) in &by.sizes {
            let doubt = doubts.get(size.feature).copied().flatten()?;
            let instrument = doubt.touched.instrument;
            let (u, k) = (doubt.standard.to_mm(), measured.probe(instrument).to_mm());
            variance += derivative * derivative * (u * u - k * k).max(0.0);
            let inner = features.get(size.feature)?.kind.is_internal();
            // By the error of the constant, stated less true: an inner size is true plus that.
            let by_error = if inner { -derivative } else { *derivative };
            match probes.iter_mut().find(|(i, _)| *i == instrument) {
                Some((_, sum)) => *sum += by_error,
                None => probes.push((instrument, by_error)),
            }
        }
        for (instrument, by_error) in probes {
            let k = measured.probe(instrument).to_mm();
            let with = measured.with_probe(&self.on_bench(&by.places)?, instrument)?;
            variance += by_error * by_error * k * k + 2.0 * by_error * with;
        }
        Some(Length::mm(variance.max(0.0).sqrt()))
    }

    /// Returns the coverage factor of a figure with this standard uncertainty.
    pub(super) fn coverage(&self, by: &Sensitivities, standard: Option<Length>) -> f64 {
        let Bench { measured, doubts, .. } = self.bench;
        let owed = standard.filter(|_| measured.looks_into_coverage()).and_then(|u| {
            let mut owed = match by.places.is_empty() {
                true => Vec::new(),
                false => measured.owed_on_bench(&self.on_bench(&by.places)?)?,
            };
            let sizes = by.sizes.iter().map(|(size, derivative)| {
                let doubt = doubts.get(size.feature).copied().flatten()?;
                Some((doubt.touched, derivative * derivative))
            });
            let touches = by.touches.iter();
            let touches = touches.map(|(i, squares)| Some((Touched::single(*i, 1), *squares)));
            for one in sizes.chain(touches) {
                let (touched, scale) = one?;
                let source = |part| Source::Touch(part, touched.instrument);
                Owed::touches(measured.doubts(), touched, scale, source)
                    .for_each(|o| o.add(&mut owed));
            }
            // The probe constant, as far as it is not in there yet, is taken for exactly known.
            let sum: f64 = owed.iter().map(|o| o.variance).sum();
            let rest = u.to_mm() * u.to_mm() - sum;
            Owed { source: Source::Size, repeats: None, variance: rest }.add(&mut owed);
            Some(owed)
        });
        measured.covering(owed.as_deref())
    }

    /// Returns the covariance of a vector, mm².
    pub(super) fn covariance(&self, vector: &VectorBetween) -> Option<[[f64; 2]; 2]> {
        let along = |e| self.variance(&vector.along(e));
        let (xx, yy, both) = (along([1.0, 0.0])?, along([0.0, 1.0])?, along([1.0, 1.0])?);
        let xy = 0.5 * (both - xx - yy);
        Some([[xx, xy], [xy, yy]])
    }

    /// Variance of a sum of places in the frame, with what the frame itself brings.
    fn variance(&self, places: &[(usize, [f64; 2])]) -> Option<f64> {
        self.bench.measured.variance(&self.on_bench(places)?)
    }

    /// Derivatives by places in the frame, as derivatives by places on the bench.
    fn on_bench(&self, places: &[(usize, [f64; 2])]) -> Option<Vec<(usize, [f64; 2])>> {
        self.bench.measured.on_bench(&self.bench.frame, places)
    }
}
