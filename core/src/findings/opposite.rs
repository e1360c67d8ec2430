//! What makes the heights of two opposite orientations contradict each other: nested models.
//!
//! Of a feature seen in both, the coordinate along one direction and that along the other add up to
//! nothing. What is left is held against a constant, and beside it one of: a tilt across, a drift in the
//! order of touching, a step in that order, one feature alone. The model that takes most off the sum of
//! squares is named, where the chance of as much among all that were tried is below one in a thousand.

use super::reading_checks::ReadingSummary;
use super::remarks::ALIKE;
use super::{OppositeCause, Place, Problem, ProblemKind};
use crate::adjust::ZeroResidual;
use crate::bench::{TouchUncertainty, Touched};
use crate::job::{Feature, Job, Orientation, Piece, Zero};
use crate::notation::Figures;
use crate::quantity::Length;
use rustc_hash::FxHashMap;

/// So many features must be seen in both.
const ENOUGH: usize = 4;

/// The chance that nothing is wrong and a model is named.
const LEVEL: f64 = 1e-3;

/// So many standard uncertainties are more than chance.
const CLEAR: f64 = 4.0;

/// Two models whose sums of squares differ by less than so many variances cannot be told apart.
const TOLD: f64 = CLEAR * CLEAR;

/// What opposite orientations say.
#[derive(Default)]
pub(super) struct Opposite {
    pub(super) problems: Vec<Problem>,
    /// Pairs of orientations, by their numbers, that were held against each other.
    pub(super) examined: Vec<[u32; 2]>,
}

impl Opposite {
    /// What is said of them and of what the adjustment finds, `misfits`: each cause once. The models here
    /// decide on a single height of two opposite orientations, and on zeros that contradict each other for
    /// another cause. Which of two zeros is off only the adjustment tells, where the other orientations
    /// give it: then that zero is named and not the pair.
    pub(super) fn settled(
        self,
        misfits: Vec<Problem>,
        zeros: &[ZeroResidual],
    ) -> [Vec<Problem>; 2] {
        let (problems, examined) = (self.problems, self.examined);
        let told = told(zeros).filter(|zero| {
            let is = |p: &Problem| matches!(p.what, ProblemKind::ZeroMisfit { orientation, .. } if orientation == *zero);
            misfits.iter().any(is)
        });
        let by_adjustment = |p: &Problem| match &p.what {
            ProblemKind::Opposite { orientations, cause: OppositeCause::Zero, .. } => {
                told.is_some_and(|zero| orientations.contains(&zero))
            }
            _ => false,
        };
        let of_zero = problems.iter().any(by_adjustment);
        let explained = !problems.is_empty();
        let keeps = |p: &Problem| match p.what {
            ProblemKind::Misfit { orientation, .. } => {
                !examined.iter().any(|e| e.contains(&orientation))
            }
            ProblemKind::ZeroMisfit { orientation, .. } => {
                !explained || (of_zero && told == Some(orientation))
            }
            ProblemKind::TestFails { .. } => !explained,
            _ => true,
        };
        let misfits = misfits.into_iter().filter(keeps).collect();
        [problems.into_iter().filter(|p| !by_adjustment(p)).collect(), misfits]
    }
}

/// The zero that is off beyond doubt: the worst, where no other is nearly as bad.
fn told(zeros: &[ZeroResidual]) -> Option<u32> {
    let worst = zeros.first()?;
    let alike = |z: &ZeroResidual| z.normalised.abs() >= ALIKE * worst.normalised.abs();
    (!zeros.iter().skip(1).any(alike)).then_some(worst.orientation)
}

/// A feature that was seen in both, millimetres.
struct Seen {
    feature: usize,
    /// What the two coordinates add up to.
    sum: f64,
    across: f64,
    /// Its place in the order of touching, in either.
    order: [f64; 2],
}

