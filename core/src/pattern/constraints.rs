//! What the datums of a callout stop in the plane, and what they leave free.

use crate::callout::Unjudged;
use crate::job::{Boundary, DatumRef, Feature, Job, Kind};
use crate::quantity::{Axis, Length};

/// What the datums of a callout stop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DatumConstraints {
    /// Translations along x and y that something flat stops: a face, or what the part stands on.
    pub along: [bool; 2],
    /// The rotation is stopped: by a face, a centre plane, or by how the part stands.
    pub turn: bool,
    /// Datum features of size that stop the rest, each at its own place, in the order of the callout.
    pub stops: Vec<DatumStop>,
}

/// A datum feature of size that stops the pattern where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct DatumStop {
    /// Index among the datums of the callout.
    pub datum: usize,
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// In which directions.
    pub shape: StopShape,
    /// How firmly.
    pub room: StopRoom,
}

/// In which directions a datum feature stops the pattern.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StopShape {
    /// All round.
    Round,
    /// Along this unit vector.
    Across([f64; 2]),
}

/// How much room a datum feature leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StopRoom {
    /// None: it is centred on its counterpart, regardless of its size.
    None,
    /// None as far as the datums before it leave it the choice: a tertiary datum regardless of its size
    /// behind one at its boundary is centred on its counterpart, which stands at its basic place, as
    /// far as the room of the earlier one lets it.
    Centred,
    /// Its clearance at its boundary.
    Clearance,
}

impl DatumConstraints {
    /// Walks through the datums of a callout in their order (ASME Y14.5-2018, 7.2 and 7.11; ISO 5459):
    /// a first datum without a feature is the plane that the part lies against and stops nothing in it;
    /// any other without a feature is taken as the orientations have it, and stops everything. A face
    /// stops the translation across it and the rotation, a round feature both translations, a further
    /// one the rotation. At a boundary a feature stops within its clearance only.
    ///
    /// A further feature of size at its boundary, or behind a datum at its boundary, has its counterpart
    /// at its basic place in both directions, unless it has the translation modifier or the drawing's
    /// standard lets it move along the line between them. Regardless of its size behind a datum
    /// regardless of its size it is free along that line.
    ///
    /// # Errors
    /// What cannot be judged.
    pub fn of(job: &Job, datums: &[DatumRef]) -> Result<Self, Unjudged> {
        let mut found = Self::default();
        // Without datums a position is what the orientations make it.
        if datums.is_empty() {
            found.all();
        }
        let mut origin: Option<Origin> = None;
        for (index, datum) in datums.iter().enumerate() {
            let unknown = || Unjudged::UnknownDatum(datum.letter.clone());
            let defined =
                job.drawing.datums.iter().find(|d| d.letter == datum.letter).ok_or_else(unknown)?;
            let loose = datum.boundary != Boundary::Regardless;
            let Some(number) = defined.feature.as_deref() else {
                if loose {
                    return Err(Unjudged::BoundaryOfFace(datum.letter.clone()));
                }
                // A datum of several features: the frame is theirs, and what they leave is as the
                // orientations have it.
                if index > 0 || defined.pattern.is_some() {
                    found.all();
                }
                continue;
            };
            let features = &job.drawing.features;
            let feature = features.iter().position(|f| f.number == number).ok_or_else(unknown)?;
            let one = &features[feature];
            // A boundary stands at its basic place under every standard (ISO 2692 too).
            let fixed = match loose {
                true => !datum.translation,
                false => job.drawing.standard().stands_at_basic(datum),
            };
            let stop = |shape, room| DatumStop { datum: index, feature, shape, room };
            match (one.kind, one.plane_axis()) {
                (Kind::Face, _) if loose => {
                    return Err(Unjudged::BoundaryOfFace(datum.letter.clone()));
                }
                // After a round feature a face turns the part until it touches. Its counterpart stands at
                // its basic place: where the round one leaves room, the part lies against it.
                (Kind::Face, Some(axis)) if origin.is_some() => {
                    found.turn = true;
                    if fixed && origin.is_some_and(|o| o.loose) {
                        found.stops.push(stop(StopShape::Across(axis.unit()), StopRoom::Centred));
                    }
                }
                (Kind::Face, Some(axis)) => found.plane(axis),
                (Kind::Slot | Kind::Tab, Some(axis)) => {
                    let shape = StopShape::Across(axis.unit());
                    if origin.is_none() && loose && !found.turn {
                        return Err(Unjudged::SlotAlone(datum.letter.clone()));
                    }
                    if origin.is_none() && !loose {
                        found.plane(axis);
                    } else if loose {
                        found.stops.push(stop(shape, StopRoom::Clearance));
                    } else if !found.stands() {
                        let behind = origin.is_some_and(|o| o.loose);
                        let room = if behind { StopRoom::Centred } else { StopRoom::None };
                        found.stops.push(stop(shape, room));
                    }
                }
                (Kind::Hole | Kind::Boss, _) => {
                    let at = basic(one, job);
                    found
                        .stops
                        .extend(found.round(origin, at, loose, fixed).map(|(s, r)| stop(s, r)));
                    origin = origin.or(Some(Origin { at, loose }));
                }
                // A direction that the drawing does not give is said elsewhere.
                (_, None) => {}
            }
        }
        Ok(found)
    }

    /// Nothing is left free: every coordinate of the frame is what the datums make it.
    #[must_use]
    pub fn stands(&self) -> bool {
        if self.stops.iter().any(|s| s.room != StopRoom::None) {
            return false;
        }
        let round = self.stops.iter().any(|s| s.shape == StopShape::Round);
        let across = |k: usize| {
            self.stops.iter().any(|s| matches!(s.shape, StopShape::Across(e) if e[k].abs() > 0.5))
        };
        let along = |k: usize| self.along[k] || round || across(k);
        along(0) && along(1) && (self.turn || self.clocked())
    }

