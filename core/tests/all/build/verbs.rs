//! What tests do to a job and ask of it.

use crate::common::feature;
use quarterturn_core::evaluate;
use quarterturn_core::findings::{FeatureFinding, PieceFinding};
use quarterturn_core::job::{
    Callout, Datum, DatumPattern, Feature, Instrument, Job, Orientation, PatternKind, Position,
    Reading, Taken, Zero,
};
use quarterturn_core::quantity::Figure;

/// Changes to a job and questions about it.
pub(crate) trait Build {
    /// The gauge gives centre heights and sizes, in every orientation.
    fn reads_centres(&mut self);
    /// The first gauge errs by at most this, in its unit.
    fn gauge_errs_by(&mut self, limit: f64);
    fn gauge(&mut self) -> &mut Instrument;
    fn stand(&mut self, number: u32) -> &mut Orientation;
    fn drawn(&mut self, number: &str) -> &mut Feature;
    /// The first position callout of a feature.
    fn position(&mut self, number: &str) -> &mut Position;
    /// All position callouts of the drawing.
    fn positions(&mut self) -> impl Iterator<Item = &mut Position>;
    /// Makes a feature a datum.
    fn add_datum(&mut self, letter: &str, feature: &str);
    /// Makes a pattern of features a datum.
    fn add_datum_pattern(&mut self, letter: &str, kind: PatternKind, features: &[&str]);
    /// Adds a reading of the first piece.
    fn take(&mut self, reading: Reading);
    /// The readings of one feature of the first piece.
    fn taken(&mut self, number: &str) -> impl Iterator<Item = &mut Reading>;
    /// What is found of the first piece.
    fn found(&self) -> PieceFinding;
    /// What is found of one feature of the first piece.
    fn found_of(&self, number: &str) -> FeatureFinding;
    /// x and y that are found of one feature of the first piece.
    fn found_at(&self, number: &str) -> [f64; 2];
}

impl Build for Job {
    fn reads_centres(&mut self) {
        for o in &mut self.plan.orientations {
            o.taken = Taken::CentreAndSize;
        }
    }

    fn gauge_errs_by(&mut self, limit: f64) {
        self.gauge().error_limit = Some(Figure(limit));
    }

    fn gauge(&mut self) -> &mut Instrument {
        &mut self.plan.instruments[0]
    }

    fn stand(&mut self, number: u32) -> &mut Orientation {
        self.plan.orientations.iter_mut().find(|o| o.number == number).unwrap()
    }

    fn drawn(&mut self, number: &str) -> &mut Feature {
        self.drawing.features.iter_mut().find(|f| f.number == number).unwrap()
    }

    fn position(&mut self, number: &str) -> &mut Position {
        let Callout::Position(position) = &mut self.drawn(number).callouts[0];
        position
    }

    fn positions(&mut self) -> impl Iterator<Item = &mut Position> {
        let callouts = self.drawing.features.iter_mut().flat_map(|f| &mut f.callouts);
        callouts.map(|Callout::Position(position)| position)
    }

    fn add_datum(&mut self, letter: &str, feature: &str) {
        let feature = Some(feature.to_owned());
        self.drawing.datums.push(Datum { letter: letter.to_owned(), feature, ..Datum::default() });
    }

    fn add_datum_pattern(&mut self, letter: &str, kind: PatternKind, features: &[&str]) {
        let features = features.iter().map(|n| (*n).to_owned()).collect();
        let pattern = Some(DatumPattern { kind, features });
        self.drawing.datums.push(Datum { letter: letter.to_owned(), pattern, ..Datum::default() });
    }

    fn take(&mut self, reading: Reading) {
        self.pieces[0].readings.push(reading);
    }

    fn taken(&mut self, number: &str) -> impl Iterator<Item = &mut Reading> {
        self.pieces[0].readings.iter_mut().filter(move |r| r.feature == number)
    }

    fn found(&self) -> PieceFinding {
        evaluate(self).pieces.remove(0)
    }

    fn found_of(&self, number: &str) -> FeatureFinding {
        feature(&self.found(), number).clone()
    }

    fn found_at(&self, number: &str) -> [f64; 2] {
        self.found_of(number).at()
    }
}

/// Where a feature was found.
pub(crate) trait Found {
    /// Its x and y in millimetres; fails where one is not determined.
    fn at(&self) -> [f64; 2];
}

impl Found for FeatureFinding {
    fn at(&self) -> [f64; 2] {
        [self.x, self.y].map(|c| c.at().unwrap().to_mm())
    }
}

/// The zero at a feature.
pub(crate) fn from(feature: &str) -> Zero {
    Zero::Feature(feature.to_owned())
}

/// A reading of a feature in an orientation, with nothing in it yet.
pub(crate) fn reading(orientation: u32, feature: &str) -> Reading {
    Reading { orientation, feature: feature.to_owned(), ..Reading::default() }
}

/// What a reading says.
pub(crate) trait Read {
    fn low(self, value: f64) -> Self;
    fn high(self, value: f64) -> Self;
    fn centre(self, value: f64) -> Self;
    fn size(self, value: f64) -> Self;
    fn face(self, value: f64) -> Self;
}

impl Read for Reading {
    fn low(self, value: f64) -> Self {
        Self { low: vec![Figure(value)], ..self }
    }

    fn high(self, value: f64) -> Self {
        Self { high: vec![Figure(value)], ..self }
    }

    fn centre(self, value: f64) -> Self {
        Self { centre: vec![Figure(value)], ..self }
    }

    fn size(self, value: f64) -> Self {
        Self { size: vec![Figure(value)], ..self }
    }

    fn face(self, value: f64) -> Self {
        Self { face: vec![Figure(value)], ..self }
    }
}
