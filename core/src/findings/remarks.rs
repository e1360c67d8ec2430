//! What the measurement itself gives to say: readings that fit badly, a zero that drifted, a
//! gauge too coarse for a tolerance. Reported with what to do, never corrected.

use super::{
    DatumLists, Measurement, Place, PlanProblem, Planned, Problem, ProblemKind, Toleranced,
};
use crate::adjust::{Adjustment, Residual};
use crate::bench::{Target, TemperatureCorrection, Tir, TouchUncertainty, Touched, faces_up};
use crate::callout::K;
use crate::chance::{Share, capability};
use crate::form::circle;
use crate::frame::touched_faces;
use crate::job::{Datum, DatumRef, Drawing, Feature, Job, PatternKind, Piece, Squareness, Touch};
use crate::notation::Figures;
use crate::quantity::{Length, Unit};

/// Two normalised residuals this near to each other say the same.
pub(super) const ALIKE: f64 = 0.98;

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
    let worst = found.suspects.first().and_then(|m| m.normalised).map_or(0.0, f64::abs);
    let figures = |orientation: u32| Some(Figures::of_readings(job, job.orientation(orientation)?));
    let mut list: Vec<Problem> = alike(&found.suspects)
        .filter_map(|m| {
            let what = ProblemKind::Misfit {
                orientation: m.orientation,
                feature: job.drawing.features.get(m.feature)?.name(),
                times: m.normalised.map_or(0.0, f64::abs),
                error: m.error,
                figures: figures(m.orientation)?,
            };
            Some(Problem::warns(Place::Orientation(m.orientation), what))
        })
        .collect();
    // A zero that is off shifts all its heights alike; a single wrong height moves it little.
    let zeros = found.doubtful_zeros.iter().filter(|z| z.normalised.abs() > worst).take(MOST);
    list.extend(zeros.filter_map(|z| {
        let what = ProblemKind::ZeroMisfit {
            orientation: z.orientation,
            times: z.normalised.abs(),
            error: z.error,
            figures: figures(z.orientation)?,
        };
        Some(Problem::warns(Place::Orientation(z.orientation), what))
    }));
    if list.is_empty()
        && let Some(probability) = found.probability.filter(|p| *p < 0.001)
    {
        let (chi_square, degrees) = (found.chi_square, found.degrees);
        let what = ProblemKind::TestFails { chi_square, degrees, probability };
        list.push(Problem::warns(Place::Drawing, what));
    }
    list
}

/// A temperature that is stated and corrects nothing.
pub(super) fn temperature(job: &Job, piece: &Piece, index: usize) -> Option<Problem> {
    TemperatureCorrection::not_applied(job, piece)
        .then(|| Problem::warns(Place::Piece(index), ProblemKind::IdleTemperature))
}

/// Datum circles through points that lie far from any circle: more than three hundredths of its radius
/// (common practice, no source).
pub(super) fn datum_circles(job: &Job, bench: &Adjustment, index: usize) -> Vec<Problem> {
    const FAR: f64 = 0.03;
    let (by_number, figures) = (job.drawing.by_number(), Figures::of_results(&job.drawing));
    let question = |datum: &Datum| {
        let pattern = datum.pattern.as_ref().filter(|p| p.kind == PatternKind::Circle)?;
        let points: Option<Vec<[f64; 2]>> = pattern
            .features
            .iter()
            .map(|number| bench.state(Target::Feature(*by_number.get(number.as_str())?)))
            .collect();
        let found = circle(&points?).ok()?.found()?;
        (found.worst() > FAR * found.radius).then(|| {
            let what = ProblemKind::DatumCircle {
                letter: datum.letter.clone(),
                worst: Length::mm(found.worst()),
                radius: Length::mm(found.radius),
                figures,
            };
            Problem::warns(Place::Piece(index), what)
        })
    };
    job.drawing.datums.iter().filter_map(question).collect()
}

/// A zero that read otherwise at the end of an orientation by more than four standard uncertainties of
/// the difference of two touches of one place. Where nothing is known of the gauge, by more than a tenth
/// of the tightest tolerance (both common practice, no source).
pub(super) fn drift(job: &Job, piece: &Piece, uncertainty: &TouchUncertainty) -> Vec<Problem> {
    const CLEAR: f64 = 4.0;
    if piece.zero_checks.is_empty() {
        return Vec::new();
    }
    let tightest = tightest(&job.drawing);
    piece
        .zero_checks
        .iter()
        .filter_map(|check| {
            let orientation = job.orientation(check.orientation)?;
            let figures = Figures::of_readings(job, orientation);
            let touch = one_touch(uncertainty, orientation.instrument);
            let by_gauge = touch.map(|u| u * (CLEAR * std::f64::consts::SQRT_2));
            let limit = by_gauge.or_else(|| Some(tightest? * 0.1))?;
            let drift = check.end.length(figures.unit);
            (!drift.abs().at_most(limit)).then(|| {
                let orientation = check.orientation;
                let what = ProblemKind::Drift { orientation, by: drift, limit, figures };
                Problem::warns(Place::Orientation(orientation), what)
            })
        })
        .collect()
}

