//! Changes that must keep the parts of a document in step.

use super::{
    Blocks, Datum, Drawing, FORMAT, Feature, Grid, Instrument, Job, Kind, Orientation, Outline,
    Paper, Piece, Plan, Reading, Rest, Shipment, Squareness, Standard, Sweep, Taken, Touch,
    VERSION, Zero, ZeroCheck,
};
use crate::quantity::{Figure, Side, Unit};
use std::collections::HashSet;
use std::ops::Range;

impl Job {
    /// An empty job in `unit`, with the frame that most drawings have: A the large face, B
    /// the bottom edge (y = 0), C the left edge (x = 0), a first orientation with +Y up on B
    /// and a second one with +X up on C, both with their zero at the plate.
    #[must_use]
    pub fn empty(unit: Unit) -> Self {
        let (decimals, resolution) = match unit {
            Unit::Mm => (3, 0.001),
            Unit::Inch => (4, 0.00005),
        };
        let face = |number: &str, looks: Side| Feature {
            number: number.to_owned(),
            kind: Kind::Face,
            looks: Some(looks),
            x: (looks == Side::MinusX).then_some(Figure(0.0)),
            y: (looks == Side::MinusY).then_some(Figure(0.0)),
            ..Feature::default()
        };
        let datum = |letter: &str, feature: Option<&str>, what: &str| Datum {
            letter: letter.to_owned(),
            feature: feature.map(str::to_owned),
            what: what.to_owned(),
            ..Datum::default()
        };
        let orientation = |number, up: Side, on: &str| Orientation {
            number,
            up_degrees: up.degrees(),
            rest: Rest { face: Some(on.to_owned()), blocks: Blocks::default() },
            zero: Zero::Plate,
            taken: Taken::Touches,
            instrument: 0,
            find_angle: false,
        };
        Self {
            format: FORMAT.to_owned(),
            version: VERSION,
            demo: false,
            drawing: Drawing {
                unit,
                decimals,
                datums: vec![
                    datum("A", None, "large face"),
                    datum("B", Some("B"), "bottom edge"),
                    datum("C", Some("C"), "left edge"),
                ],
                features: vec![face("B", Side::MinusY), face("C", Side::MinusX)],
                // Inch drawings follow ASME; a metric one may follow either, and has to say.
                standard: match unit {
                    Unit::Inch => Some(Standard::Asme2018),
                    Unit::Mm => None,
                },
                ..Drawing::default()
            },
            plan: Plan {
                instruments: vec![Instrument {
                    name: "Height gauge".to_owned(),
                    identification: String::new(),
                    calibration_due: String::new(),
                    unit,
                    resolution: Figure(resolution),
                    ..Instrument::default()
                }],
                orientations: vec![
                    orientation(1, Side::PlusY, "B"),
                    orientation(2, Side::PlusX, "C"),
                ],
                ..Plan::default()
            },
            shipment: Shipment {
                paper: match unit {
                    Unit::Inch => Paper::Letter,
                    Unit::Mm => Paper::A4,
                },
                ..Shipment::default()
            },
            pieces: vec![Piece { serial: "1".to_owned(), ..Piece::default() }],
            record: Vec::new(),
            piece_record: Vec::new(),
            document_record: Vec::new(),
        }
    }

    /// The instrument of an orientation, if the plan has it.
    #[must_use]
    pub fn instrument(&self, orientation: &Orientation) -> Option<&Instrument> {
        self.plan.instruments.get(orientation.instrument)
    }

    /// The unit in which readings of `orientation` are written.
    #[must_use]
    pub fn reading_unit(&self, orientation: &Orientation) -> Unit {
        self.instrument(orientation).map_or(self.drawing.unit, |i| i.unit)
    }

    /// The feature with this number.
    #[must_use]
    pub fn feature(&self, number: &str) -> Option<&Feature> {
        self.drawing.features.iter().find(|f| f.number == number)
    }

