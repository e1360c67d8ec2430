//! The directions that were up, with what is known of their errors of angle.
//!
//! An orientation's direction is square to the face that carries the part. Orientations that stand
//! on one face, or on edges whose squareness to each other was measured, share one error of angle;
//! any two others may be out of square by the plan's squareness limit.

use super::{Target, carriers};
use crate::job::{Job, Orientation, Piece};
use crate::quantity::Axis;

/// An error of angle that some orientations share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AngleError {
    /// About zero, with this standard uncertainty in radians.
    Bounded(f64),
    /// Unknown; the readings must give it.
    Free,
}

/// The direction that is up in an orientation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UpDirection {
    /// Its angle from +X, counter-clockwise, in radians, a measured squareness included.
    pub angle: f64,
    /// How far that is from the direction of the drawing, counter-clockwise, in radians.
    pub lean: f64,
    /// Index of its error in [`Directions::errors`]; `None` where it is exact.
    pub error: Option<usize>,
}

impl UpDirection {
    /// Whether heights in this direction have a part along an axis.
    #[must_use]
    pub fn looks_along(&self, axis: Axis) -> bool {
        looks_along(match axis {
            Axis::X => libm::cos(self.angle),
            Axis::Y => libm::sin(self.angle),
        })
    }
}

/// Whether a direction that has this component along an axis looks along it: one that has no more than a
/// thousandth of it does not.
#[must_use]
pub fn looks_along(component: f64) -> bool {
    const SQUARE: f64 = 1e-3;
    component.abs() > SQUARE
}

/// The directions of all orientations.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Directions {
    /// In the order of the plan.
    pub up: Vec<UpDirection>,
    /// The errors of angle.
    pub errors: Vec<AngleError>,
}

/// Finds the directions of a piece.
///
/// Two orientations out of square by no more than ±a have each an error of standard uncertainty
/// a/√6, so that the error between them has a/√3 (uniform), whichever of them comes first.
#[must_use]
pub(super) fn directions(job: &Job, piece: &Piece) -> Directions {
    let orientations = &job.plan.orientations;
    let bound = job.plan.conditions.squareness.and_then(|s| s.radians());
    let bound = bound.map(f64::abs).filter(|a| *a > 0.0);
    let group = groups(job, piece);
    let mut found = Directions::default();
    let mut error_of: Vec<Option<usize>> = vec![None; orientations.len()];
    for (k, o) in orientations.iter().enumerate() {
        let lean = lean_of(job, piece, o, orientations.len());
        let error = if o.find_angle {
            found.errors.push(AngleError::Free);
            Some(found.errors.len() - 1)
        } else {
            bound.map(|bound| {
                *error_of[group[k]].get_or_insert_with(|| {
                    found.errors.push(AngleError::Bounded(bound / 6.0_f64.sqrt()));
                    found.errors.len() - 1
                })
            })
        };
        found.up.push(UpDirection { angle: o.up_degrees.to_radians() + lean, lean, error });
    }
    found
}

/// For each orientation the first one whose error of angle it shares.
fn groups(job: &Job, piece: &Piece) -> Vec<usize> {
    let orientations = &job.plan.orientations;
    let mut group: Vec<usize> = (0..orientations.len()).collect();
    let mut join = |a: usize, b: usize| {
        let (from, to) = (group[a].max(group[b]), group[a].min(group[b]));
        group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
    };
    let faces: Vec<Vec<Target>> = orientations.iter().map(|o| carriers(job, o)).collect();
    for (a, on_a) in faces.iter().enumerate() {
        for (b, on_b) in faces.iter().enumerate().skip(a + 1) {
            if on_a.iter().any(|face| on_b.contains(face)) {
                join(a, b);
            }
        }
    }
    for s in &piece.squareness {
        let index = |number: u32| orientations.iter().position(|o| o.number == number);
        let against = s.reference(&job.plan).and_then(index);
        if let (Some(a), Some(b), Some(_)) = (index(s.orientation), against, s.radians()) {
            join(a, b);
        }
    }
    group
}

/// How far up is turned from the direction of the drawing by what is known of the edge that carries
/// the part, in radians, counter-clockwise. A squareness against an edge that is itself known to lean
/// counts from there; `links` bounds how many such steps there can be.
///
/// Along the edge runs τ, towards +Y of a left or right edge and towards +X of a bottom or top one;
/// out of the material looks n = −u. If the far end lies d farther out over the length L, the edge
/// runs along L τ + d n, and square to it, inwards, is L u + d τ: up is turned from u towards τ by
/// atan(d/L).
fn lean_of(job: &Job, piece: &Piece, o: &Orientation, links: usize) -> f64 {
    let Some(squareness) = piece.squareness_of(o.number).filter(|_| links > 0) else { return 0.0 };
    let (Some(lean), Some(axis)) = (squareness.radians(), o.up().square_axis()) else { return 0.0 };
    // Counter-clockwise where τ lies to the left of u.
    let towards = match axis {
        Axis::X => o.up().cos(),
        Axis::Y => -o.up().sin(),
    };
    let against = squareness
        .reference(&job.plan)
        .filter(|number| *number != o.number)
        .and_then(|number| job.orientation(number));
    let there = against.map_or(0.0, |other| lean_of(job, piece, other, links - 1));
    towards.signum() * lean + there
}
