//! The uncertainty budget of one result (JCGM 100:2008, clause 5, annexes G and H): each source
//! with what is known of it, how it is distributed, and its share.
//!
//! The shares are exact: what every touch, zero and common error has in the result follows from
//! the adjustment itself, along the direction in which the result is judged.

use crate::adjust::{Doubts, Owed, Part, Source, Touched};
use crate::callout::K;
use crate::chance::{effective_degrees, normal, student};
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

/// Puts together what a result owes to its sources.
pub(super) fn budget(job: &Job, doubts: &Doubts, owed: &[Owed], size: Option<Length>) -> Budget {
    let total: f64 = owed.iter().map(|o| o.variance).sum();
    let mut sources: Vec<Source> = owed.iter().map(|o| o.source).collect();
    sources.sort();
    sources.dedup();
    let of = |source: Source| owed.iter().filter(move |o| o.source == source);
    // What only rounding lets in is no source.
    sources.retain(|s| of(*s).map(|o| o.variance).sum::<f64>() > NOTHING * total);
    let mut gauges: Vec<usize> = sources.iter().filter_map(|s| gauge(*s)).collect();
    gauges.sort_unstable();
    gauges.dedup();
    let lines = sources
        .into_iter()
        .map(|source| {
            let own: Vec<Owed> = of(source).copied().collect();
            let variance: f64 = own.iter().map(|o| o.variance).sum();
            let degrees = effective(&own, doubts);
            let [name, suffix] = match gauge(source).filter(|_| gauges.len() > 1) {
                Some(i) => [", ", job.plan.instruments.get(i).map_or("", |i| i.name.as_str())],
                None => ["", ""],
            };
            let (distribution, divisor) = distribution(source);
            BudgetLine {
                name: format!("{}{name}{suffix}", words(source)),
                distribution,
                divisor,
                of_touch: itself(source, doubts, size),
                standard: Length::mm(variance.sqrt()),
                share: variance / total,
                degrees: degrees.is_finite().then_some(degrees),
            }
        })
        .collect();
    let degrees = effective(owed, doubts);
    Budget {
        lines,
        standard: Length::mm(total.sqrt()),
        degrees: degrees.is_finite().then_some(degrees),
        covering: covering(degrees),
    }
}

/// Effective degrees of freedom of what is owed. All that comes from the repeatability of one gauge
/// comes from one estimate.
pub(super) fn effective(owed: &[Owed], doubts: &Doubts) -> f64 {
    let mut gauges: Vec<Option<usize>> = owed.iter().map(|o| o.repeats).collect();
    gauges.sort_unstable();
    gauges.dedup();
    effective_degrees(gauges.into_iter().map(|gauge| {
        let variance: f64 = owed.iter().filter(|o| o.repeats == gauge).map(|o| o.variance).sum();
        (variance, gauge.map_or(f64::INFINITY, |i| doubts.degrees(i)))
    }))
}

/// The coverage factor for the level that two standard deviations of a normal distribution cover,
/// 95.45 %.
pub(super) fn covering(degrees: f64) -> f64 {
    if degrees.is_finite() { student::two_sided(2.0 * normal::cdf(K) - 1.0, degrees) } else { K }
}

const fn gauge(source: Source) -> Option<usize> {
    match source {
        Source::Touch(Part::Plate, _)
        | Source::Temperature
        | Source::Expansion
        | Source::Squareness
        | Source::Size => None,
        Source::Touch(_, i) | Source::Growth(i) | Source::Probe(i) | Source::Zero(i) => Some(i),
    }
}

const fn words(source: Source) -> &'static str {
    match source {
        Source::Touch(part, _) => part.name(),
        Source::Growth(_) => "error of the gauge growing with height",
        Source::Probe(_) => "probe constant",
        Source::Temperature => "difference of temperature",
        Source::Expansion => "coefficients of expansion",
        Source::Squareness => "squareness of the orientations",
        Source::Zero(_) => "setting of the zeros",
        Source::Size => "size, in the bonus",
    }
}

fn distribution(source: Source) -> (&'static str, f64) {
    let (root3, root12) = (3.0_f64.sqrt(), 12.0_f64.sqrt());
    match source {
        Source::Touch(Part::Resolution | Part::Plate, _) => ("uniform", root12),
        Source::Touch(Part::Error, _)
        | Source::Growth(_)
        | Source::Temperature
        | Source::Expansion
        | Source::Squareness => ("uniform", root3),
        Source::Touch(Part::Repeats | Part::Assumed, _) | Source::Probe(_) => ("normal", 1.0),
        Source::Zero(_) | Source::Size => ("combined", 1.0),
    }
}

/// Standard uncertainty of the source itself.
fn itself(source: Source, doubts: &Doubts, size: Option<Length>) -> Option<Length> {
    match source {
        Source::Touch(part, instrument) => {
            let single = doubts.variances(Touched::single(instrument, 1));
            let found = single.into_iter().find(|(p, _)| *p == part);
            found.map(|(_, variance)| Length::mm(variance.sqrt()))
        }
        Source::Zero(instrument) => Some(doubts.standard(Touched::single(instrument, 1))),
        Source::Probe(instrument) => Some(doubts.probe(instrument)),
        Source::Size => size,
        Source::Growth(_) | Source::Temperature | Source::Expansion | Source::Squareness => None,
    }
}
