//! From adjusted facts and frames to findings of features and patterns. Every step is a function of
//! what the steps before it returned.

use super::demand::Demand;
use super::pattern_judgement::{PatternJudged, judge_patterns};
use super::{Coordinate, DatumLists, Fault, FeatureFinding, Frames, PatternFinding, Rework};
use crate::adjust::{Adjustment, BenchSensitivities, SizeRef, effective_degrees};
use crate::callout::{
    Bonus, K, PlaceEvidence, PositionFinding, Salvage, SizeEvidence, SizeFinding, SizeKnown,
    SizeSeen, Unjudged, Verdict, Zone, decisive, judge_position, judge_size, prove_position,
    prove_size, salvage,
};
use crate::chance::coverage_factor;
use crate::frame::Located;
use crate::job::{Coverage, Job};
use crate::quantity::{Axis, Figure, Length};

/// Everything that was measured of a piece.
pub(super) struct Measured {
    /// The adjusted facts.
    pub(super) bench: Adjustment,
    /// The datum frames of all callouts.
    pub(super) frames: Frames,
}

/// The findings of one piece's features and patterns.
pub(super) struct Judged {
    pub(super) features: Vec<FeatureFinding>,
    pub(super) patterns: Vec<PatternFinding>,
    /// How the margin of each pattern follows from what was measured.
    pub(super) sensitivities: Vec<Option<BenchSensitivities>>,
}

/// What is known of a feature before its positions are judged.
pub(super) struct Sized {
    pub(super) size: SizeFinding,
    pub(super) fault: Option<Fault>,
}

/// Judges all features and patterns of a piece. `in_question` says of which features a reading is
/// asked about.
pub(super) fn judge(
    job: &Job,
    datums: &DatumLists<'_>,
    demands: &[Demand<'_>],
    measured: &Measured,
    in_question: &[bool],
) -> Judged {
    let bench = &measured.bench;
    let by_feature = sizes_by_feature(job, bench);
    let sized: Vec<Sized> = demands
        .iter()
        .zip(by_feature)
        .enumerate()
        .map(|(f, (demand, seen))| sized(job, bench, (f, demand), seen))
        .collect();
    let located: Vec<Vec<Located<'_>>> =
        demands.iter().enumerate().map(|(f, d)| located(job, measured, f, d)).collect();
    let mut positions: Vec<Vec<PositionFinding>> = demands
        .iter()
        .zip(&located)
        .zip(&sized)
        .enumerate()
        .map(|(f, ((demand, located), sized))| {
            positions(job, measured, (f, demand), located, &sized.size)
        })
        .collect();
    let mut judged =
        Judged { features: Vec::new(), patterns: Vec::new(), sensitivities: Vec::new() };
    for pattern in judge_patterns(job, datums, demands, measured, &sized, &positions) {
        let PatternJudged { finding, members, sensitivities } = pattern;
        for ((feature, segment), position) in members {
            if let Some(slot) = positions.get_mut(feature).and_then(|p| p.get_mut(segment)) {
                *slot = position;
            }
        }
        judged.patterns.push(finding);
        judged.sensitivities.push(sensitivities);
    }
    let contradicted = contradicted(job, bench);
    let features = demands.iter().zip(&located).zip(sized).zip(positions).enumerate();
    judged.features = features
        .map(|(f, (((demand, located), sized), positions))| {
            let in_question = in_question.get(f).copied().unwrap_or(false)
                || suspected(bench).any(|feature| feature == f);
            let contradicted = contradicted.get(f).copied().unwrap_or(false);
            let said = (in_question, contradicted);
            feature(job, demand, located.first(), sized, positions, said)
        })
        .collect();
    judged.features = without_hopeless_salvage(&judged.patterns, judged.features);
    judged
}

/// The sizes read of each feature, in the order of the plan.
fn sizes_by_feature(job: &Job, bench: &Adjustment) -> Vec<Vec<SizeSeen>> {
    let mut seen = vec![Vec::new(); job.drawing.features.len()];
    for size in &bench.facts().sizes {
        let orientation = job.plan.orientations.get(size.orientation).map_or(0, |o| o.number);
        seen[size.feature].push(SizeSeen { orientation, size: size.size });
    }
    seen
}

fn sized(
    job: &Job,
    bench: &Adjustment,
    (f, demand): (usize, &Demand<'_>),
    seen: Vec<SizeSeen>,
) -> Sized {
    let feature = demand.feature;
    let modifier = feature.position().map(|p| p.modifier).unwrap_or_default();
    let size = judge_size(feature.kind, demand.limits, modifier, seen);
    let contradict = size.seen.iter().any(|s| s.size <= Length::ZERO);
    let fault = demand.fault.clone().or(contradict.then_some(Fault::Touches));
    let known = size.seen.iter().map(|s| {
        let of = SizeRef { feature: f, orientation: s.orientation };
        let standard = bench.size_standard(of)?;
        let sensitivities =
            BenchSensitivities { sizes: vec![(of, 1.0)], ..BenchSensitivities::default() };
        Some((standard, coverage(job, bench, &sensitivities, standard)))
    });
    let known: Vec<Option<SizeKnown>> = known.collect();
    Sized { size: prove_size(size, &known, job.plan.decision_rule), fault }
}

/// A feature in the frame of each segment of its callouts; without a callout, in that of all datums.
fn located<'m>(
    job: &Job,
    measured: &'m Measured,
    f: usize,
    demand: &Demand<'_>,
) -> Vec<Located<'m>> {
    let (bench, frames) = (&measured.bench, &measured.frames);
    if demand.asks.is_empty() {
        return vec![frames.drawing().locate(job, bench, f)];
    }
    demand.asks.iter().map(|ask| frames.get(ask.list).locate(job, bench, f)).collect()
}

