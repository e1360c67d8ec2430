//! A job and the part behind it.

use super::{Build, Made, face};
use crate::random::Random;
use crate::simulate::{Errors, measure};
use quarterturn_core::evaluate;
use quarterturn_core::findings::PieceFinding;
use quarterturn_core::job::{Job, PatternKind, Piece};
use quarterturn_core::quantity::{Figure, Side, Unit};
use std::collections::BTreeMap;

/// The faces on the edges of a plate.
const EDGES: [(&str, Side); 4] =
    [("B", Side::MinusY), ("C", Side::MinusX), ("D", Side::PlusX), ("E", Side::PlusY)];

/// The face of a plate that looks to this side.
pub(crate) fn face_on(side: Side) -> &'static str {
    EDGES.iter().find(|(_, looks)| *looks == side).map_or("", |(number, _)| number)
}

/// What a feature really is, in millimetres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Truth {
    /// x and y of its axis or centre plane; of a face, 0 along itself.
    pub(crate) at: [f64; 2],
    /// Size along X and along Y.
    pub(crate) size: [f64; 2],
}

/// A job and what the features of its drawing really are.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    pub(crate) job: Job,
    /// By number. A feature that is not in it is not measured.
    pub(crate) truth: BTreeMap<String, Truth>,
}

impl Part {
    /// A part of this unit with the faces B below and C on the left and the datums A, B and C, to be
    /// measured standing on B and then on C.
    pub(crate) fn new(unit: Unit) -> Self {
        Self::of(Job::empty(unit))
    }

    /// The same in millimetres.
    pub(crate) fn mm() -> Self {
        Self::new(Unit::Mm)
    }

    /// The same, measured by centres and sizes with a gauge that errs by 0.002 at most.
    pub(crate) fn by_centres() -> Self {
        Self::mm().with(|job| {
            job.gauge_errs_by(0.002);
            job.reads_centres();
        })
    }

    /// The part of a job, its faces exactly as drawn; of the other features nothing is known.
    pub(crate) fn of(job: Job) -> Self {
        let faces = job.drawing.features.iter().filter(|f| !f.kind.is_sized());
        let unit = job.drawing.unit;
        let truth = faces
            .map(|f| {
                let at = f.basic_point(unit);
                let truth = Truth { at: [at.x.to_mm(), at.y.to_mm()], size: [0.0; 2] };
                (f.number.clone(), truth)
            })
            .collect();
        Self { job, truth }
    }

    /// A rectangular plate, its width and height in the drawing's unit, with a face on each edge
    /// ([`EDGES`]). Whatever the unit, the drawing states no standard, so that what is said where
    /// none is stated is tried as well.
    pub(crate) fn plate(unit: Unit, [width, height]: [f64; 2]) -> Self {
        Self::new(unit)
            .with(|job| {
                job.set_outline(Figure(width), Figure(height));
                job.drawing.standard = None;
            })
            .put(face("D", Side::PlusX, width))
            .put(face("E", Side::PlusY, height))
    }

    /// What a feature really is, to change it.
    pub(crate) fn truth_of(&mut self, number: &str) -> &mut Truth {
        self.truth.get_mut(number).unwrap()
    }

    /// Changes the job: its plan, mostly.
    pub(crate) fn with(mut self, change: impl FnOnce(&mut Job)) -> Self {
        change(&mut self.job);
        self
    }

    /// Adds a feature.
    pub(crate) fn put(mut self, made: Made) -> Self {
        let mm = self.job.drawing.unit.in_mm();
        let truth = Truth { at: made.at.map(|v| v * mm), size: made.size.map(|v| v * mm) };
        self.truth.insert(made.feature.number.clone(), truth);
        self.job.drawing.features.push(made.feature);
        self
    }

    /// Adds several.
    pub(crate) fn put_all(self, made: impl IntoIterator<Item = Made>) -> Self {
        made.into_iter().fold(self, Self::put)
    }

    /// Makes a feature of the drawing a datum.
    pub(crate) fn datum(mut self, letter: &str, feature: &str) -> Self {
        self.job.add_datum(letter, feature);
        self
    }

    /// Makes the centre of the circle through these holes a datum.
    pub(crate) fn datum_circle(mut self, letter: &str, holes: &[&str]) -> Self {
        self.job.add_datum_pattern(letter, PatternKind::Circle, holes);
        self
    }

    /// Makes these holes a datum by their best fit.
    pub(crate) fn datum_fit(mut self, letter: &str, holes: &[&str]) -> Self {
        self.job.add_datum_pattern(letter, PatternKind::BestFit, holes);
        self
    }

    /// Moves features by this much from where they are, in millimetres.
    pub(crate) fn off(mut self, by: &[(&str, [f64; 2])]) -> Self {
        for (number, by) in by {
            let at = &mut self.truth_of(number).at;
            *at = [at[0] + by[0], at[1] + by[1]];
        }
        self
    }

    /// Moves everything but the faces, which carry the part, as one body: turns it by `turn` about the
    /// origin and then shifts it, in millimetres.
    pub(crate) fn moved(mut self, turn: f64, by: [f64; 2]) -> Self {
        let (s, c) = libm::sincos(turn);
        let sized = self.job.drawing.features.iter().filter(|f| f.kind.is_sized());
        for feature in sized {
            if let Some(truth) = self.truth.get_mut(&feature.number) {
                let [x, y] = truth.at;
                truth.at = [c * x - s * y + by[0], s * x + c * y + by[1]];
            }
        }
        self
    }

    /// Measures it as the plan says, without any error.
    pub(crate) fn measured(&self) -> Piece {
        self.measured_with(Errors::NONE, &mut Random::new(0))
    }

    /// Measures it as the plan says, with these errors.
    pub(crate) fn measured_with(&self, errors: Errors, random: &mut Random) -> Piece {
        measure(self, errors, random)
    }

    /// The job with one piece, measured without any error.
    pub(crate) fn read(mut self) -> Job {
        let readings = self.measured().readings;
        match self.job.pieces.first_mut() {
            Some(piece) => piece.readings = readings,
            None => self.job.pieces.push(Piece { readings, ..Piece::default() }),
        }
        self.job
    }

    /// What is found of the part, measured without any error.
    pub(crate) fn found(self) -> PieceFinding {
        evaluate(&self.read()).pieces.remove(0)
    }
}
