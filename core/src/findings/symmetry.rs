//! Symmetric patterns: said beforehand, since no height tells how such a part was turned; and seen in
//! the sizes where a hole and its mate differ.

use super::demand::Demand;
use super::{Place, Problem, ProblemKind, Turn};
use crate::bench::{SizeFact, question_limit};
use crate::job::{Feature, Job, Outline};
use crate::quantity::Side;
use rustc_hash::FxHashMap;

/// So many pairs of a feature and its mate must speak.
const ENOUGH: usize = 4;

/// The sizes must fit the mates so many times better, as sums of squares (common practice, no source).
const BETTER: f64 = 4.0;

/// For each feature with a position, where a turn takes it: `None` where no feature of its kind and
/// size is near enough that heights could not tell.
struct Mates(Vec<(usize, usize)>);

impl Mates {
    /// `None` unless the turn takes the whole pattern to itself.
    fn of(job: &Job, to: impl Fn([f64; 2]) -> [f64; 2]) -> Option<Self> {
        let unit = job.drawing.unit;
        let sized = || {
            let all = job.drawing.features.iter().enumerate();
            all.filter(|(_, f)| f.kind.is_sized() && f.size.is_some())
        };
        let at = |f: &Feature| {
            let p = f.basic_point(unit);
            [p.x.to_mm(), p.y.to_mm()]
        };
        // Sorted along x, to be looked up.
        let mut rising: Vec<([f64; 2], usize)> = sized().map(|(i, f)| (at(f), i)).collect();
        rising.sort_by(|a, b| a.0[0].total_cmp(&b.0[0]));
        let mate = |(i, feature): (usize, &Feature)| {
            let [x, y] = to(at(feature));
            let near = question_limit(job, feature).to_mm();
            let from = rising.partition_point(|(p, _)| p[0] < x - near);
            let alike = |j: usize| {
                let other = job.drawing.features.get(j)?;
                let limits = [feature, other].map(|f| f.size.and_then(|s| s.limits(unit)));
                let [Some(a), Some(b)] = limits else { return None };
                (other.kind == feature.kind && a.lower <= b.upper && b.lower <= a.upper)
                    .then_some(j)
            };
            rising
                .get(from..)?
                .iter()
                .take_while(|(p, _)| p[0] <= x + near)
                .filter(|(p, _)| (p[1] - y).abs() <= near)
                .find_map(|(_, j)| alike(*j))
                .map(|j| (i, j))
        };
        let mates: Option<Vec<(usize, usize)>> = sized().map(mate).collect();
        mates.filter(|m| m.iter().any(|(i, j)| i != j)).map(Self)
    }
}

/// Where the four edges of the outline are, mm: left, right, bottom, top.
fn edges(job: &Job, outline: &Outline) -> [f64; 4] {
    [Side::MinusX, Side::PlusX, Side::MinusY, Side::PlusY]
        .map(|side| outline.edge(side).length(job.drawing.unit).to_mm())
}

/// Says which turns of the part no reading tells.
pub(super) fn symmetric(job: &Job) -> Option<Problem> {
    let outline = job.drawing.outline.as_ref()?;
    if job.drawing.features.iter().any(|f| f.kind.is_sized() && f.size.is_none()) {
        return None;
    }
    let [left, right, bottom, top] = edges(job, outline);
    let (w, h) = (left + right, bottom + top);
    let square = ((right - left) - (top - bottom)).abs() < 0.25;
    let middle = [0.5 * w, 0.5 * h];
    let quarter =
        move |[x, y]: [f64; 2]| [middle[0] - (y - middle[1]), middle[1] + (x - middle[0])];
    let mut turns = Vec::new();
    let mut keep = |turn: Turn, mates: Option<Mates>| {
        if mates.is_some() {
            turns.push(turn);
        }
    };
    if square {
        keep(Turn::Quarter, Mates::of(job, quarter));
    }
    keep(Turn::Half, Mates::of(job, |[x, y]| [w - x, h - y]));
    keep(Turn::LeftRight, Mates::of(job, |[x, y]| [w - x, y]));
    keep(Turn::TopBottom, Mates::of(job, |[x, y]| [x, h - y]));
    (!turns.is_empty()).then(|| Problem::warns(Place::Drawing, ProblemKind::Symmetric(turns)))
}

/// Orientations whose sizes fit the mates of a symmetric pattern far better than the features
/// themselves.
pub(super) fn sizes_turned(job: &Job, demands: &[Demand<'_>], sizes: &[SizeFact]) -> Vec<Problem> {
    let Some(outline) = job.drawing.outline.as_ref() else { return Vec::new() };
    if job.plan.orientations.len() < 2 || sizes.len() < 2 * ENOUGH {
        return Vec::new();
    }
    let [left, right, bottom, top] = edges(job, outline);
    let (w, h) = (left + right, bottom + top);
    let Some(Mates(mates)) = Mates::of(job, |[x, y]| [w - x, h - y]) else { return Vec::new() };
    let mate: FxHashMap<usize, usize> = mates.into_iter().collect();
    let by: FxHashMap<(usize, usize), &SizeFact> =
        sizes.iter().map(|s| ((s.orientation, s.feature), s)).collect();
    let differs = |one: usize, other: usize| {
        let (mut same, mut turned, mut noise, mut pairs) = (0.0, 0.0, 0.0, 0);
        for f in 0..demands.len() {
            let Some(m) = mate.get(&f).filter(|m| **m != f) else { continue };
            let all = (by.get(&(one, f)), by.get(&(other, f)), by.get(&(one, *m)));
            let (Some(a), Some(b), Some(c)) = all else { continue };
            let square = |d: f64| d * d;
            same += square((a.size - b.size).to_mm());
            turned += square((c.size - b.size).to_mm());
            noise += square(a.standard.to_mm()) + square(b.standard.to_mm());
            pairs += 1;
        }
        // And the features themselves fit badly at all.
        pairs >= ENOUGH && same > BETTER * turned && same > BETTER * noise
    };
    let count = job.plan.orientations.len();
    let wrong: Vec<Vec<bool>> = (0..count)
        .map(|a| (0..count).map(|b| a != b && differs(a.min(b), a.max(b))).collect())
        .collect();
    let against = |o: usize| wrong[o].iter().filter(|w| **w).count();
    let most = (0..count).map(against).max().unwrap_or(0);
    if most == 0 {
        return Vec::new();
    }
    // The one that contradicts most others; of two the second.
    let one = (0..count).rev().find(|o| against(*o) == most).unwrap_or(0);
    let other = (0..count).find(|o| wrong[one][*o]).unwrap_or(0);
    let numbers = [one, other].map(|o| job.plan.orientations.get(o).map_or(0, |o| o.number));
    let [orientation, other] = numbers;
    let what = ProblemKind::SizesTurned { orientation, other };
    vec![Problem::warns(Place::Orientation(orientation), what)]
}
