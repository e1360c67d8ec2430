//! What makes the heights of two opposite orientations contradict each other: nested models.
//!
//! Of a feature seen in both, the coordinate along one direction and that along the other add up to
//! nothing. What is left is held against a constant, and beside it one of: a tilt across, a drift in the
//! order of touching, a step in that order, one feature alone. The model that takes most off the sum of
//! squares is named, where the chance of as much among all that were tried is below one in a thousand.

use super::reading_checks::ReadingSummary;
use super::{OppositeCause, Place, Problem, ProblemKind};
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

/// What opposite orientations say.
#[derive(Default)]
pub(super) struct Opposite {
    pub(super) problems: Vec<Problem>,
    /// Pairs of orientations, by their numbers, that were held against each other.
    pub(super) examined: Vec<[u32; 2]>,
}

impl Opposite {
    /// Of what the adjustment says of single heights and zeros, what the models here do not decide on: a
    /// single height of two opposite orientations is theirs, and so are the zeros of two that contradict
    /// each other for another cause.
    pub(super) fn without_explained(&self, misfits: Vec<Problem>) -> Vec<Problem> {
        let decided = |orientation: u32| self.examined.iter().any(|e| e.contains(&orientation));
        let explained = !self.problems.is_empty();
        let keeps = |p: &Problem| match p.what {
            ProblemKind::Misfit { orientation, .. } => !decided(orientation),
            ProblemKind::ZeroMisfit { .. } | ProblemKind::TestFails { .. } => !explained,
            _ => true,
        };
        misfits.into_iter().filter(keeps).collect()
    }
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
            if let Some((cause, by)) = best(&seen, variance, numbers, name) {
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
    // The probe constant is in every pair alike.
    let alike = |x: f64, y: f64| (x - y).abs() < 0.5 * x.abs().min(y.abs());
    for (i, (instrument, orientations, by, figures)) in constants.iter().enumerate() {
        let twin = constants.iter().position(|(g, other, c, _)| {
            g == instrument && other != orientations && alike(*c, *by)
        });
        if twin.is_some_and(|t| t < i) {
            continue;
        }
        let cause = if twin.is_some() { OppositeCause::Probe } else { OppositeCause::Zero };
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

/// The model beside a constant that explains most, and how large it is.
fn best(
    seen: &[Seen],
    variance: f64,
    numbers: [u32; 2],
    name: impl Fn(usize) -> String,
) -> Option<(OppositeCause, f64)> {
    let n = count(seen.len());
    let mean = seen.iter().map(|s| s.sum).sum::<f64>() / n;
    let left: Vec<f64> = seen.iter().map(|s| s.sum - mean).collect();
    let mut tried: Vec<(f64, f64, OppositeCause, f64)> = Vec::new();
    // What a regressor takes off the sum of squares, and what it makes over the whole pattern.
    let line = |at: &dyn Fn(&Seen) -> f64| {
        let middle = seen.iter().map(at).sum::<f64>() / n;
        let z: Vec<f64> = seen.iter().map(|s| at(s) - middle).collect();
        let own: f64 = z.iter().map(|z| z * z).sum();
        let with: f64 = z.iter().zip(&left).map(|(z, r)| z * r).sum();
        let extent =
            z.iter().fold(f64::MIN, |m, z| m.max(*z)) - z.iter().fold(f64::MAX, |m, z| m.min(*z));
        (own > 0.0).then(|| (with * with / own, with / own * extent))
    };
    tried.extend(line(&|s| s.across).map(|(off, by)| (off, 1.0, OppositeCause::Tilt, by)));
    for (k, number) in numbers.into_iter().enumerate() {
        let drift = line(&|s| s.order[k]);
        tried.extend(drift.map(|(off, by)| (off, 1.0, OppositeCause::Drift(number), by)));
        let mut rising: Vec<(&Seen, f64)> = seen.iter().zip(left.iter().copied()).collect();
        rising.sort_by(|a, b| a.0.order[k].total_cmp(&b.0.order[k]));
        let mut before = 0.0;
        for (i, pair) in rising.windows(2).enumerate() {
            let [(_, left), (next, _)] = pair else { continue };
            before += left;
            // A step has two features on either side: else it is one alone.
            let m = count(i + 1);
            if m < 2.0 || m > n - 2.0 {
                continue;
            }
            let off = before * before * n / (m * (n - m));
            let by = -before * n / (m * (n - m));
            tried.push((off, n, OppositeCause::Step(number, name(next.feature)), by));
        }
    }
    for (s, left) in seen.iter().zip(&left) {
        let by = left * n / (n - 1.0);
        tried.push((left * by, n, OppositeCause::One(name(s.feature)), by));
    }
    let all = count(tried.len());
    let improbable = |off: f64| libm::erfc((off / (2.0 * variance)).sqrt()) * all <= LEVEL;
    // One of many alike had as many chances to fit.
    let score = |t: &(f64, f64, OppositeCause, f64)| t.0 / variance - 2.0 * libm::log(t.1);
    let best = tried.into_iter().max_by(|a, b| score(a).total_cmp(&score(b)))?;
    improbable(best.0).then_some((best.2, best.3))
}
