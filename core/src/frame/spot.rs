//! Where a datum is: a single feature, or what is made of a pattern.

use super::Place;
use super::roles::{AXES, Carrier};
use crate::adjust::Adjustment;
use crate::bench::Target;
use crate::callout::Unjudged;
use crate::form::circle;
use crate::job::{Job, PatternKind};
use crate::quantity::{Axis, Length};
use smallvec::SmallVec;

/// A place on the bench and by the drawing, as far as they are known.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Spot {
    /// On the bench.
    pub(super) place: Place,
    /// Whether facts look at it along x and along y.
    pub(super) observed: [bool; 2],
    /// By the drawing, mm.
    pub(super) basic: [Option<f64>; 2],
}

impl Spot {
    /// Of a single feature; `None` where no fact tells of it.
    pub(super) fn of_feature(job: &Job, feature: usize, bench: &Adjustment) -> Option<Self> {
        let target = Target::Feature(feature);
        let observed = bench.observed(feature);
        let of = job.drawing.features.get(feature)?;
        Some(Self {
            place: Place::of(bench, target, observed)?,
            observed,
            basic: AXES.map(|axis| of.basic(axis, job.drawing.unit).map(Length::to_mm)),
        })
    }

    /// Of a pattern: the centre of the circle, or the mean of its features; `None` where they make no
    /// circle.
    pub(super) fn of_pattern(kind: PatternKind, members: &Members) -> Option<Self> {
        let (at, basic, rates) = match kind {
            PatternKind::Circle => {
                let through = |points: &[[f64; 2]]| circle(points).ok()?.found();
                let (seen, drawn) = (through(&members.at)?, through(&members.basic)?);
                let rates = seen.follows.iter().map(|[x, y, _]| [*x, *y]).collect();
                (seen.centre, drawn.centre, rates)
            }
            PatternKind::BestFit => {
                let n = members.features.iter().fold(0.0_f64, |n, _| n + 1.0).max(1.0);
                let rate = [[1.0 / n, 0.0], [0.0, 1.0 / n]];
                (mean(&members.at), mean(&members.basic), vec![rate; members.features.len()])
            }
        };
        let targets = members.features.iter().map(|f| Target::Feature(*f)).zip(rates).collect();
        Some(Self {
            place: Place { at, targets, angles: SmallVec::new() },
            observed: [true; 2],
            basic: basic.map(Some),
        })
    }
}

/// The mean of points; 0 of none.
fn mean(points: &[[f64; 2]]) -> [f64; 2] {
    let (sum, count) =
        points.iter().fold(([0.0; 2], 0.0_f64), |(s, n), p| ([s[0] + p[0], s[1] + p[1]], n + 1.0));
    sum.map(|v| v / count.max(1.0))
}

/// The features of a pattern, all of them measured.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Members {
    /// Indices in the drawing.
    pub(super) features: Vec<usize>,
    /// On the bench, mm.
    pub(super) at: Vec<[f64; 2]>,
    /// By the drawing, mm.
    pub(super) basic: Vec<[f64; 2]>,
}

impl Members {
    /// Gathers them for the datum `letter`.
    ///
    /// # Errors
    /// One that was not measured along both axes, or that has no basic position.
    pub(super) fn of(
        job: &Job,
        letter: &str,
        features: &[usize],
        bench: &Adjustment,
    ) -> Result<Self, Unjudged> {
        let missing = || Unjudged::DatumNotMeasured(letter.to_owned());
        let (mut at, mut basic) = (Vec::new(), Vec::new());
        for feature in features {
            let spot = Spot::of_feature(job, *feature, bench).ok_or_else(missing)?;
            if spot.observed != [true; 2] {
                return Err(missing());
            }
            let bare = |axis| Unjudged::DatumNominalMissing(letter.to_owned(), axis);
            let by_drawing = |k: usize, axis: Axis| spot.basic[k].ok_or_else(|| bare(axis));
            at.push(spot.place.at);
            basic.push([by_drawing(0, Axis::X)?, by_drawing(1, Axis::Y)?]);
        }
        Ok(Self { features: features.to_vec(), at, basic })
    }
}

impl Carrier {
    /// Its members where it is a pattern.
    pub(super) fn members(
        &self,
        job: &Job,
        letter: &str,
        bench: &Adjustment,
    ) -> Result<Option<Members>, Unjudged> {
        match self {
            Self::Feature(_) => Ok(None),
            Self::Pattern(_, features) => Members::of(job, letter, features, bench).map(Some),
        }
    }
}