    /// The orientation with this number.
    #[must_use]
    pub fn orientation(&self, number: u32) -> Option<&Orientation> {
        self.plan.orientations.iter().find(|o| o.number == number)
    }

    /// Gives a feature another number, in the drawing and wherever it is referred to.
    ///
    /// Does nothing but rename the feature itself when the old number is empty or shared by
    /// several features, since it is then not clear whose readings they are.
    pub fn renumber(&mut self, index: usize, number: &str) {
        let Some(feature) = self.drawing.features.get_mut(index) else { return };
        let old = std::mem::replace(&mut feature.number, number.to_owned());
        let still_used = self.drawing.features.iter().any(|f| f.number == old);
        if old.is_empty() || still_used || old == number {
            return;
        }
        let follow = |name: &mut String| {
            if *name == old {
                number.clone_into(name);
            }
        };
        self.drawing.datums.iter_mut().flat_map(Datum::carriers_mut).for_each(follow);
        self.drawing.relations.iter_mut().flat_map(|r| r.kind.features_mut()).for_each(follow);
        for o in &mut self.plan.orientations {
            if let Some(face) = o.rest.face.as_mut() {
                follow(face);
            }
            if let Zero::Feature(name) = &mut o.zero {
                follow(name);
            }
        }
        for piece in &mut self.pieces {
            piece.sweeps.iter_mut().for_each(|s| follow(&mut s.feature));
            for reading in &mut piece.readings {
                follow(&mut reading.feature);
                if let Some(Zero::Feature(name)) = &mut reading.zero {
                    follow(name);
                }
            }
        }
    }

    /// Counts the readings that would have no feature if these features were taken away: touches and
    /// sweeps of every piece, unless another feature has the number.
    #[must_use]
    pub fn readings_left_without(&self, features: Range<usize>) -> usize {
        let gone = self.drawing.features.get(features.clone()).unwrap_or_default();
        let stay = self.drawing.features.iter().enumerate();
        let stay = stay.filter(|(i, _)| !features.contains(i)).map(|(_, f)| f.number.as_str());
        let stay: HashSet<&str> = stay.collect();
        let gone = gone.iter().map(|f| f.number.as_str()).filter(|number| !stay.contains(number));
        let gone: HashSet<&str> = gone.collect();
        let of_piece = |piece: &Piece| {
            let readings = piece.readings.iter().filter(|r| gone.contains(r.feature.as_str()));
            let touches = readings.flat_map(|r| Touch::ALL.map(|touch| r.values(touch).len()));
            let sweeps = piece.sweeps.iter().filter(|s| gone.contains(s.feature.as_str()));
            touches.sum::<usize>() + sweeps.count()
        };
        self.pieces.iter().map(of_piece).sum()
    }

    /// Gives a relation another number, with the heights that were taken for it.
    pub fn renumber_relation(&mut self, index: usize, number: &str) {
        let Some(relation) = self.drawing.relations.get_mut(index) else { return };
        let old = std::mem::replace(&mut relation.number, number.to_owned());
        let texts = self.drawing.not_understood.iter_mut();
        for place in texts.filter_map(|n| n.place.line_mut()).filter(|place| **place == old) {
            number.clone_into(place);
        }
        for grid in self.pieces.iter_mut().flat_map(|p| &mut p.grids) {
            if grid.relation == old {
                number.clone_into(&mut grid.relation);
            }
        }
    }

    /// A number that no relation has: the next after the largest, from 20 in tens.
    #[must_use]
    pub fn free_relation_number(&self) -> String {
        let numbers = self.drawing.relations.iter().filter_map(|r| r.number.parse::<u32>().ok());
        let kept = self.pieces.iter().chain(self.removed_pieces()).flat_map(|p| &p.grids);
        let kept = kept.filter_map(|g| g.relation.parse::<u32>().ok());
        let largest = numbers.chain(kept).filter(|n| *n < 100_000_000).max().unwrap_or(10);
        ((largest / 10 + 1) * 10).to_string()
    }

