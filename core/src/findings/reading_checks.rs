//! What the readings of an orientation look like together: a probe constant forgotten, applied
//! twice or with the wrong sign; two features exchanged; readings far from the pattern where no
//! height can be expected. Reported with what to do, never corrected.

use super::{Place, ProbeCause, Problem, ProblemKind};
use crate::bench::{Guess, Question, probe_constant, question_limit};
use crate::job::{Feature, Job, Limits, Probe, Touch};
use crate::notation::Figures;
use crate::quantity::{Length, Point};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeMap;

/// How many sizes must agree before they say anything of the probe: fewer are a matter of the
/// part.
const ENOUGH: usize = 2;

/// A constant that explains the sizes shows at least this much over what the part may vary
/// (common practice, no source).
const CLEAR: Length = Length::mm(0.25);

/// What was read of one feature in one orientation, as far as the patterns ask.
#[derive(Clone, Copy, Debug)]
pub(super) struct ReadingSummary {
    /// Index of the feature in the drawing.
    pub(super) feature: usize,
    /// Index of the orientation in the plan.
    pub(super) orientation: usize,
    /// Its basic position.
    pub(super) basic: Point,
    /// Coordinate along the direction that is up, with the offset of the orientation in it where
    /// that is not known; absent where it counts from another zero than the others.
    pub(super) along: Option<Length>,
    /// Whether its height could be foreseen, and so was asked about where it is far off.
    pub(super) foreseen: bool,
    /// Size, with its limits.
    pub(super) size: Option<(Length, Option<Limits>)>,
}

/// All that the summaries and the questions of one piece look like together. In the orientations
/// `turned` the part stood otherwise than stated, which is said.
pub(super) fn reading_checks(
    job: &Job,
    piece: usize,
    summaries: &[ReadingSummary],
    questions: &[Question],
    turned: &[u32],
) -> Vec<Problem> {
    let mut list = probe(job, piece, summaries, questions);
    let explained = !list.is_empty();
    list.extend(exchanged(job, questions));
    if !explained {
        list.extend(sizes(job, summaries));
    }
    list.extend(heights(job, summaries, turned));
    list
}

/// How much material the size shows too little of: too small a hole and too large a boss count
/// alike, as a probe constant that is missing has them.
fn short(feature: &Feature, size: Length, limits: Limits) -> Length {
    if feature.kind.is_internal() { limits.middle() - size } else { size - limits.middle() }
}

/// The sizes of each instrument against those of the drawing. With K the probe constant, one that
/// was forgotten leaves every hole short by K and every boss over by K, one applied twice does
/// the contrary, and one with the wrong sign shows as 2 K.
fn probe(
    job: &Job,
    piece: usize,
    summaries: &[ReadingSummary],
    questions: &[Question],
) -> Vec<Problem> {
    let mut by_orientation: BTreeMap<usize, Vec<(Length, Length)>> = BTreeMap::new();
    for g in summaries {
        let Some(feature) = job.drawing.features.get(g.feature) else { continue };
        if let Some((size, Some(limits))) = g.size {
            let short = short(feature, size, limits);
            by_orientation.entry(g.orientation).or_default().push((short, limits.tolerance()));
        }
    }
    // One sentence for each instrument and what its sizes look like.
    let mut found: BTreeMap<(usize, ProbeCause), (Vec<u32>, Length)> = BTreeMap::new();
    let mut all: FxHashMap<usize, usize> = FxHashMap::default();
    for (o, sizes) in &by_orientation {
        let Some(orientation) = job.plan.orientations.get(*o) else { continue };
        let Some(instrument) = job.instrument(orientation) else { continue };
        // What was read in the other unit says nothing of the probe.
        let units = questions.iter().filter(|q| q.guess == Guess::Unit);
        if units.filter(|q| q.orientation == orientation.number).count() > 1 {
            continue;
        }
        *all.entry(orientation.instrument).or_default() += 1;
        let constant = match instrument.probe {
            Probe::AppliedByGauge => None,
            Probe::Constant(_) | Probe::Found => probe_constant(instrument),
        };
        let Some((cause, by)) = cause(sizes, constant) else { continue };
        let entry = found.entry((orientation.instrument, cause)).or_default();
        entry.0.push(orientation.number);
        entry.1 = by;
    }
    found
        .into_iter()
        .filter_map(|((instrument, cause), (orientations, by))| {
            let figures = Figures::of_readings(job, job.orientation(*orientations.first()?)?);
            let place = match orientations.as_slice() {
                [one] if all.get(&instrument).is_some_and(|n| *n > 1) => Place::Orientation(*one),
                _ => Place::Piece(piece),
            };
            let what = ProblemKind::SizesOff { orientations, cause, by, figures };
            Some(Problem::warns(place, what))
        })
        .collect()
}

