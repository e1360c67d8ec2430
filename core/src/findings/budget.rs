//! The uncertainty budget of one result (JCGM 100:2008, clause 5, annexes G and H): each source
//! with what is known of it, how it is distributed, and its share.
//!
//! The shares are exact: what every touch, zero and common error has in the result follows from
//! the adjustment itself, along the direction in which the result is judged.

use crate::adjust::{Adjustment, Source, VarianceContribution, effective_degrees};
use crate::bench::{TouchComponent, TouchUncertainty, Touched};
use crate::chance::coverage_factor;
use crate::job::Job;
use crate::quantity::Length;
use serde::Serialize;

/// What the uncertainty of one result is made of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Budget {
    /// Every source that has a share, in the order of the sources.
    pub lines: Vec<BudgetLine>,
    /// Combined standard uncertainty of the margin of the position (twice the radius, and the bonus
    /// where one was earned) or, where no position is asked, of the coordinate.
    pub standard: Length,
    /// Effective degrees of freedom (Welch and Satterthwaite, G.4.1); `None` where nothing was
    /// estimated from repeats.
    pub degrees: Option<f64>,
    /// The coverage factor that covers 95.45 % at these: t (G.3.2), 2 where they are infinite.
    pub covering: f64,
}

/// One source of uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BudgetLine {
    /// What it is: `error of the gauge`.
    pub name: String,
    /// How it is distributed: `uniform`, `normal`; `combined` where it is made of several.
    pub distribution: &'static str,
    /// What its limit or deviation is divided by to make a standard uncertainty.
    pub divisor: f64,
    /// Standard uncertainty of the source itself, of a single touch; absent where it is no length.
    pub of_touch: Option<Length>,
    /// What it adds to the combined standard uncertainty.
    pub standard: Length,
    /// Share of the variance, 0 to 1.
    pub share: f64,
    /// Degrees of freedom, where it was estimated from repeats.
    pub degrees: Option<f64>,
}

/// A share of the variance that is none.
const NOTHING: f64 = 1e-12;

/// The budget of a result with these contributions to its variance.
pub(super) fn budget(job: &Job, bench: &Adjustment, of: &[VarianceContribution]) -> Budget {
    let uncertainty = &bench.facts().uncertainty;
    let total: f64 = of.iter().map(|c| c.variance).sum();
    let mut sources: Vec<Source> = of.iter().map(|c| c.source).collect();
    sources.sort();
    sources.dedup();
    let own = |source: Source| of.iter().filter(move |c| c.source == source);
    // What only rounding lets in is no source.
    sources.retain(|s| own(*s).map(|c| c.variance).sum::<f64>() > NOTHING * total);
    let mut gauges: Vec<usize> = sources.iter().filter_map(|s| gauge(*s)).collect();
    gauges.sort_unstable();
    gauges.dedup();
    let lines = sources
        .into_iter()
        .map(|source| {
            let own: Vec<VarianceContribution> = own(source).copied().collect();
            let variance: f64 = own.iter().map(|c| c.variance).sum();
            let degrees = effective_degrees(&own, uncertainty);
            let [name, suffix] = match gauge(source).filter(|_| gauges.len() > 1) {
                Some(i) => [", ", job.plan.instruments.get(i).map_or("", |i| i.name.as_str())],
                None => ["", ""],
            };
            let (distribution, divisor) = distribution(source);
            BudgetLine {
                name: format!("{}{name}{suffix}", words(source)),
                distribution,
                divisor,
                of_touch: itself(source, uncertainty),
                standard: Length::mm(variance.sqrt()),
                share: variance / total,
                degrees: degrees.is_finite().then_some(degrees),
            }
        })
        .collect();
    let degrees = effective_degrees(of, uncertainty);
    Budget {
        lines,
        standard: Length::mm(total.sqrt()),
        degrees: degrees.is_finite().then_some(degrees),
        covering: coverage_factor(degrees),
    }
}

const fn gauge(source: Source) -> Option<usize> {
    match source {
        Source::Touch(TouchComponent::Plate, _)
        | Source::Temperature
        | Source::Expansion
        | Source::Squareness => None,
        Source::Touch(_, i) | Source::Scale(i) | Source::Probe(i) | Source::Zero(i) => Some(i),
    }
}

const fn words(source: Source) -> &'static str {
    match source {
        Source::Touch(part, _) => part.name(),
        Source::Scale(_) => "gauge error growing with height",
        Source::Probe(_) => "probe constant",
        Source::Temperature => "temperature difference",
        Source::Expansion => "coefficients of expansion",
        Source::Squareness => "squareness of the orientations",
        Source::Zero(_) => "zero setting",
    }
}

fn distribution(source: Source) -> (&'static str, f64) {
    let (root3, root12) = (3.0_f64.sqrt(), 12.0_f64.sqrt());
    match source {
        Source::Touch(TouchComponent::Resolution | TouchComponent::Plate, _) => ("uniform", root12),
        Source::Touch(TouchComponent::Error, _)
        | Source::Scale(_)
        | Source::Temperature
        | Source::Expansion
        | Source::Squareness => ("uniform", root3),
        Source::Touch(TouchComponent::Repeatability | TouchComponent::Assumed, _)
        | Source::Probe(_) => ("normal", 1.0),
        Source::Zero(_) => ("combined", 1.0),
    }
}

/// Standard uncertainty of the source itself.
fn itself(source: Source, uncertainty: &TouchUncertainty) -> Option<Length> {
    match source {
        Source::Touch(component, instrument) => {
            let single = uncertainty.variances(Touched::single(instrument, 1));
            let found = single.into_iter().find(|(own, _)| *own == component);
            found.map(|(_, variance)| Length::mm(variance.sqrt()))
        }
        Source::Zero(instrument) => Some(uncertainty.standard(Touched::single(instrument, 1))),
        Source::Probe(instrument) => Some(uncertainty.probe(instrument)),
        Source::Scale(_) | Source::Temperature | Source::Expansion | Source::Squareness => None,
    }
}