    /// Returns the other piece that has this serial number: its index.
    #[must_use]
    pub fn other_piece(&self, index: usize, serial: &str) -> Option<usize> {
        let with_it = |(i, p): &(usize, &Piece)| *i != index && p.serial == serial;
        self.pieces.iter().enumerate().find(with_it).map(|(i, _)| i)
    }

    /// Returns a serial number that no piece has: that of the last piece counted on, its leading
    /// zeros kept.
    #[must_use]
    pub fn free_serial(&self) -> String {
        let last = self.pieces.last().map_or("", |p| p.serial.as_str());
        let stem = last.trim_end_matches(|c: char| c.is_ascii_digit());
        let digits = &last[stem.len()..];
        let (stem, number, width) = match digits.parse::<u64>() {
            Ok(number) if number < u64::MAX / 2 => (stem, number, digits.len()),
            // Nothing to count on, or more digits than any count has.
            _ => ("", 0, 0),
        };
        let free = |serial: &String| self.pieces.iter().all(|p| p.serial != *serial);
        let next = (number + 1..).map(|n| format!("{stem}{n:0width$}"));
        // Of one more number than there are pieces, one is free.
        next.take(self.pieces.len() + 1).find(free).unwrap_or_default()
    }

    /// A drawing whose outline is `width` by `height` from the frame's origin.
    pub fn set_outline(&mut self, width: Figure, height: Figure) {
        self.drawing.outline =
            Some(Outline { left: Figure(0.0), bottom: Figure(0.0), right: width, top: height });
    }

    /// Adds an orientation, numbered after the last, with `up` pointing up, the opposite edge
    /// of the outline on the plate and the zero at the plate.
    pub fn add_orientation(&mut self, up: Side) -> u32 {
        // Above every number ever used: readings of an orientation that was removed are kept, and
        // must not be taken for the new one's.
        let read = self.pieces.iter().chain(self.removed_pieces()).flat_map(|p| {
            let readings = p.readings.iter().map(|r| r.orientation);
            let checks = p.zero_checks.iter().map(|z| z.orientation);
            let sweeps = p.sweeps.iter().map(|s| s.orientation);
            let known =
                p.squareness.iter().flat_map(|s| [s.orientation].into_iter().chain(s.against));
            readings.chain(checks).chain(sweeps).chain(known)
        });
        let recorded = self.record.iter().map(|c| c.orientation);
        let planned = self.plan.orientations.iter().map(|o| o.number);
        let number = planned.chain(read).chain(recorded).max().unwrap_or(0).saturating_add(1);
        let carrying = self
            .drawing
            .features
            .iter()
            .find(|f| f.kind == Kind::Face && f.looks == Some(up.opposite()))
            .map(|f| f.number.clone());
        self.plan.orientations.push(Orientation {
            number,
            up_degrees: up.degrees(),
            rest: Rest { face: carrying, blocks: Blocks::default() },
            zero: Zero::Plate,
            taken: Taken::Touches,
            instrument: 0,
            find_angle: false,
        });
        number
    }
}

impl Piece {
    /// A further piece under the conditions that this one was measured in: inspector and
    /// temperatures of the day go on, in words and as figures, so that its lengths are corrected by
    /// what its sheet says. Nothing that was read or found on this one does, and no date: that
    /// comes with the first reading.
    #[must_use]
    pub fn next(&self, serial: String) -> Self {
        Self {
            serial,
            inspector: self.inspector.clone(),
            temperature: self.temperature.clone(),
            part_celsius: self.part_celsius,
            gauge_celsius: self.gauge_celsius,
            ..Self::default()
        }
    }

    /// What was read on `feature` in `orientation`.
    #[must_use]
    pub fn reading(&self, orientation: u32, feature: &str) -> Option<&Reading> {
        self.readings.iter().find(|r| r.orientation == orientation && r.feature == feature)
    }