/// Holds every two opposite orientations against each other. Features that are asked about have no say.
pub(super) fn opposite(
    job: &Job,
    piece: (usize, &Piece),
    summaries: &[ReadingSummary],
    uncertainty: &TouchUncertainty,
    asked: &[bool],
) -> Opposite {
    let mut found = Opposite::default();
    let plan = &job.plan.orientations;
    let mut constants: Vec<(usize, [u32; 2], f64, Figures)> = Vec::new();
    for (a, one) in plan.iter().enumerate() {
        for (b, other) in plan.iter().enumerate().skip(a + 1) {
            let (u, v) = (one.up(), other.up());
            let against = u.cos() * v.cos() + u.sin() * v.sin() < -1.0 + 1e-9;
            let known = [one, other].iter().all(|o| uncertainty.known(o.instrument));
            if !against || !known {
                continue;
            }
            let seen = seen(piece.1, job, summaries, [a, b], asked);
            if seen.len() < ENOUGH {
                continue;
            }
            let numbers = [one.number, other.number];
            found.examined.push(numbers);
            let centre = |o: &Orientation| {
                let u = uncertainty.standard(Touched::middle(o.instrument, [1, 1])).to_mm();
                u * u
            };
            let variance = centre(one) + centre(other);
            let figures = Figures::of_readings(job, one);
            let name =
                |f: usize| job.drawing.features.get(f).map_or_else(String::new, Feature::name);
            let free = one.find_angle || other.find_angle;
            if let Some((cause, by)) = best(&seen, variance, (numbers, free), name) {
                let by = Length::mm(by);
                let what = ProblemKind::Opposite { orientations: numbers, cause, by, figures };
                found.problems.push(Problem::warns(Place::Piece(piece.0), what));
            } else if tied(one) == tied(other) && tied(one).is_some() {
                let n = count(seen.len());
                let mean = seen.iter().map(|s| s.sum).sum::<f64>() / n;
                let zero = |o: &Orientation| {
                    let u = uncertainty.standard(Touched::single(o.instrument, 1)).to_mm();
                    u * u
                };
                let probe = uncertainty.probe(one.instrument).to_mm();
                let of_mean = variance / n + zero(one) + zero(other) + probe * probe;
                if mean.abs() > CLEAR * of_mean.sqrt() {
                    constants.push((one.instrument, numbers, mean, figures));
                }
            }
        }
    }
    // The probe constant is in every pair alike; two pairs that share an orientation share its zero.
    let alike = |x: f64, y: f64| (x - y).abs() < 0.5 * x.abs().min(y.abs());
    let twins = |i: usize| {
        let (instrument, _, by, _) = constants[i];
        let others = constants.iter().enumerate().filter(move |(j, _)| *j != i);
        others.filter(move |(_, other)| other.0 == instrument && alike(other.2, by))
    };
    for (i, (_, orientations, by, figures)) in constants.iter().enumerate() {
        if twins(i).any(|(j, _)| j < i) {
            continue;
        }
        let apart = |other: &[u32; 2]| !other.iter().any(|o| orientations.contains(o));
        let probe = twins(i).any(|(_, other)| apart(&other.1));
        let cause = if probe { OppositeCause::Probe } else { OppositeCause::Zero };
        let (orientations, by, figures) = (*orientations, Length::mm(*by), *figures);
        let what = ProblemKind::Opposite { orientations, cause, by, figures };
        found.problems.push(Problem::warns(Place::Piece(piece.0), what));
    }
    found
}

/// The feature that an orientation counts from.
fn tied(orientation: &Orientation) -> Option<&str> {
    match &orientation.zero {
        Zero::Feature(number) => Some(number),
        Zero::Plate => {
            orientation.rest.blocks.height()?;
            orientation.rest.face.as_deref()
        }
    }
}

fn seen(
    piece: &Piece,
    job: &Job,
    summaries: &[ReadingSummary],
    [a, b]: [usize; 2],
    asked: &[bool],
) -> Vec<Seen> {
    let number = |o: usize| job.plan.orientations.get(o).map_or(0, |o| o.number);
    let order = |o: usize| -> FxHashMap<&str, usize> {
        let there = piece.readings.iter().filter(|r| r.orientation == number(o));
        there.enumerate().map(|(i, r)| (r.feature.as_str(), i)).collect()
    };
    let orders = [order(a), order(b)];
    let of = |o: usize| summaries.iter().filter(move |s| s.orientation == o);
    let there: FxHashMap<usize, Length> =
        of(b).filter_map(|s| Some((s.feature, s.along?))).collect();
    let Some(up) = job.plan.orientations.get(a).map(Orientation::up) else { return Vec::new() };
    of(a)
        .filter(|s| s.size.is_some() && asked.get(s.feature) != Some(&true))
        .filter_map(|s| {
            let number = job.drawing.features.get(s.feature)?.number.as_str();
            let place = |k: usize| orders.get(k)?.get(number).map(|i| count(*i));
            Some(Seen {
                feature: s.feature,
                sum: (s.along? + *there.get(&s.feature)?).to_mm(),
                across: s.basic.y.to_mm() * up.cos() - s.basic.x.to_mm() * up.sin(),
                order: [place(0)?, place(1)?],
            })
        })
        .collect()
}

#[expect(clippy::cast_precision_loss, reason = "a count of features")]
const fn count(n: usize) -> f64 {
    n as f64
}

/// A model that was tried.
struct Tried {
    /// What it takes off the sum of squares, mm².
    off: f64,
    /// How many alike were tried.
    alike: f64,
    cause: OppositeCause,
    /// How large it is over the whole pattern, mm.
    by: f64,
}

