//! What the measurement itself gives to say: readings that fit badly, a zero that drifted, a
//! gauge too coarse for a tolerance. Said in a sentence with what to do, never corrected.

use super::{Measurement, Place, Problem, Weight};
use crate::adjust::Residual;
use crate::bench::{TemperatureCorrection, TouchUncertainty, Touched};
use crate::callout::K;
use crate::chance::{Share, capability};
use crate::job::{Feature, Job, Piece};
use crate::quantity::Length;
use crate::show::{Figures, feature_name};

/// Two normalised residuals this near to each other say the same.
const ALIKE: f64 = 0.98;

/// How many features are named in one sentence.
const MOST: usize = 3;

/// Of suspects, worst first, those that count. A wrong reading makes good ones look bad (Baarda's
/// data snooping): only the worst one, and what cannot be told from it.
pub(super) fn alike(suspects: &[Residual]) -> impl Iterator<Item = &Residual> {
    let w = |m: &Residual| m.normalised.map_or(0.0, f64::abs);
    let worst = suspects.first().map_or(0.0, w);
    suspects.iter().take_while(move |m| w(m) >= ALIKE * worst).take(MOST)
}

/// Readings to be taken again, and the test of the whole.
pub(super) fn misfits(job: &Job, found: &Measurement) -> Vec<Problem> {
    let warn = |place, says| Problem { weight: Weight::Warns, place, says };
    let worst = found.suspects.first().and_then(|m| m.normalised).map_or(0.0, f64::abs);
    let mut list: Vec<Problem> = alike(&found.suspects)
        .filter_map(|m| {
            let feature = job.drawing.features.get(m.feature)?;
            let orientation = job.orientation(m.orientation)?;
            let figures = Figures::of_readings(job, orientation);
            let times = m.normalised.map_or(0.0, f64::abs);
            let by = m.error.map_or_else(String::new, |e| {
                format!(", and would be wrong by {} alone", figures.signed(e))
            });
            Some(warn(
                Place::Orientation(m.orientation),
                format!(
                    "The height of {} in orientation {} does not fit those of the other orientations: it \
                     is off by {times:.1} times its uncertainty{by}. Take it again; nothing was left out.",
                    feature_name(feature),
                    m.orientation
                ),
            ))
        })
        .collect();
    // A zero that is off shifts all its heights alike; a single wrong height moves it little.
    let zeros: Vec<_> =
        found.doubtful_zeros.iter().filter(|z| z.normalised.abs() > worst).take(MOST).collect();
    list.extend(zeros.iter().filter_map(|z| {
        let orientation = job.orientation(z.orientation)?;
        let figures = Figures::of_readings(job, orientation);
        Some(warn(
            Place::Orientation(z.orientation),
            format!(
                "All heights of orientation {} together are off against those of the others: its zero is \
                 off by {:.1} times its uncertainty, and would be wrong by {} alone. Set it again, and \
                 look at what the part lies on; nothing was changed.",
                z.orientation,
                z.normalised.abs(),
                figures.signed(z.error)
            ),
        ))
    }));
    if list.is_empty()
        && let Some(p) = found.probability.filter(|p| *p < 0.001)
    {
        list.push(warn(
            Place::Drawing,
            format!(
                "The orientations fit each other worse than the stated uncertainty allows (chi-square {:.1} \
                 with {} degrees of freedom, probability {p:.1e}), and no single reading stands out. Look at \
                 how the part stood, at burrs, and at the error limit entered for the gauge.",
                found.chi_square, found.degrees
            ),
        ));
    }
    list
}

/// A temperature that is stated and corrects nothing.
pub(super) fn temperature(job: &Job, piece: &Piece, index: usize) -> Option<Problem> {
    TemperatureCorrection::not_applied(job, piece).then(|| Problem {
        weight: Weight::Warns,
        place: Place::Piece(index),
        says: "The temperature stated corrects nothing: a coefficient of expansion or the temperature of \
               the part is missing. Enter both coefficients, or take the temperature as a record only."
            .to_owned(),
    })
}