    /// Puts `values` in the place of whatever stood there; an empty list takes it back.
    pub fn set_values(
        &mut self,
        orientation: u32,
        feature: &str,
        touch: Touch,
        values: Vec<Figure>,
    ) {
        let at =
            self.readings.iter().position(|r| r.orientation == orientation && r.feature == feature);
        match at {
            Some(i) => {
                *self.readings[i].values_mut(touch) = values;
                self.tidy(i);
            }
            None if values.is_empty() => {}
            None => {
                let mut reading =
                    Reading { orientation, feature: feature.to_owned(), ..Reading::default() };
                *reading.values_mut(touch) = values;
                self.readings.push(reading);
            }
        }
    }

    /// Says what the reading of `feature` in `orientation` counts from; `None`: from the zero of the
    /// orientation. It can be said before anything is read, and stays said when the readings are
    /// taken back.
    pub fn set_zero(&mut self, orientation: u32, feature: &str, zero: Option<Zero>) {
        let at =
            self.readings.iter().position(|r| r.orientation == orientation && r.feature == feature);
        match at {
            Some(i) => {
                self.readings[i].zero = zero;
                self.tidy(i);
            }
            None if zero.is_none() => {}
            None => {
                let feature = feature.to_owned();
                self.readings.push(Reading { orientation, feature, zero, ..Reading::default() });
            }
        }
    }

    /// Whether anything was read on it.
    #[must_use]
    pub fn is_read(&self) -> bool {
        self.readings.iter().any(|r| !r.is_empty()) || !self.sweeps.is_empty()
    }

