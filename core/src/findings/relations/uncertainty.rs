//! How uncertain the figure of a relation is: by the one propagation of the adjustment.

use super::Bench;
use crate::adjust::{BenchSensitivities, Form, Sensitivities, SizeRef};
use crate::callout::K;
use crate::findings::judge::coverage;
use crate::frame::Frame;
use crate::quantity::Length;
use crate::relation::{Dependence, VectorBetween};

/// What is known of the uncertainty of everything that was measured.
#[derive(Clone, Copy)]
pub(super) struct Known<'r, 'a> {
    pub(super) bench: &'r Bench<'a>,
    /// The frame that the relation counts in.
    pub(super) frame: &'r Frame,
}

impl Known<'_, '_> {
    /// Whether the facts determine the difference that a figure depends on.
    pub(super) fn determines(&self, of: &Dependence) -> bool {
        match of {
            Dependence::Linear(by) => self.determines_places(by),
            Dependence::Distance { vector, .. } => self.determines_vector(vector),
            Dependence::Stated(_) => true,
        }
    }

    /// Whether the facts determine a vector.
    pub(super) fn determines_vector(&self, vector: &VectorBetween) -> bool {
        [[1.0, 0.0], [0.0, 1.0]].into_iter().all(|e| {
            let places = vector.along(e);
            self.determines_places(&Sensitivities { places, ..Sensitivities::default() })
        })
    }

    fn determines_places(&self, by: &Sensitivities) -> bool {
        let bench = &self.bench.measured.bench;
        by.places.is_empty()
            || self
                .on_bench(by)
                .is_some_and(|of| of.forms.iter().all(|(_, form)| bench.determines(form)))
    }

    /// Returns how a figure follows from what was measured on the bench.
    pub(super) fn on_bench(&self, by: &Sensitivities) -> Option<BenchSensitivities> {
        self.frame.to_bench(self.bench.job, &self.bench.measured.bench, by)
    }

    /// Returns the standard uncertainty of a figure and its coverage factor; without the former where
    /// that of anything it follows from is not known.
    pub(super) fn standard(&self, of: &BenchSensitivities) -> (Option<Length>, f64) {
        let Bench { job, measured, .. } = self.bench;
        let variance = measured.bench.variance(of);
        let standard = variance.map(|variance| Length::mm(variance.sqrt()));
        (standard, standard.map_or(K, |u| coverage(job, &measured.bench, of, u)))
    }

    /// Returns the covariance of a vector, mm²; `None` where it is not known.
    pub(super) fn covariance(&self, vector: &VectorBetween) -> Option<[[f64; 2]; 2]> {
        let along = |e| {
            let places = vector.along(e);
            let of = self.on_bench(&Sensitivities { places, ..Sensitivities::default() })?;
            self.bench.measured.bench.variance(&of)
        };
        let (xx, yy, both) = (along([1.0, 0.0])?, along([0.0, 1.0])?, along([1.0, 1.0])?);
        let xy = 0.5 * (both - xx - yy);
        Some([[xx, xy], [xy, yy]])
    }

    /// Returns the covariance of a vector with a size, mm².
    pub(super) fn covariance_with_size(&self, vector: &VectorBetween, of: SizeRef) -> [f64; 2] {
        let one = |(weight, form): &(f64, Form)| {
            let propagated = self.bench.measured.bench.propagated(form)?;
            Some(weight * propagated.covariance_with_size(of)?)
        };
        [[1.0, 0.0], [0.0, 1.0]].map(|e| {
            let places = vector.along(e);
            let of = self.on_bench(&Sensitivities { places, ..Sensitivities::default() });
            of.and_then(|of| of.forms.iter().map(one).sum::<Option<f64>>()).unwrap_or_default()
        })
    }
}