/// A zero that read otherwise at the end of an orientation by more than a tenth of the tightest
/// tolerance (common practice, no source).
pub(super) fn drift(job: &Job, piece: &Piece) -> Vec<Problem> {
    let unit = job.drawing.unit;
    let tolerances = job.drawing.features.iter().flat_map(|f| {
        let size = f.size.and_then(|s| s.limits(unit)).map(|l| l.tolerance());
        let position = f.position().map(|p| p.tolerance.length(unit));
        [size, position].into_iter().flatten()
    });
    let tightest = tolerances.filter(|t| *t > Length::ZERO).reduce(Length::min);
    let Some(tightest) = tightest else { return Vec::new() };
    piece
        .zero_checks
        .iter()
        .filter_map(|check| {
            let orientation = job.orientation(check.orientation)?;
            let figures = Figures::of_readings(job, orientation);
            let drift = check.end.length(figures.unit);
            (!drift.abs().at_most(tightest * 0.1)).then(|| Problem {
                weight: Weight::Warns,
                place: Place::Orientation(check.orientation),
                says: format!(
                    "The zero of orientation {} read {} at its end, more than a tenth of the tightest \
                     tolerance. Set the zero again and repeat the orientation.",
                    check.orientation,
                    figures.signed(drift)
                ),
            })
        })
        .collect()
}

/// A gauge whose uncertainty is too large for a tolerance, said before anything is measured: T
/// against 2 U, 4:1 by convention (ASME B89.7.3.1; JCGM 106, 7.6).
pub(super) fn coarse(job: &Job) -> Vec<Problem> {
    let uncertainty = TouchUncertainty::of(job, &Piece::default());
    let unit = job.drawing.unit;
    let figures = Figures::of_drawing(&job.drawing).finer(1);
    let used: Vec<usize> = job.plan.orientations.iter().map(|o| o.instrument).collect();
    if used.is_empty() || used.iter().any(|i| !uncertainty.known(*i)) {
        return Vec::new();
    }
    let worst = used
        .iter()
        .map(|i| uncertainty.standard(Touched::single(*i, 1)))
        .reduce(Length::max)
        .unwrap_or_default();
    // A size is the difference of two touches; a position is twice the mean of two touches, less
    // a zero of one.
    let of_size = worst * (K * std::f64::consts::SQRT_2);
    let of_position = worst * (K * 2.0 * 1.5_f64.sqrt());
    let mut coarse = Vec::new();
    for feature in &job.drawing.features {
        let size = feature.size.and_then(|s| s.limits(unit)).map(|l| l.tolerance());
        let position = feature.position().map(|p| p.tolerance.length(unit));
        let asks = [("size", size, of_size), ("position", position, of_position)];
        for (what, tolerance, expanded) in asks {
            let Some(tolerance) = tolerance.filter(|t| *t > Length::ZERO) else { continue };
            let found = capability(tolerance.to_mm(), expanded.to_mm());
            if found.share == Share::Coarse {
                coarse.push((found.ratio, what, feature));
            }
        }
    }
    coarse.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some(&(ratio, ..)) = coarse.first() else { return Vec::new() };
    // At every keystroke: only what is named is put into words.
    let named =
        |(_, what, feature): &(f64, &str, &Feature)| format!("{what} of {}", feature_name(feature));
    let listed: Vec<String> = coarse.iter().take(MOST).map(named).collect();
    let more = coarse.len().saturating_sub(MOST);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    vec![Problem {
        weight: Weight::Warns,
        place: Place::Drawing,
        says: format!(
            "The gauge is coarse for {}{more}: the tolerance is less than four times the width of \
             the uncertainty, ±{} for a size and ±{} for a position (worst {ratio:.1}:1). Repeat touches, \
             use a finer gauge, or decide with a guard band.",
            listed.join(", "),
            figures.plain(of_size),
            figures.plain(of_position)
        ),
    }]
}
