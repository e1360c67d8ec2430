//! Which datum each orientation refers to, and what that means for the callouts.
//!
//! A datum feature that is touched makes the frame wherever the zero was. Where none is touched
//! along a direction, what carries the part or reads zero stands for it, and if that is no datum
//! it is said.

use super::{Place, Problem, Weight};
use crate::bench::touches;
use crate::job::{Drawing, Job, Orientation, Zero};

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
            f.position()
                .is_some_and(|p| !p.datums.iter().any(|d| letters.contains(&d.letter.as_str())))
        })
    };
    // In every piece that was read in this orientation, and in one at least.
    let read = |number: &str, o: &Orientation| {
        let mut pieces = job
            .pieces
            .iter()
            .filter(|p| p.readings.iter().any(|r| r.orientation == o.number && !r.is_empty()))
            .peekable();
        pieces.peek().is_some()
            && pieces.all(|p| p.reading(o.number, number).is_some_and(|r| !r.is_empty()))
    };
    // A datum that is touched here brings the frame with it.
    let touched = |o: &Orientation| {
        job.drawing.datums.iter().any(|d| {
            let feature = d.feature.as_deref().and_then(|n| job.feature(n));
            feature.is_some_and(|f| !touches(f, o).is_empty() && read(&f.number, o))
        })
    };
    let elsewhere = job.plan.orientations.iter().filter_map(|o| {
        let number = refers_to(o).filter(|n| is_datum(&job.drawing, n) && !touched(o))?;
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
        .filter(|o| !refers_to(o).is_some_and(|n| is_datum(&job.drawing, n)) && !touched(o))
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