/// Standard uncertainty of one touch against another of the same gauge; `None` where nothing is known of
/// the gauge.
fn one_touch(uncertainty: &TouchUncertainty, gauge: usize) -> Option<Length> {
    uncertainty.beside(gauge).or_else(|| {
        let single = Touched { plate: 0.0, ..Touched::single(gauge, 1) };
        uncertainty.known(gauge).then(|| uncertainty.standard(single))
    })
}

/// Faces that lie parallel to the plate and whose sweep shows more than the gauge explains: the part is
/// not seated, or the face is not parallel to the one that carries it. What is below a tenth of the
/// tightest tolerance is not said (common practice, no source).
pub(super) fn seats(job: &Job, piece: &Piece, uncertainty: &TouchUncertainty) -> Vec<Problem> {
    /// As improbable as a zero that is off: largest and smallest of several readings lie farther apart
    /// than two do.
    const CLEAR: f64 = 4.0;
    let least = tightest(&job.drawing).map(|t| t * 0.1);
    let swept = piece.sweeps.iter().filter_map(|sweep| {
        let orientation = job.orientation(sweep.orientation)?;
        let mut features = job.drawing.features.iter().enumerate();
        let (at, face) = features.find(|(_, f)| f.number == sweep.feature)?;
        if !faces_up(job, orientation).contains(&at) {
            return None;
        }
        let figures = Figures::of_readings(job, orientation);
        let touch = one_touch(uncertainty, orientation.instrument);
        let Tir { tir, standard } = Tir::of(sweep, figures.unit, touch);
        let limit = match (standard.map(|u| u * CLEAR), least) {
            (Some(by_gauge), Some(least)) => by_gauge.max(least),
            (by_gauge, least) => by_gauge.or(least)?,
        };
        (!tir.at_most(limit)).then(|| {
            let orientation = orientation.number;
            let face = face.name();
            let what = ProblemKind::NotParallel { orientation, face, tir, limit, figures };
            Problem::warns(Place::Orientation(orientation), what)
        })
    });
    swept.collect()
}

/// A height that is expected in an orientation and that its gauge does not reach.
pub(super) fn beyond_range(job: &Job, planned: &Planned) -> Option<Problem> {
    let orientation = job.orientation(planned.number)?;
    let instrument = job.instrument(orientation)?;
    let range = instrument.range?.length(instrument.unit);
    let heights = planned.expected.iter().filter(|e| e.touch != Touch::Size);
    let highest = heights.filter_map(|e| Some(e.raw?.abs())).reduce(Length::max)?;
    (!highest.at_most(range)).then(|| {
        let gauge = match instrument.called() {
            called if called.is_empty() => "The gauge".to_owned(),
            called => called,
        };
        let figures = Figures::of_readings(job, orientation);
        let orientation = orientation.number;
        let what = PlanProblem::BeyondRange { gauge, range, highest, orientation, figures };
        Problem::warns(Place::Orientation(orientation), ProblemKind::Plan(what))
    })
}

/// The tightest tolerance of a drawing, of size or position.
fn tightest(drawing: &Drawing) -> Option<Length> {
    let tolerances = drawing.features.iter().flat_map(|f| {
        let size = f.size.and_then(|s| s.limits(drawing.unit)).map(|l| l.tolerance());
        let position = f.position().map(|p| p.tolerance.length(drawing.unit));
        [size, position].into_iter().flatten()
    });
    tolerances.filter(|t| *t > Length::ZERO).reduce(Length::min)
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
        let asks =
            [(Toleranced::Size, size, of_size), (Toleranced::Position, position, of_position)];
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
    let named = |(_, what, feature): &(f64, Toleranced, &Feature)| (*what, feature.name());
    let what = ProblemKind::Coarse {
        worst: coarse.iter().take(MOST).map(named).collect(),
        more: coarse.len().saturating_sub(MOST),
        ratio,
        expanded: [of_size, of_position],
        figures,
    };
    vec![Problem::warns(Place::Drawing, what)]
}

/// A metric drawing whose positions are judged by a standard that it does not state.
pub(super) fn standard(job: &Job) -> Option<Problem> {
    let drawing = &job.drawing;
    let asks = drawing.features.iter().any(|f| f.position().is_some());
    let open = drawing.unit == Unit::Mm && !drawing.standard_is_stated() && asks;
    open.then(|| Problem::warns(Place::Drawing, ProblemKind::StandardNotStated))
}

/// Faces that may be out of square without being known, where the drawing has no outline to say how far
/// they reach.
pub(super) fn ends(job: &Job, lists: &DatumLists<'_>) -> Option<Problem> {
    let uncertain = |s: &Squareness| s.standard_radians().is_some();
    let bounded = job.plan.conditions.squareness_radians().is_some()
        || job.pieces.iter().flat_map(|p| &p.squareness).any(uncertain);
    if job.drawing.outline.is_some() || !bounded {
        return None;
    }
    let mut faces: Vec<usize> = lists.iter().flat_map(|list| faces(job, list)).collect();
    faces.sort_unstable();
    faces.dedup();
    let names: Vec<String> =
        faces.iter().filter_map(|f| job.drawing.features.get(*f)).map(Feature::name).collect();
    (!names.is_empty()).then(|| Problem::warns(Place::Drawing, ProblemKind::EndsAssumed(names)))
}

fn faces(job: &Job, datums: &[DatumRef]) -> Vec<usize> {
    let letters: Vec<String> = datums.iter().map(|d| d.letter.clone()).collect();
    touched_faces(job, &letters)
}
