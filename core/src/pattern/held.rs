//! What the datums of a callout stop in the plane, and what they leave free.

use crate::callout::Unjudged;
use crate::job::{Boundary, DatumRef, Feature, Job, Kind};
use crate::quantity::{Axis, Length};

/// What stops a pattern from moving.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Held {
    /// Translations along x and y that something flat stops: a face, or what the part stands on.
    pub along: [bool; 2],
    /// The rotation is stopped: by a face, a centre plane, or by how the part stands.
    pub turn: bool,
    /// Datum features of size that stop the rest, each at its own place.
    pub stops: Vec<Stop>,
}

/// A datum feature of size that stops the pattern where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// Index among the datums of the callout.
    pub datum: usize,
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// In which directions.
    pub shape: Shape,
    /// Whether it stops within its clearance only.
    pub loose: bool,
}

/// In which directions a datum feature stops the pattern.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// All round.
    Round,
    /// Along this unit vector.
    Across([f64; 2]),
}

impl Held {
    /// Walks through the datums of a callout in their order (ASME Y14.5-2018, 7.2 and 7.11; ISO
    /// 5459): a first datum without a feature is the plane that the part lies against and stops
    /// nothing in it; any other without a feature is taken as the orientations have it, and stops
    /// everything. A face stops the translation across it and the rotation, a round feature both
    /// translations, a further one the rotation. At a boundary a feature stops within its
    /// clearance only.
    ///
    /// # Errors
    /// What cannot be judged.
    pub fn of(job: &Job, datums: &[DatumRef]) -> Result<Self, Unjudged> {
        let mut held = Self::default();
        // Without datums a position is what the orientations make it.
        if datums.is_empty() {
            held.all();
        }
        let mut origin: Option<[f64; 2]> = None;
        for (index, datum) in datums.iter().enumerate() {
            let unknown = || Unjudged::UnknownDatum(datum.letter.clone());
            let defined =
                job.drawing.datums.iter().find(|d| d.letter == datum.letter).ok_or_else(unknown)?;
            let Some(number) = defined.feature.as_deref() else {
                if datum.boundary != Boundary::Regardless {
                    return Err(Unjudged::BoundaryOfFace(datum.letter.clone()));
                }
                // A datum of several features: the frame is theirs, and what they leave is as the
                // orientations have it.
                if index > 0 || defined.pattern.is_some() {
                    held.all();
                }
                continue;
            };
            let features = &job.drawing.features;
            let feature = features.iter().position(|f| f.number == number).ok_or_else(unknown)?;
            let loose = datum.boundary != Boundary::Regardless;
            let one = &features[feature];
            match (one.kind, one.plane_axis()) {
                (Kind::Face, _) if loose => {
                    return Err(Unjudged::BoundaryOfFace(datum.letter.clone()));
                }
                // After a round feature a face turns the part until it touches, and no more.
                (Kind::Face, Some(_)) if origin.is_some() => held.turn = true,
                (Kind::Face, Some(axis)) => held.plane(axis),
                (Kind::Slot | Kind::Tab, Some(axis)) => {
                    let stop = Shape::Across(axis.unit());
                    if origin.is_none() && loose && !held.turn {
                        return Err(Unjudged::SlotAlone(datum.letter.clone()));
                    }
                    if origin.is_none() && !loose {
                        held.plane(axis);
                    } else if loose || !held.stands() {
                        held.stops.push(Stop { datum: index, feature, shape: stop, loose });
                    }
                }
                (Kind::Hole | Kind::Boss, _) => {
                    let at = basic(one, job);
                    if let Some(shape) = held.round(origin, at, loose) {
                        held.stops.push(Stop { datum: index, feature, shape, loose });
                    }
                    origin = origin.or(Some(at));
                }
                // A direction that the drawing does not give is said elsewhere.
                (_, None) => {}
            }
        }
        Ok(held)
    }

    /// Nothing is left free: every coordinate of the frame is what the datums make it.
    #[must_use]
    pub fn stands(&self) -> bool {
        let firm = || self.stops.iter().filter(|s| !s.loose);
        if self.stops.iter().any(|s| s.loose) {
            return false;
        }
        let round = firm().any(|s| s.shape == Shape::Round);
        let along = |k: usize| {
            self.along[k]
                || round
                || firm().any(|s| matches!(s.shape, Shape::Across(e) if e[k].abs() > 0.5))
        };
        let clocked = round && firm().any(|s| matches!(s.shape, Shape::Across(_)));
        along(0) && along(1) && (self.turn || clocked)
    }

    fn all(&mut self) {
        self.along = [true; 2];
        self.turn = true;
    }

    fn plane(&mut self, axis: Axis) {
        self.along[usize::from(axis == Axis::Y)] = true;
        self.turn = true;
    }

    /// What a round datum feature at `at` still stops.
    fn round(&self, origin: Option<[f64; 2]>, at: [f64; 2], loose: bool) -> Option<Shape> {
        if loose {
            return Some(Shape::Round);
        }
        match (origin, self.along) {
            (None, [false, false]) => Some(Shape::Round),
            (None, [true, false]) => Some(Shape::Across(Axis::Y.unit())),
            (None, [false, true]) => Some(Shape::Across(Axis::X.unit())),
            (Some(from), _) if !self.turn => {
                let arm = [at[0] - from[0], at[1] - from[1]];
                let length = (arm[0] * arm[0] + arm[1] * arm[1]).sqrt();
                (length > 0.0).then(|| Shape::Across([-arm[1] / length, arm[0] / length]))
            }
            _ => None,
        }
    }
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

    fn held(datums: &[&str]) -> Held {
        Held::of(&job(), &DatumRef::all(datums)).unwrap()
    }

    #[test]
    fn faces_and_holes_regardless_of_size_leave_nothing() {
        for datums in [&["A", "B", "C"][..], &["A", "D", "E"], &["A", "B", "D"], &[], &["D", "E"]] {
            assert!(held(datums).stands(), "{datums:?}");
        }
    }

    #[test]
    fn what_no_datum_stops_is_free() {
        let free = held(&["A"]);
        assert_eq!((free.along, free.turn, free.stops.len()), ([false; 2], false, 0));
        let across = held(&["A", "B"]);
        assert_eq!((across.along, across.turn), ([false, true], true));
        assert!(!across.stands());
        let round = held(&["A", "D"]);
        assert!(!round.turn && !round.stands() && round.stops.len() == 1);
    }

    #[test]
    fn boundaries_stop_within_their_clearance() {
        let loose = held(&["A", "D(M)", "E(M)"]);
        assert!(!loose.stands() && loose.stops.iter().all(|s| s.loose));
        let clock = held(&["A", "D", "E(M)"]);
        assert_eq!(clock.stops.iter().map(|s| s.loose).collect::<Vec<_>>(), [false, true]);
        let face = Held::of(&job(), &DatumRef::all(&["A", "B(M)"]));
        assert_eq!(face, Err(Unjudged::BoundaryOfFace("B".to_owned())));
    }
}
