//! Changes that must keep the parts of a document in step.

use super::{
    Blocks, Datum, Drawing, FORMAT, Feature, Instrument, Job, Kind, Orientation, Outline, Piece,
    Plan, Reading, Rest, Shipment, Taken, Touch, VERSION, Zero,
};
use crate::quantity::{Figure, Side, Unit};

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
            shipment: Shipment::default(),
            pieces: vec![Piece { serial: "1".to_owned(), ..Piece::default() }],
            record: Vec::new(),
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
        self.drawing.datums.iter_mut().filter_map(|d| d.feature.as_mut()).for_each(follow);
        for o in &mut self.plan.orientations {
            if let Some(face) = o.rest.face.as_mut() {
                follow(face);
            }
            if let Zero::Feature(name) = &mut o.zero {
                follow(name);
            }
        }
        for piece in &mut self.pieces {
            piece.readings.iter_mut().for_each(|r| follow(&mut r.feature));
        }
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
        let read = self.pieces.iter().flat_map(|p| &p.readings).map(|r| r.orientation);
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
                if self.readings[i].is_empty() {
                    self.readings.remove(i);
                }
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
}
