//! A part that stands another way in an orientation.

use super::Setup;
use crate::job::{Feature, Job, Kind, Orientation, Zero};
use crate::quantity::Side;

/// `orientation` standing another way, `degrees` from +X towards +Y being up: on the face that then
/// looks down, its zero where it was if that can still be touched, otherwise at the plate.
#[must_use]
pub fn stood(job: &Job, orientation: &Orientation, degrees: f64) -> Orientation {
    let mut new = orientation.clone();
    new.up_degrees = degrees;
    let down = new.up_side().map(Side::opposite);
    let looks_down = |f: &&Feature| f.kind == Kind::Face && f.looks.is_some() && f.looks == down;
    new.rest.face = job.drawing.features.iter().find(looks_down).map(|f| f.number.clone());
    let on_plate = matches!(&new.zero, Zero::Feature(n) if new.rest.face.as_ref() == Some(n));
    if on_plate || (Setup::of(job, &new).is_err() && down.is_some()) {
        new.zero = Zero::Plate;
    }
    new
}

/// Lets the part stand so in the orientation with this number. Readings stay as they are.
pub fn stand(job: &mut Job, number: u32, degrees: f64) {
    let Some(index) = job.plan.orientations.iter().position(|o| o.number == number) else { return };
    let new = stood(job, &job.plan.orientations[index], degrees);
    job.plan.orientations[index] = new;
}
