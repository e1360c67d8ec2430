//! The shape of the findings.

use super::{PatternFinding, Problem};
use crate::adjust::{Adjustment, Residual, ZeroResidual};
use crate::bench::{Question, TouchComponent, Touched};
use crate::callout::{PositionFinding, RelationFinding, Salvage, SizeFinding, Verdict};
use crate::job::{Kind, NotUnderstood};
use crate::quantity::Length;
use serde::Serialize;

/// Everything found, for every piece of the job. Lengths in millimetres, unrounded.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Findings {
    /// What is wrong or doubtful in the drawing and the plan, whatever was read.
    pub problems: Vec<Problem>,
    /// One for each piece, in the order of the job.
    pub pieces: Vec<PieceFinding>,
}

/// What is found of one piece.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PieceFinding {
    /// Serial number.
    pub serial: String,
    /// One for each feature of the drawing, in its order.
    pub features: Vec<FeatureFinding>,
    /// Patterns that were judged together, with one common shift each.
    pub patterns: Vec<PatternFinding>,
    /// One for each line of the drawing between features, in its order.
    #[serde(rename = "lines")]
    pub relations: Vec<RelationFinding>,
    /// Readings that are asked about.
    pub questions: Vec<Question>,
    /// What is doubtful about the readings as a whole.
    pub problems: Vec<Problem>,
    /// How many features and lines have which verdict.
    pub tally: Tally,
    /// Verdict over all that the drawing asks for.
    pub verdict: Verdict,
    /// What the readings say of the measurement itself.
    pub measurement: Measurement,
}

impl PieceFinding {
    /// Indices of the patterns that a feature belongs to or is a datum feature of, the one that its
    /// verdict hangs on first.
    #[must_use]
    pub fn patterns_of(&self, feature: usize) -> Vec<usize> {
        let finding = self.features.get(feature);
        let deciding = finding.and_then(|f| f.deciding()?.shifted).map(|s| s.pattern);
        let others = (0..self.patterns.len()).filter(|i| {
            Some(*i) != deciding
                && self.patterns.get(*i).is_some_and(|p| {
                    p.members.contains(&feature) || p.rooms.iter().any(|r| r.feature == feature)
                })
        });
        deciding.into_iter().chain(others).collect()
    }
}

/// What the readings say of the measurement itself.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Measurement {
    /// How many readings are redundant.
    pub degrees: usize,
    /// Σ v²/σ² of the adjustment.
    pub chi_square: f64,
    /// Probability that good readings fit as badly; absent where nothing is left over to test or
    /// the uncertainty of a touch is not known.
    pub probability: Option<f64>,
    /// Whether the readings contradict each other: the chi-square test fails at 1 in 1,000, or one of
    /// them is off by more than four of its standard deviations.
    pub contradictory: bool,
    /// The factor by which the variances of places were raised for it; 1 where they were not.
    pub variance_factor: f64,
    /// How each height agrees with the others.
    #[serde(rename = "misfits")]
    pub residuals: Vec<Residual>,
    /// Heights that should be measured again, worst first.
    pub suspects: Vec<Residual>,
    /// Zeros that should be set again, worst first.
    pub doubtful_zeros: Vec<ZeroResidual>,
    /// Angles that were found: number of the orientation, error and its standard uncertainty in
    /// radians.
    pub angles: Vec<(u32, f64, f64)>,
    /// What the uncertainty of a single touch is made of, for each instrument used.
    pub touch: Vec<TouchBudget>,
}

impl Measurement {
    /// What the adjusted facts say of the measurement.
    #[must_use]
    pub fn of(bench: &Adjustment) -> Self {
        let (facts, known) = (bench.facts(), bench.is_known());
        let uncertainty = &facts.uncertainty;
        let used = facts.used.iter().enumerate().filter(|(_, used)| **used);
        let touch = used
            .map(|(instrument, _)| {
                let single = Touched::single(instrument, 1);
                let part = |(component, variance): (TouchComponent, f64)| {
                    let degrees = match component {
                        TouchComponent::Repeatability => uncertainty.degrees(instrument),
                        _ => f64::INFINITY,
                    };
                    let degrees = degrees.is_finite().then_some(degrees);
                    (component.name().to_owned(), Length::mm(variance.sqrt()), degrees)
                };
                TouchBudget {
                    instrument,
                    parts: uncertainty.variances(single).into_iter().map(part).collect(),
                    standard: uncertainty.standard(single),
                    known: uncertainty.known(instrument),
                }
            })
            .collect();
        Self {
            degrees: bench.test.degrees,
            chi_square: bench.test.chi_square,
            probability: bench.test.p_value().filter(|_| known),
            contradictory: bench.contradicts(),
            variance_factor: if known { bench.test.variance_factor() } else { 1.0 },
            suspects: if known { bench.suspects.clone() } else { Vec::new() },
            doubtful_zeros: if known { bench.doubtful_zeros.clone() } else { Vec::new() },
            angles: bench.angles.clone(),
            residuals: bench.residuals.clone(),
            touch,
        }
    }
}

