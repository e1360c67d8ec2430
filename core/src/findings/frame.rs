//! Which datum each orientation refers to, and what that means for the callouts.
//!
//! In this version the frame is carried by the zeros: an orientation whose zero is datum B
//! gives coordinates from B. What is tied to no datum is said; a frame that needs more is not
//! judged.

use super::{Place, Problem, Weight};
use crate::callout::Unjudged;
use crate::job::{Datum, Drawing, Job, Kind, Orientation, Position, Zero};
use std::collections::HashMap;

/// The feature whose basic coordinate an orientation takes as true: its zero, or the face on
/// the plate. `None` for an edge of the outline that is no feature.
fn refers_to(orientation: &Orientation) -> Option<&str> {
    match &orientation.zero {
        Zero::Feature(number) => Some(number),
        Zero::Plate => orientation.rest.face.as_deref(),
    }
}

fn is_datum(drawing: &Drawing, number: &str) -> bool {
    drawing.datums.iter().any(|d| d.feature.as_deref() == Some(number))
}

/// Says of each orientation that does not refer to a datum what that does to its coordinates.
pub(super) fn untied(job: &Job) -> Vec<Problem> {
    let asks =
        job.drawing.features.iter().any(|f| f.position().is_some_and(|p| !p.datums.is_empty()));
    if !asks {
        return Vec::new();
    }
    let named = |number: &str| {
        let letters: Vec<&str> = job
            .drawing
            .datums
            .iter()
            .filter(|d| d.feature.as_deref() == Some(number))
            .map(|d| d.letter.as_str())
            .collect();
        let asks = |f: &&crate::job::Feature| f.position().is_some_and(|p| !p.datums.is_empty());
        job.drawing.features.iter().filter(asks).find(|f| {
            f.position().is_some_and(|p| !p.datums.iter().any(|d| letters.contains(&d.as_str())))
        })
    };
    let elsewhere = job.plan.orientations.iter().filter_map(|o| {
        let number = refers_to(o).filter(|n| is_datum(&job.drawing, n))?;
        let other = named(number)?;
        Some(Problem {
            weight: Weight::Warns,
            place: Place::Orientation(o.number),
            says: format!(
                "Orientation {} measures from {number}, which the callout of {} {} does not name as a \
                 datum. Its position is judged from there all the same.",
                o.number,
                other.kind.word(),
                other.number
            ),
        })
    });
    let untied = job
        .plan
        .orientations
        .iter()
        .filter(|o| !refers_to(o).is_some_and(|n| is_datum(&job.drawing, n)))
        .map(|o| {
            let axis = o.up().square_axis().map_or("a coordinate", |a| a.letter());
            let what = match (refers_to(o), o.up_side()) {
                (Some(number), _) => format!("{number}, which is no datum: its own error goes into every {axis}"),
                (None, Some(up)) => format!(
                    "the {} edge, which is no datum: an error in the size of the part goes into every {axis}",
                    up.opposite().edge()
                ),
                (None, None) => format!("no datum: its coordinates are not tied to the frame along {axis}"),
            };
            Problem {
                weight: Weight::Warns,
                place: Place::Orientation(o.number),
                says: format!(
                    "Orientation {} measures from {what}. Set its zero at the datum, or stand the part on it.",
                    o.number
                ),
            }
        });
    untied.chain(elsewhere).collect()
}

/// What keeps each datum letter of the drawing from being judged by zeros alone, worked out once
/// for all callouts.
pub(super) struct Frames<'a>(HashMap<&'a str, Option<Unjudged>>);

impl<'a> Frames<'a> {
    /// Looks at every letter of the drawing.
    pub(super) fn of(job: &'a Job) -> Self {
        let kinds: HashMap<&str, Kind> =
            job.drawing.features.iter().rev().map(|f| (f.number.as_str(), f.kind)).collect();
        let unjudged = |datum: &Datum| {
            let number = datum.feature.as_deref()?;
            let Some(kind) = kinds.get(number) else {
                return Some(Unjudged::UnknownDatum(datum.letter.clone()));
            };
            let carries_all = job.plan.orientations.iter().all(|o| refers_to(o) == Some(number));
            (*kind != Kind::Face && !carries_all)
                .then(|| Unjudged::DatumOfSize(datum.letter.clone()))
        };
        // The first of two datums with one letter counts.
        Self(job.drawing.datums.iter().rev().map(|d| (d.letter.as_str(), unjudged(d))).collect())
    }

    /// Why the frame of a callout cannot be judged, if it cannot.
    pub(super) fn unjudged(&self, position: &Position) -> Option<Unjudged> {
        position.datums.iter().find_map(|letter| match self.0.get(letter.as_str()) {
            None => Some(Unjudged::UnknownDatum(letter.clone())),
            Some(found) => found.clone(),
        })
    }
}
