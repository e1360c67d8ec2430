//! What the part stands on.

use crate::job::{Feature, Job, Kind, Orientation};

/// Whether `face` lies on the plate, or on the blocks, in `orientation`: it is the face named
/// there or, where none is named, it looks down and the drawing has it in that edge of the outline.
#[must_use]
pub fn carries(job: &Job, orientation: &Orientation, face: &Feature) -> bool {
    if face.kind != Kind::Face {
        return false;
    }
    if let Some(named) = &orientation.rest.face {
        return *named == face.number;
    }
    let (Some(up), Some(outline)) = (orientation.up_side(), &job.drawing.outline) else {
        return false;
    };
    let (down, unit) = (up.opposite(), job.drawing.unit);
    let edge = outline.edge(down).length(unit);
    face.looks == Some(down)
        && face.basic(down.axis(), unit).is_some_and(|at| at.at_most(edge) && at.at_least(edge))
}