    /// Whether nothing was read on it, found out about it or noted.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        let Self { squareness, zero_checks, sweeps, grids, readings, notes, .. } = self;
        squareness.is_empty()
            && zero_checks.is_empty()
            && sweeps.is_empty()
            && grids.is_empty()
            && readings.is_empty()
            && notes.is_empty()
    }

    /// Takes away the reading at `index` where it says nothing.
    fn tidy(&mut self, index: usize) {
        if self.readings[index].is_empty() && self.readings[index].zero.is_none() {
            self.readings.remove(index);
        }
    }

    /// How far out of square the edge is that carries the piece in `orientation`, if it is known.
    #[must_use]
    pub fn squareness_of(&self, orientation: u32) -> Option<Squareness> {
        self.squareness.iter().find(|s| s.orientation == orientation).copied()
    }

    /// Says it, or takes it back. An edge that would be measured against itself is measured
    /// against that of the first orientation.
    pub fn set_squareness(&mut self, orientation: u32, known: Option<Squareness>) {
        self.squareness.retain(|s| s.orientation != orientation);
        self.squareness.extend(known.map(|s| Squareness {
            orientation,
            against: s.against.filter(|other| *other != orientation),
            ..s
        }));
        self.squareness.sort_by_key(|s| s.orientation);
    }

    /// The heights that were taken for a relation.
    #[must_use]
    pub fn grid(&self, relation: &str) -> Option<&Grid> {
        self.grids.iter().find(|g| g.relation == relation)
    }

    /// Puts a grid of heights in the place of whatever was taken for its relation; one without points
    /// takes it back.
    pub fn set_grid(&mut self, grid: Grid) {
        self.grids.retain(|g| g.relation != grid.relation);
        if !grid.points.is_empty() {
            self.grids.push(grid);
        }
    }

    /// What the zero read at the end of `orientation`, in the instrument's unit.
    #[must_use]
    pub fn zero_check(&self, orientation: u32) -> Option<Figure> {
        self.zero_checks.iter().find(|z| z.orientation == orientation).map(|z| z.end)
    }

    /// Says it, or takes it back.
    pub fn set_zero_check(&mut self, orientation: u32, end: Option<Figure>) {
        self.zero_checks.retain(|z| z.orientation != orientation);
        self.zero_checks.extend(end.map(|end| ZeroCheck { orientation, end }));
        self.zero_checks.sort_by_key(|z| z.orientation);
    }

    /// The sweep over `feature` in `orientation`.
    #[must_use]
    pub fn sweep(&self, orientation: u32, feature: &str) -> Option<&Sweep> {
        self.sweeps.iter().find(|s| s.orientation == orientation && s.feature == feature)
    }

    /// Puts the lowest and the highest reading of a sweep in the place of whatever stood there, or
    /// takes it back.
    pub fn set_sweep(
        &mut self,
        orientation: u32,
        feature: &str,
        readings: Option<(Figure, Figure)>,
    ) {
        let at =
            self.sweeps.iter().position(|s| s.orientation == orientation && s.feature == feature);
        let new = readings.map(|(lowest, highest)| Sweep {
            orientation,
            feature: feature.to_owned(),
            lowest,
            highest,
        });
        match (at.and_then(|i| self.sweeps.get_mut(i)), new) {
            (Some(there), Some(new)) => *there = new,
            (None, Some(new)) => self.sweeps.push(new),
            (_, None) => {
                self.sweeps.retain(|s| s.orientation != orientation || s.feature != feature);
            }
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::{DatumPattern, PatternKind, record_changes};
    use super::*;

    fn from_c() -> Option<Zero> {
        Some(Zero::Feature("C".to_owned()))
    }

    #[test]
    fn a_zero_said_before_the_reading_stays_with_it() {
        let mut piece = Piece::default();
        piece.set_zero(1, "7", from_c());
        assert!(!piece.is_read());
        piece.set_values(1, "7", Touch::Low, vec![Figure(1.0)]);
        assert_eq!(piece.readings.len(), 1);
        assert_eq!(piece.reading(1, "7").unwrap().zero, from_c());
        piece.set_values(1, "7", Touch::Low, vec![]);
        assert_eq!(piece.reading(1, "7").unwrap().zero, from_c());
        piece.set_zero(1, "7", None);
        assert_eq!(piece, Piece::default());
    }

    #[test]
    fn serial_numbers_count_on_and_are_free() {
        for (there, next) in [
            (&["0021"][..], "0022"),
            (&["A-9"], "A-10"),
            (&["099"], "100"),
            (&["x"], "1"),
            (&["1", "x"], "2"),
            (&[""], "1"),
            (&[], "1"),
            (&["2", "1"], "3"),
            (&["A-2", "A-3", "A-1"], "A-4"),
            (&["99999999999999999999999"], "1"),
        ] {
            let mut job = Job::empty(Unit::Mm);
            let piece = |serial: &&str| Piece { serial: (*serial).to_owned(), ..Piece::default() };
            job.pieces = there.iter().map(piece).collect();
            assert_eq!(job.free_serial(), next, "{there:?}");
        }
    }

    #[test]
    fn a_serial_number_of_another_piece_is_found() {
        let mut job = Job::empty(Unit::Mm);
        job.pieces.push(job.pieces[0].next("2".to_owned()));
        assert_eq!((job.other_piece(0, "2"), job.other_piece(1, "2")), (Some(1), None));
        assert_eq!(job.other_piece(0, "3"), None);
    }

    #[test]
    fn a_number_of_a_removed_pieces_orientation_is_not_given_again() {
        let mut old = Job::empty(Unit::Mm);
        old.pieces[0].set_zero_check(7, Some(Figure(0.001)));
        let mut new = old.clone();
        new.pieces.clear();
        record_changes(&old, &mut new, "now", "who");
        assert_eq!(new.add_orientation(Side::MinusX), 8);
    }

    #[test]
    fn a_feature_takes_the_zeros_at_it_along_when_it_is_renumbered() {
        let mut job = Job::empty(Unit::Mm);
        job.pieces[0].set_zero(1, "B", from_c());
        let c = job.drawing.features.iter().position(|f| f.number == "C").unwrap();
        job.renumber(c, "L");
        let zero = job.pieces[0].readings[0].zero.clone();
        assert_eq!(zero, Some(Zero::Feature("L".to_owned())));
    }

    #[test]
    fn a_pattern_follows_its_features() {
        let mut job = Job::empty(Unit::Mm);
        let features = ["B", "C"].map(str::to_owned).to_vec();
        let pattern = Some(DatumPattern { kind: PatternKind::BestFit, features });
        job.drawing.datums.push(Datum { letter: "D".to_owned(), pattern, ..Datum::default() });
        let c = job.drawing.features.iter().position(|f| f.number == "C").unwrap();
        job.renumber(c, "L");
        let carriers: Vec<&String> = job.drawing.datums[3].carriers().collect();
        assert_eq!(carriers, ["B", "L"]);
        // A feature that is taken away stays named, as it does by a datum that it carries alone: it
        // can be brought back, and until then the findings say that it is missing.
        job.drawing.features.remove(c);
        let again = super::super::read(&super::super::write(&job)).unwrap();
        assert_eq!(again, job);
    }

    #[test]
    fn what_is_known_of_an_orientation_that_was_removed_is_not_taken_for_a_new_ones() {
        let mut job = Job::empty(Unit::Mm);
        job.pieces[0].set_zero_check(5, Some(Figure(0.001)));
        assert_eq!(job.add_orientation(Side::PlusY), 6);
        let known = Squareness {
            farther_out: Figure(0.01),
            over: Figure(50.0),
            against: Some(9),
            ..Squareness::default()
        };
        job.pieces[0].set_squareness(9, Some(known));
        let said = job.pieces[0].squareness_of(9).unwrap();
        assert_eq!((said.orientation, said.against), (9, None), "not against itself");
        assert_eq!(job.add_orientation(Side::PlusY), 10);
        job.pieces[0].set_squareness(2, Some(Squareness { against: Some(14), ..known }));
        assert_eq!(job.add_orientation(Side::PlusY), 15);
    }

    #[test]
    fn a_sweep_follows_its_feature_and_keeps_its_orientation_from_another_one() {
        let mut job = Job::empty(Unit::Mm);
        job.pieces[0].set_sweep(7, "C", Some((Figure(-0.002), Figure(0.004))));
        assert!(job.pieces[0].is_read());
        let c = job.drawing.features.iter().position(|f| f.number == "C").unwrap();
        job.renumber(c, "L");
        assert_eq!(job.pieces[0].sweep(7, "L").unwrap().highest, Figure(0.004));
        assert_eq!(job.add_orientation(Side::PlusY), 8);
        job.pieces[0].set_sweep(7, "L", Some((Figure(0.0), Figure(0.003))));
        assert_eq!(job.pieces[0].sweeps.len(), 1);
        job.pieces[0].set_sweep(7, "L", None);
        assert_eq!(job.pieces[0].sweeps, vec![]);
    }

    #[test]
    fn a_further_piece_takes_over_the_conditions_of_the_day_and_no_readings() {
        let mut first = Piece {
            serial: "1".to_owned(),
            inspector: "R. V.".to_owned(),
            date: "2026-11-20".to_owned(),
            temperature: "22.5 °C".to_owned(),
            notes: "burr at 3".to_owned(),
            part_celsius: Some(22.5),
            gauge_celsius: Some(21.0),
            ..Piece::default()
        };
        first.set_values(1, "7", Touch::Low, vec![Figure(1.0)]);
        first.set_zero_check(1, Some(Figure(0.001)));
        first.set_sweep(1, "C", Some((Figure(0.0), Figure(0.001))));
        let known =
            Squareness { farther_out: Figure(0.01), over: Figure(50.0), ..Squareness::default() };
        first.set_squareness(2, Some(known));
        let next = first.next("2".to_owned());
        let expected = Piece {
            serial: "2".to_owned(),
            inspector: "R. V.".to_owned(),
            temperature: "22.5 °C".to_owned(),
            part_celsius: Some(22.5),
            gauge_celsius: Some(21.0),
            ..Piece::default()
        };
        assert_eq!(next, expected);
    }
}