    /// Whether features regardless of their size stop the rotation about a round one.
    #[must_use]
    pub fn clocked(&self) -> bool {
        let firm = || self.stops.iter().filter(|s| s.room == StopRoom::None);
        firm().any(|s| s.shape == StopShape::Round)
            && firm().any(|s| matches!(s.shape, StopShape::Across(_)))
    }

    fn all(&mut self) {
        self.along = [true; 2];
        self.turn = true;
    }

    fn plane(&mut self, axis: Axis) {
        self.along[usize::from(axis == Axis::Y)] = true;
        self.turn = true;
    }

    /// What a round datum feature at `at` still stops, and how firmly.
    fn round(
        &self,
        origin: Option<Origin>,
        at: [f64; 2],
        loose: bool,
        fixed: bool,
    ) -> Option<(StopShape, StopRoom)> {
        let Some(origin) = origin else {
            let shape = match self.along {
                _ if loose => StopShape::Round,
                [false, false] => StopShape::Round,
                [true, false] => StopShape::Across(Axis::Y.unit()),
                [false, true] => StopShape::Across(Axis::X.unit()),
                [true, true] => return None,
            };
            return Some((shape, if loose { StopRoom::Clearance } else { StopRoom::None }));
        };
        // Regardless of its size from a datum regardless of its size it is free along the line between
        // them.
        let stands = fixed && (loose || origin.loose);
        let shape = if stands { StopShape::Round } else { across(origin.at, at)? };
        let room = match (loose, origin.loose) {
            (true, _) => StopRoom::Clearance,
            (false, true) => StopRoom::Centred,
            (false, false) if self.turn => return None,
            (false, false) => StopRoom::None,
        };
        Some((shape, room))
    }
}

/// The first round datum feature.
#[derive(Clone, Copy)]
struct Origin {
    at: [f64; 2],
    /// At its boundary.
    loose: bool,
}

/// Across the line between two places; `None` where they are one.
fn across(from: [f64; 2], to: [f64; 2]) -> Option<StopShape> {
    let arm = [to[0] - from[0], to[1] - from[1]];
    let length = (arm[0] * arm[0] + arm[1] * arm[1]).sqrt();
    (length > 0.0).then(|| StopShape::Across([-arm[1] / length, arm[0] / length]))
}

fn basic(feature: &Feature, job: &Job) -> [f64; 2] {
    let at = feature.basic_point(job.drawing.unit);
    [at.x, at.y].map(Length::to_mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Datum;
    use crate::quantity::{Figure, Side, Unit};

    fn job() -> Job {
        let mut job = Job::empty(Unit::Mm);
        for (number, kind, x) in [("1", Kind::Hole, 0.0), ("2", Kind::Hole, 80.0)] {
            job.drawing.features.push(Feature {
                number: number.to_owned(),
                kind,
                x: Some(Figure(x)),
                y: Some(Figure(0.0)),
                ..Feature::default()
            });
        }
        for (letter, feature) in [("D", "1"), ("E", "2")] {
            job.drawing.datums.push(Datum {
                letter: letter.to_owned(),
                feature: Some(feature.to_owned()),
                ..Datum::default()
            });
        }
        assert_eq!(job.drawing.features[0].looks, Some(Side::MinusY));
        job
    }

    fn constraints(datums: &[&str]) -> DatumConstraints {
        DatumConstraints::of(&job(), &DatumRef::all(datums)).unwrap()
    }

    #[test]
    fn faces_and_holes_regardless_of_size_leave_nothing() {
        for datums in [&["A", "B", "C"][..], &["A", "D", "E"], &["A", "B", "D"], &[], &["D", "E"]] {
            assert!(held(datums).stands(), "{datums:?}");
        }
    }

    #[test]
    fn what_no_datum_stops_is_free() {
        let free = constraints(&["A"]);
        assert_eq!((free.along, free.turn, free.stops.len()), ([false; 2], false, 0));
        let across = constraints(&["A", "B"]);
        assert_eq!((across.along, across.turn), ([false, true], true));
        assert!(!across.stands());
        let round = constraints(&["A", "D"]);
        assert!(!round.turn && !round.stands() && round.stops.len() == 1);
    }

    #[test]
    fn boundaries_stop_within_their_clearance() {
        let loose = constraints(&["A", "D(M)", "E(M)"]);
        assert!(!loose.stands() && loose.stops.iter().all(|s| s.room == StopRoom::Clearance));
        let clock = constraints(&["A", "D", "E(M)"]);
        let rooms: Vec<_> = clock.stops.iter().map(|s| s.room).collect();
        assert_eq!(rooms, [StopRoom::None, StopRoom::Clearance]);
        assert_eq!(clock.stops[1].shape, StopShape::Round, "fixed at its basic place");
        assert!(
            loose.stops.iter().all(|s| s.shape == StopShape::Round),
            "fixed at its basic place"
        );
        let tertiary = constraints(&["A", "D(M)", "E"]);
        assert_eq!(tertiary.stops[1].room, StopRoom::Centred);
        assert_eq!(tertiary.stops[1].shape, StopShape::Round);
        let translated = constraints(&["A", "D(M)", "E▷"]);
        assert!(matches!(translated.stops[1].shape, StopShape::Across(_)));
        let face = DatumConstraints::of(&job(), &DatumRef::all(&["A", "B(M)"]));
        assert_eq!(face, Err(Unjudged::BoundaryOfFace("B".to_owned())));
    }
}
