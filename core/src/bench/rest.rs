//! What the part stands on.

use super::Target;
use crate::job::{Feature, Job, Kind, Orientation};

/// Whether `face` lies on the plate, or on the blocks, in `orientation`: it is the face named there
/// or, where none is named, it looks down and the drawing has it in that edge of the outline.
#[must_use]
pub fn carries(job: &Job, orientation: &Orientation, face: &Feature) -> bool {
    let Some(up) = orientation.up_side().filter(|_| face.kind == Kind::Face) else { return false };
    let down = up.opposite();
    if face.looks != Some(down) {
        return false;
    }
    if let Some(named) = &orientation.rest.face {
        return *named == face.number;
    }
    let (Some(outline), unit) = (&job.drawing.outline, job.drawing.unit) else { return false };
    let edge = outline.edge(down).length(unit);
    face.basic(down.axis(), unit).is_some_and(|at| at.at_most(edge) && at.at_least(edge))
}

/// What the part stands on in `orientation`: faces of the drawing, or the edge of the outline where it
/// has none there. Empty where a face is named that cannot carry the part, and on a sine bar.
#[must_use]
pub fn carriers(job: &Job, orientation: &Orientation) -> Vec<Target> {
    let Some(up) = orientation.up_side() else { return Vec::new() };
    let features = job.drawing.features.iter().enumerate();
    let faces: Vec<Target> = features
        .filter(|(_, f)| carries(job, orientation, f))
        .map(|(i, _)| Target::Feature(i))
        .collect();
    if faces.is_empty() && orientation.rest.face.is_none() {
        return vec![Target::Edge(up.opposite())];
    }
    faces
}
