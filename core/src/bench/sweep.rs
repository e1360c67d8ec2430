//! Sweeps: an indicator led over a face or along an edge, its lowest and its highest reading.

use crate::job::{Feature, Job, Kind, Orientation, Piece, Sweep};
use crate::quantity::{Length, Unit};

/// What a sweep says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tir {
    /// Total indicator reading: highest less lowest. It needs no zero and no probe constant, all of
    /// it being touched from one side.
    pub tir: Length,
    /// Its standard uncertainty; `None` where that of a touch is not known.
    pub standard: Option<Length>,
}

impl Tir {
    /// Works out a sweep whose readings are in `unit`. `touch` is the standard uncertainty of one
    /// touch against another close by, resolution and repeatability.
    ///
    /// u² = 2 u²(touch) (JCGM 100:2008, 5.1.2). The largest and the smallest of many readings lie a
    /// little farther apart than the face itself; that is not taken off.
    #[must_use]
    pub fn of(sweep: &Sweep, unit: Unit, touch: Option<Length>) -> Self {
        Self {
            tir: sweep.highest.length(unit) - sweep.lowest.length(unit),
            standard: touch.map(|u| u * std::f64::consts::SQRT_2),
        }
    }
}

/// Indices of the faces that can be swept in an orientation: those that look up.
#[must_use]
pub fn faces_up(job: &Job, orientation: &Orientation) -> Vec<usize> {
    let Some(up) = orientation.up_side() else { return Vec::new() };
    let features = job.drawing.features.iter().enumerate();
    features.filter(|(_, f)| f.kind == Kind::Face && f.looks == Some(up)).map(|(i, _)| i).collect()
}

/// The face whose sweep would show that the part is not seated: the first that looks up, where the piece
/// has no sweep of any of them in the orientation. Readings of a tilted part show it only against the
/// opposite orientation.
#[must_use]
pub fn seat_not_swept<'a>(
    job: &'a Job,
    piece: &Piece,
    orientation: &Orientation,
) -> Option<&'a Feature> {
    let faces = faces_up(job, orientation);
    let numbers = faces.iter().filter_map(|i| job.drawing.features.get(*i));
    let swept = |f: &Feature| piece.sweep(orientation.number, &f.number).is_some();
    if numbers.clone().any(swept) { None } else { numbers.clone().next() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Figure, Side};

    #[test]
    fn the_reading_is_the_difference_whatever_the_zero() {
        let sweep = |lowest, highest| Sweep {
            lowest: Figure(lowest),
            highest: Figure(highest),
            ..Sweep::default()
        };
        for (lowest, highest) in [(-0.002, 0.004), (29.998, 30.004), (-0.012, -0.006)] {
            let found = Tir::of(&sweep(lowest, highest), Unit::Mm, None);
            assert!((found.tir.to_mm() - 0.006).abs() < 1e-12, "{found:?}");
            assert_eq!(found.standard, None);
        }
        let inch = Tir::of(&sweep(0.0, 0.001), Unit::Inch, Some(Length::mm(0.003)));
        assert!((inch.tir.to_mm() - 0.0254).abs() < 1e-12, "{inch:?}");
        // √2 · 3 µm.
        let u = inch.standard.map_or(0.0, Length::to_mm);
        assert!((u - 0.004_242_640_687_119_285).abs() < 1e-15, "{u}");
    }

    #[test]
    fn only_faces_that_look_up_are_swept() {
        let mut job = Job::empty(Unit::Mm);
        let looking = |number: &str, looks| Feature {
            number: number.to_owned(),
            kind: Kind::Face,
            looks: Some(looks),
            ..Feature::default()
        };
        job.drawing.features.push(looking("T", Side::PlusY));
        job.drawing.features.push(looking("R", Side::PlusX));
        let up = |index: usize| {
            let orientation = job.plan.orientations.get(index);
            orientation.map(|o| faces_up(&job, o)).unwrap_or_default()
        };
        assert_eq!((up(0), up(1)), (vec![2], vec![3]));
        let mut leaning = job.plan.orientations.clone().into_iter().next().unwrap_or_default();
        leaning.up_degrees = 37.0;
        assert_eq!(faces_up(&job, &leaning), Vec::<usize>::new());
    }

    #[test]
    fn a_seat_is_swept_once_in_each_orientation() {
        let mut job = Job::empty(Unit::Mm);
        job.drawing.features.push(Feature {
            number: "T".to_owned(),
            kind: Kind::Face,
            looks: Some(Side::PlusY),
            ..Feature::default()
        });
        let mut piece = Piece::default();
        let wanted = |piece: &Piece, index: usize| {
            let orientation = job.plan.orientations.get(index);
            orientation.and_then(|o| seat_not_swept(&job, piece, o)).map(|f| f.number.clone())
        };
        assert_eq!((wanted(&piece, 0), wanted(&piece, 1)), (Some("T".to_owned()), None));
        piece.set_sweep(1, "T", Some((Figure(0.0), Figure(0.002))));
        assert_eq!(wanted(&piece, 0), None);
    }
}
