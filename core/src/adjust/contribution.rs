//! The variance of a result, source by source, and its degrees of freedom (JCGM 100:2008, 5.1 and
//! annex G).

use crate::bench::{TouchComponent, TouchUncertainty, Touched};
use crate::chance::effective_degrees as welch_satterthwaite;

/// A source of uncertainty. Instruments by their index in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// The touches of a gauge, by component; those that set zeros not counted.
    Touch(TouchComponent, usize),
    /// Error of a gauge that grows with height.
    Scale(usize),
    /// Probe constant of a gauge.
    Probe(usize),
    /// Unknown difference of temperature between part and gauge.
    Temperature,
    /// Coefficients of expansion.
    Expansion,
    /// Angles of the orientations.
    Squareness,
    /// Zeros and rests: touches of a gauge.
    Zero(usize),
}

/// Part of the variance of a result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VarianceContribution {
    /// Where it comes from.
    pub source: Source,
    /// The gauge whose repeatability it is, if it is one: an estimate with its own degrees of freedom.
    pub repeatability_of: Option<usize>,
    /// Variance, mm².
    pub variance: f64,
}

/// Contributions in which every source stands once.
#[derive(Clone, Debug, Default)]
pub(super) struct Contributions(pub(super) Vec<VarianceContribution>);

impl Contributions {
    /// Adds a variance; one of two that cancel may be negative.
    pub(super) fn add(&mut self, source: Source, repeatability_of: Option<usize>, variance: f64) {
        if variance == 0.0 {
            return;
        }
        let same = |c: &&mut VarianceContribution| {
            (c.source, c.repeatability_of) == (source, repeatability_of)
        };
        match self.0.iter_mut().find(same) {
            Some(known) => known.variance += variance,
            None => self.0.push(VarianceContribution { source, repeatability_of, variance }),
        }
    }

    /// Adds the variance of a value made of touches, times `scale`.
    pub(super) fn touches(
        &mut self,
        uncertainty: &TouchUncertainty,
        of: Touched,
        scale: f64,
        source: impl Fn(TouchComponent) -> Source,
    ) {
        for (component, variance) in uncertainty.variances(of) {
            let repeatability = component == TouchComponent::Repeatability;
            let gauge = repeatability.then_some(of.instrument);
            self.add(source(component), gauge, scale * variance);
        }
    }
}

/// Effective degrees of freedom by Welch and Satterthwaite (JCGM 100:2008, G.4.1): all that comes from
/// the repeatability of one gauge comes from one estimate. Infinite where nothing was estimated.
#[must_use]
pub fn effective_degrees(of: &[VarianceContribution], uncertainty: &TouchUncertainty) -> f64 {
    let mut gauges: Vec<Option<usize>> = of.iter().map(|c| c.repeatability_of).collect();
    gauges.sort_unstable();
    gauges.dedup();
    welch_satterthwaite(gauges.into_iter().map(|gauge| {
        let own = of.iter().filter(|c| c.repeatability_of == gauge);
        let degrees = gauge.map_or(f64::INFINITY, |i| uncertainty.degrees(i));
        (own.map(|c| c.variance).sum(), degrees)
    }))
}