/// The model beside a constant that explains most, and how large it is. Where the angle of either
/// orientation is `free`, to be found from the readings, a tilt is beside every model and none by itself.
fn best(
    seen: &[Seen],
    variance: f64,
    (numbers, free): ([u32; 2], bool),
    name: impl Fn(usize) -> String,
) -> Option<(OppositeCause, f64)> {
    let n = count(seen.len());
    let across = centred(seen.iter().map(|s| s.across));
    let own: f64 = across.iter().map(|a| a * a).sum();
    // A share of the coordinate across that is taken out of everything.
    let share = if free && own > 0.0 { own.recip() } else { 0.0 };
    let along = |z: &[f64]| z.iter().zip(&across).map(|(z, a)| z * a).sum::<f64>() * share;
    let without_tilt = |z: Vec<f64>| -> Vec<f64> {
        let tilt = along(&z);
        z.iter().zip(&across).map(|(z, a)| z - tilt * a).collect()
    };
    let left = without_tilt(centred(seen.iter().map(|s| s.sum)));
    let mut tried: Vec<Tried> = Vec::new();
    // A regressor that is nothing but a constant, or the tilt, tells nothing.
    let fitted = |own: f64, with: f64| (own > 1e-9).then(|| (with * with / own, with / own));
    let line = |at: Vec<f64>| {
        let extent = at.iter().copied().fold(f64::MIN, f64::max)
            - at.iter().copied().fold(f64::MAX, f64::min);
        let z = without_tilt(at);
        let with = z.iter().zip(&left).map(|(z, r)| z * r).sum::<f64>();
        let (off, by) = fitted(z.iter().map(|z| z * z).sum(), with)?;
        Some((off, by * extent))
    };
    if !free {
        let tilt = line(across.clone());
        let cause = OppositeCause::Tilt;
        tried.extend(tilt.map(|(off, by)| Tried { off, alike: 1.0, cause, by }));
    }
    for (k, number) in numbers.into_iter().enumerate() {
        let drift = line(centred(seen.iter().map(|s| s.order[k])));
        let cause = OppositeCause::Drift(vec![number]);
        tried.extend(drift.map(|(off, by)| Tried { off, alike: 1.0, cause, by }));
        let mut rising: Vec<usize> = (0..seen.len()).collect();
        rising.sort_by(|a, b| seen[*a].order[k].total_cmp(&seen[*b].order[k]));
        let (mut before, mut tilted) = (0.0, 0.0);
        for (i, pair) in rising.windows(2).enumerate() {
            let [here, next] = pair else { continue };
            before += left[*here];
            tilted += across[*here];
            // A step has two features on either side: else it is one alone.
            let m = count(i + 1);
            if m < 2.0 || m > n - 2.0 {
                continue;
            }
            let step = fitted(m * (n - m) / n - tilted * tilted * share, before);
            let cause = OppositeCause::Step(vec![number], name(seen[*next].feature));
            tried.extend(step.map(|(off, by)| Tried { off, alike: n, cause, by: -by }));
        }
    }
    for ((s, left), a) in seen.iter().zip(&left).zip(&across) {
        let alone = fitted((n - 1.0) / n - a * a * share, *left);
        let cause = OppositeCause::One(name(s.feature));
        tried.extend(alone.map(|(off, by)| Tried { off, alike: n, cause, by }));
    }
    let all = count(tried.len());
    let improbable = |off: f64| libm::erfc((off / (2.0 * variance)).sqrt()) * all <= LEVEL;
    // One of many alike had as many chances to fit.
    let score = |t: &Tried| t.off / variance - 2.0 * libm::log(t.alike);
    let best = tried.iter().max_by(|a, b| score(a).total_cmp(&score(b)))?;
    let near = |t: &&Tried| best.off - t.off < TOLD * variance;
    improbable(best.off).then(|| (in_either(best, tried.iter().filter(near)), best.by))
}

/// The cause of the best model, with every orientation in which it explains the heights as well: touched in
/// the same order, two opposite orientations do not tell in which of them the zero moved.
fn in_either<'t>(best: &Tried, near: impl Iterator<Item = &'t Tried>) -> OppositeCause {
    let same = |cause: &OppositeCause| match (cause, &best.cause) {
        (OppositeCause::Drift(o), OppositeCause::Drift(_)) => o.clone(),
        (OppositeCause::Step(o, from), OppositeCause::Step(_, at)) if from == at => o.clone(),
        _ => Vec::new(),
    };
    let mut all: Vec<u32> = near.flat_map(|t| same(&t.cause)).collect();
    all.sort_unstable();
    all.dedup();
    match &best.cause {
        OppositeCause::Drift(_) => OppositeCause::Drift(all),
        OppositeCause::Step(_, from) => OppositeCause::Step(all, from.clone()),
        other => other.clone(),
    }
}

/// Values less their mean.
fn centred(values: impl ExactSizeIterator<Item = f64> + Clone) -> Vec<f64> {
    let mean = values.clone().sum::<f64>() / count(values.len());
    values.map(|v| v - mean).collect()
}