/// Judges every segment of every position callout of a feature in its own frame, by itself.
fn positions(
    job: &Job,
    measured: &Measured,
    (f, demand): (usize, &Demand<'_>),
    located: &[Located<'_>],
    size: &SizeFinding,
) -> Vec<PositionFinding> {
    let unit = job.drawing.unit;
    let bench = &measured.bench;
    let feature = demand.feature;
    demand
        .asks
        .iter()
        .zip(located)
        .map(|(ask, located)| {
            let frame = measured.frames.get(ask.list);
            let at = [0, 1].map(|k| {
                let axis = if k == 0 { Axis::X } else { Axis::Y };
                Some(Length::mm(located.measured(k)?) - feature.basic(axis, unit)?)
            });
            let seen =
                ask.needs(feature.kind).iter().zip(at).all(|(needed, at)| !needed || at.is_some());
            // What was not read of the feature itself is said first.
            let unframed = frame.lacks(ask.needs(feature.kind)).filter(|why| {
                seen || reads(job, f, bench, ask.needs(feature.kind))
                    || !matches!(why, Unjudged::DatumNotMeasured(_))
            });
            let unjudged = ask.unjudged.clone().or(unframed.cloned());
            let position = judge_position(&ask.asked(feature.kind), at, size, unjudged);
            let evidence = evidence(job, bench, f, located, &position, size);
            prove_position(position, at, &evidence, job.plan.decision_rule)
        })
        .collect()
}

/// Whether a feature itself was read along all axes that are needed.
fn reads(job: &Job, f: usize, bench: &Adjustment, needs: [bool; 2]) -> bool {
    let read = bench.facts().read.get(f).copied().unwrap_or_default();
    let round = job.drawing.features.get(f).is_some_and(|f| f.kind.is_round());
    round && needs.iter().zip(read).all(|(needed, read)| !needed || read)
}

/// The uncertainty of a position: covariance of its place, of the size that made its bonus, and of the
/// two together.
fn evidence(
    job: &Job,
    bench: &Adjustment,
    f: usize,
    located: &Located<'_>,
    position: &PositionFinding,
    size: &SizeFinding,
) -> PlaceEvidence {
    let used = bonus_size(f, position, size);
    let size = used.and_then(|of| {
        let standard = bench.size_standard(of)?;
        Some(SizeEvidence { standard, with: located.covariance_with_size(of) })
    });
    let covariance = located.covariance();
    let mut evidence = PlaceEvidence { covariance, size, k: K };
    if bench.has_estimated_repeatability()
        && let Some(of) = margin_on_bench(located, position, covariance, used)
        && let Some(variance) = bench.variance(&of)
    {
        evidence.k = coverage(job, bench, &of, Length::mm(variance.sqrt()));
    }
    evidence
}

/// The size of feature `f` that earned the bonus of its position.
fn bonus_size(f: usize, position: &PositionFinding, size: &SizeFinding) -> Option<SizeRef> {
    let earned = matches!(position.bonus, Bonus::Earned { .. });
    let seen = size.used(position.kind, position.modifier).filter(|_| earned)?;
    Some(SizeRef { feature: f, orientation: seen.orientation })
}

/// How the margin of a position follows from what was measured: from its place, and from the size that
/// made its bonus.
fn margin_on_bench(
    located: &Located<'_>,
    position: &PositionFinding,
    covariance: Option<[[f64; 2]; 2]>,
    used: Option<SizeRef>,
) -> Option<BenchSensitivities> {
    let e = decisive(position.zone, position.before(), covariance?)?;
    let grows = if position.grows_with_size() { 1.0 } else { -1.0 };
    located.to_bench(e.map(|e| -2.0 * e), used.map(|of| (of, grows)).into_iter().collect())
}

/// The coverage factor of a result with this standard uncertainty: as the plan asks, and by the
/// effective degrees of freedom wherever these are few.
pub(super) fn coverage(
    job: &Job,
    bench: &Adjustment,
    of: &BenchSensitivities,
    standard: Length,
) -> f64 {
    /// From so many degrees of freedom on they are many: t is within 5 % of 2 (common practice, no
    /// source).
    const MANY: f64 = 30.0;
    if !bench.has_estimated_repeatability() {
        return K;
    }
    let variance = standard.to_mm() * standard.to_mm();
    let Some(parts) = bench.repeatability(of, variance) else { return K };
    let degrees = effective_degrees(&parts, &bench.facts().uncertainty);
    match job.plan.coverage {
        Coverage::Two if degrees >= MANY => K,
        Coverage::Two | Coverage::Effective => coverage_factor(degrees),
    }
}

/// Puts together what was found of a feature.
fn feature(
    job: &Job,
    demand: &Demand<'_>,
    located: Option<&Located<'_>>,
    Sized { size, fault }: Sized,
    positions: Vec<PositionFinding>,
    (in_question, contradicted): (bool, bool),
) -> FeatureFinding {
    let feature = demand.feature;
    let coordinate = |k: usize, basic: Option<Figure>| match located
        .and_then(|located| located.measured(k))
        .map(Length::mm)
    {
        Some(at) => {
            Coordinate::Measured { at, deviation: basic.map(|b| at - b.length(job.drawing.unit)) }
        }
        None if demand.needs[k] => Coordinate::NotMeasured,
        None => Coordinate::NotRequired,
    };
    let (x, y) = (coordinate(0, feature.x), coordinate(1, feature.y));
    let measured_at_all = x.at().is_some() || y.at().is_some();
    let covariance = located.filter(|_| measured_at_all).and_then(|l| l.covariance());
    // What is doubtful is touched again before anything is cut.
    let salvage = (!in_question && fault.is_none())
        .then(|| salvage(feature.kind, &size, positions.iter(), job.plan.decision_rule))
        .flatten();
    let asked = feature.size.is_some() || !positions.is_empty();
    let position = positions.iter().map(|p| p.verdict).fold(Verdict::NothingAsked, Verdict::and);
    let verdict = match fault {
        // What is asked is not known, be it a callout, a size or a coordinate.
        Some(Fault::NotUnderstood(_)) => Verdict::CannotBeJudged,
        Some(_) if asked => Verdict::CannotBeJudged,
        _ => size.verdict.and(position),
    };
    let mut positions = positions.into_iter();
    FeatureFinding {
        number: feature.number.clone(),
        kind: feature.kind,
        x,
        y,
        covariance,
        size,
        position: positions.next(),
        further: positions.collect(),
        salvage,
        fault,
        in_question,
        contradicted: contradicted && measured_at_all,
        verdict,
    }
}

/// Features of which a height agrees so badly with the others that it should be measured again.
fn suspected(bench: &Adjustment) -> impl Iterator<Item = usize> + '_ {
    let known = bench.is_known();
    super::remarks::alike(&bench.suspects).filter(move |_| known).map(|m| m.feature)
}

/// For each feature, whether readings that its place depends on contradict each other: its own where
/// single heights stand out, and all of them where a zero or nothing does.
fn contradicted(job: &Job, bench: &Adjustment) -> Vec<bool> {
    let count = job.drawing.features.len();
    if !bench.contradicts() {
        return vec![false; count];
    }
    if bench.suspects.is_empty() || !bench.doubtful_zeros.is_empty() {
        return vec![true; count];
    }
    (0..count).map(|f| bench.suspects.iter().any(|s| s.feature == f)).collect()
}

/// Where one feature that must be reworked cannot be brought to the size that it needs, bringing the
/// others to theirs saves nothing.
fn without_hopeless_salvage(
    patterns: &[PatternFinding],
    mut features: Vec<FeatureFinding>,
) -> Vec<FeatureFinding> {
    let possible = |f: &FeatureFinding| matches!(f.salvage, Some(Salvage::Possible { .. }));
    for pattern in patterns {
        let Some(Rework::Features { features: set, .. }) = &pattern.rework else { continue };
        let all = set.iter().all(|(i, _)| features.get(*i).is_some_and(possible));
        for (i, _) in set.iter().filter(|_| !all) {
            if let Some(f) = features.get_mut(*i).filter(|f| possible(f)) {
                f.salvage = None;
            }
        }
    }
    features
}

/// How the result that a feature's budget is about follows from what was measured: the margin of its
/// position, or of the pattern that it is shifted with, or its coordinate where no position is asked.
pub(super) fn deciding_sensitivities(
    job: &Job,
    demands: &[Demand<'_>],
    measured: &Measured,
    judged: &Judged,
    f: usize,
) -> Option<BenchSensitivities> {
    let (demand, found) = (demands.get(f)?, judged.features.get(f)?);
    let Some(position) = &found.position else {
        // A coordinate by itself, or of two the one along the deviation.
        let zone = match [found.x, found.y].map(|c| c.at().is_some()) {
            [true, false] => Zone::Planes(Axis::X),
            [false, true] => Zone::Planes(Axis::Y),
            _ => Zone::Round,
        };
        let deviation = [found.x, found.y].map(|c| Some(c.deviation().unwrap_or_default()));
        let e = decisive(zone, deviation, found.covariance?)?;
        return located(job, measured, f, demand).first()?.to_bench(e, Vec::new());
    };
    if let Some(shifted) = position.shifted {
        return judged.sensitivities.get(shifted.pattern)?.clone();
    }
    let used = bonus_size(f, position, &found.size);
    let located = located(job, measured, f, demand);
    margin_on_bench(located.first()?, position, found.covariance, used)
}