/// What the sizes of an orientation, each with how short it is and its tolerance, have in common
/// that the tolerances do not explain.
fn cause(sizes: &[(Length, Length)], constant: Option<Length>) -> Option<(ProbeCause, Length)> {
    if sizes.len() < ENOUGH {
        return None;
    }
    let mut rising: Vec<Length> = sizes.iter().map(|(short, _)| *short).collect();
    rising.sort_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
    let median = *rising.get(rising.len() / 2)?;
    let widest = sizes.iter().map(|(_, t)| *t).reduce(Length::max)?;
    let near = |a: Length, b: Length, tolerance: Length| (a - b).abs() <= tolerance;
    // One size may be wrong for another reason.
    let agree = sizes.iter().filter(|(short, t)| near(*short, median, (*t).max(widest))).count();
    let most = if sizes.len() > 3 { sizes.len() - 1 } else { sizes.len() };
    if agree < most || median.abs() <= widest {
        return None;
    }
    let is = |of: Length| near(median, of, widest) && of.abs() > widest * 1.5;
    match constant {
        // Readings without K, and K entered with the wrong sign, leave −2 K as entered.
        Some(k) if is(k * -2.0) => Some((ProbeCause::WrongSign, median)),
        Some(k) if is(-k) => Some((ProbeCause::Twice, k)),
        Some(_) if median.abs() > CLEAR => Some((ProbeCause::Other, median)),
        None if median > CLEAR.max(widest * 2.0) => Some((ProbeCause::Forgotten, median)),
        _ => None,
    }
}

/// First readings of one touch that are far off, by the orientation and the touch they belong to; each
/// list rises with the expected height.
type FarOff<'a> = FxHashMap<(u32, Touch), Vec<(usize, &'a Question)>>;

/// Two features of one orientation each of which reads what the other should.
fn exchanged(job: &Job, questions: &[Question]) -> Vec<Problem> {
    let far = |q: &&Question| q.repeat == 0 && matches!(q.guess, Guess::Other { .. });
    let mut alike: FarOff<'_> = FxHashMap::default();
    for (at, q) in questions.iter().enumerate().filter(|(_, q)| far(q)) {
        alike.entry((q.orientation, q.touch)).or_default().push((at, q));
    }
    for list in alike.values_mut() {
        list.sort_by(|(_, a), (_, b)| a.expected.to_mm().total_cmp(&b.expected.to_mm()));
    }
    let mut said: FxHashSet<(u32, usize, usize)> = FxHashSet::default();
    let mut list = Vec::new();
    for (at, a) in questions.iter().enumerate().filter(|(_, q)| far(q)) {
        let Some(feature) = job.drawing.features.get(a.feature) else { continue };
        let limit = question_limit(job, feature);
        let Some(others) = alike.get(&(a.orientation, a.touch)) else { continue };
        // Only those are looked at that should read what this one reads.
        let from = others.partition_point(|(_, b)| a.raw - b.expected > limit);
        let reach = others.iter().skip(from).take_while(|(_, b)| b.expected - a.raw <= limit);
        let partner = reach
            .filter(|(later, b)| *later > at && b.feature != a.feature)
            .filter(|(_, b)| (b.raw - a.expected).abs() <= limit)
            .min_by_key(|(later, _)| *later);
        let Some((_, b)) = partner else { continue };
        if !said.insert((a.orientation, a.feature, b.feature)) {
            continue;
        }
        let names = [a, *b].map(|q| job.drawing.features.get(q.feature).map(Feature::name));
        let [Some(one), Some(other)] = names else { continue };
        let orientation = a.orientation;
        let what = ProblemKind::Exchanged { orientation, features: [one, other] };
        list.push(Problem::warns(Place::Orientation(orientation), what));
    }
    list
}

/// Sizes far from the drawing where the heights could not be foreseen and nothing was asked yet.
fn sizes(job: &Job, summaries: &[ReadingSummary]) -> Vec<Problem> {
    summaries
        .iter()
        .filter(|g| !g.foreseen)
        .filter_map(|g| {
            let feature = job.drawing.features.get(g.feature)?;
            let orientation = job.plan.orientations.get(g.orientation)?;
            let (size, limits) = g.size?;
            let off = size - limits?.middle();
            (off.abs() > question_limit(job, feature)).then(|| {
                let what = ProblemKind::SizeOff {
                    orientation: orientation.number,
                    feature: feature.name(),
                    by: off,
                    figures: Figures::of_readings(job, orientation),
                };
                Problem::warns(Place::Orientation(orientation.number), what)
            })
        })
        .collect()
}

/// Heights far from the pattern over an offset that is not known: the median of what is left is
/// the offset. Three features or more, of which most must agree.
fn heights(job: &Job, summaries: &[ReadingSummary], turned: &[u32]) -> Vec<Problem> {
    let mut list = Vec::new();
    for (o, orientation) in job.plan.orientations.iter().enumerate() {
        let of = |g: &ReadingSummary| g.along.map(|along| along - g.basic.along(orientation.up()));
        let here = || summaries.iter().filter(|g| g.orientation == o && !g.foreseen);
        let mut rising: Vec<Length> = here().filter_map(of).collect();
        if rising.len() < 3 || turned.contains(&orientation.number) {
            continue;
        }
        rising.sort_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
        let Some(median) = rising.get(rising.len() / 2).copied() else { continue };
        let far: Vec<(&ReadingSummary, Length)> = here()
            .filter_map(|g| Some((g, of(g)? - median)))
            .filter(|(g, off)| {
                let feature = job.drawing.features.get(g.feature);
                feature.is_some_and(|f| off.abs() > question_limit(job, f))
            })
            .collect();
        if far.is_empty() {
            continue;
        }
        let number = orientation.number;
        let what = if 2 * far.len() < rising.len() {
            let name = |f: usize| job.drawing.features.get(f).map(Feature::name);
            let named = far.iter().take(3);
            ProblemKind::HeightsOff {
                orientation: number,
                features: named.filter_map(|(g, off)| Some((name(g.feature)?, *off))).collect(),
                figures: Figures::of_readings(job, orientation),
            }
        } else {
            ProblemKind::NotThePattern(number)
        };
        list.push(Problem::warns(Place::Orientation(number), what));
    }
    list
}