/// What the uncertainty of a single touch is made of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TouchBudget {
    /// Index of the instrument in the plan.
    pub instrument: usize,
    /// Name, standard uncertainty and degrees of freedom (none: exactly known) of each part.
    pub parts: Vec<(String, Length, Option<f64>)>,
    /// All of it together.
    pub standard: Length,
    /// Whether it is known: the error limit or the repeatability of the gauge is.
    pub known: bool,
}

/// How many features, and lines between them, have which verdict.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// Features of which anything is asked, lines, and texts of the drawing that are not understood.
    pub asked: usize,
    /// Conform.
    pub conform: usize,
    /// Do not conform.
    pub fail: usize,
    /// Not proven either way.
    pub unproven: usize,
    /// Not measured.
    pub missing: usize,
    /// Cannot be judged.
    pub unjudged: usize,
}

/// A coordinate: measured, missing, or not asked for. Never zero for what was not seen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Coordinate {
    /// Measured, in the drawing's frame.
    Measured {
        /// Where it is.
        at: Length,
        /// Measured less basic; `None` while the drawing gives no basic coordinate.
        deviation: Option<Length>,
    },
    /// Wanted, and no reading gives it.
    NotMeasured,
    /// The drawing asks for nothing along this axis.
    NotRequired,
}

impl Coordinate {
    /// The coordinate, if measured.
    #[must_use]
    pub const fn at(self) -> Option<Length> {
        match self {
            Self::Measured { at, .. } => Some(at),
            _ => None,
        }
    }

    /// The deviation, if measured.
    #[must_use]
    pub const fn deviation(self) -> Option<Length> {
        match self {
            Self::Measured { deviation, .. } => deviation,
            _ => None,
        }
    }
}

/// What is found of one feature.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FeatureFinding {
    /// Its number on the drawing.
    pub number: String,
    /// What it is.
    pub kind: Kind,
    /// X.
    pub x: Coordinate,
    /// Y.
    pub y: Coordinate,
    /// Covariance of x and y, in mm²: [[xx, xy], [xy, yy]]; absent where nothing was measured or the
    /// uncertainty of a touch is not known ([`TouchBudget::known`]).
    pub covariance: Option<[[f64; 2]; 2]>,
    /// Size.
    pub size: SizeFinding,
    /// Position by the first callout, where asked for.
    pub position: Option<PositionFinding>,
    /// Position by its lower segments and by further callouts, in the order of the drawing.
    pub further: Vec<PositionFinding>,
    /// What a change of size would do, where that could help.
    pub salvage: Option<Salvage>,
    /// What makes it impossible to judge the feature as a whole.
    pub fault: Option<Fault>,
    /// One of its readings is asked about: look at that before acting on the verdict.
    pub in_question: bool,
    /// Readings that its place depends on contradict each other: the verdict stands under that reserve.
    pub contradicted: bool,
    /// Verdict over size and position.
    pub verdict: Verdict,
}

impl FeatureFinding {
    /// Position by every segment of every callout, the first callout first.
    pub fn positions(&self) -> impl Iterator<Item = &PositionFinding> + Clone {
        self.position.iter().chain(&self.further)
    }

    /// The segment that decides: the one with the worst verdict, and of those the one with the
    /// smallest margin.
    #[must_use]
    pub fn deciding(&self) -> Option<&PositionFinding> {
        self.positions().reduce(|first, next| {
            let worse =
                next.verdict != first.verdict && first.verdict.and(next.verdict) == next.verdict;
            let closer = next.verdict == first.verdict
                && next.margin.is_some_and(|n| first.margin.is_none_or(|f| n < f));
            if worse || closer { next } else { first }
        })
    }
}

/// What makes it impossible to judge a feature as a whole.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// Another feature has its number, or it has none: whose readings they are is not clear.
    Number,
    /// Its limits of size are the wrong way round or not positive.
    Limits,
    /// Its touches contradict each other: the highest point lies below the lowest.
    Touches,
    /// Something typed of it is not understood.
    NotUnderstood(NotUnderstood),
}
