//! The directions that were up, with what is known of their errors of angle.
//!
//! An orientation's direction is square to the face that carries the part. Orientations that stand
//! on one face, or on edges whose squareness to each other is stated as exact, share one error of
//! angle; where the squareness has an uncertainty, the one edge has the error of the other and that of
//! the squareness. Any two others may be out of square by the plan's squareness limit.

use super::{Target, carriers};
use crate::job::{Job, Orientation, Piece, Squareness};
use crate::quantity::Axis;
use smallvec::SmallVec;

/// An error of angle of an edge, shared by what is square to it.
#[derive(Clone, Debug, PartialEq)]
pub enum AngleError {
    /// About zero, with this standard uncertainty in radians.
    Bounded(f64),
    /// Unknown; the readings must give it.
    Free,
    /// Known from those of other edges.
    From {
        /// Their indices, each before this one, with their weights: of one edge that it was measured
        /// against, or the mean of those that it is parallel to. None: they are exact.
        others: SmallVec<[(usize, f64); 2]>,
        /// Standard uncertainty of the difference from there, in radians.
        standard: f64,
    },
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

/// The directions of all orientations, and what is square to the planes of the part.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Directions {
    /// In the order of the plan.
    pub up: Vec<UpDirection>,
    /// For each feature the direction, or its opposite, that is square to it; `None` where it is no
    /// plane, or nothing tells of its direction.
    pub planes: Vec<Option<UpDirection>>,
    /// The errors of angle.
    pub errors: Vec<AngleError>,
}

impl Directions {
    /// The direction, or its opposite, that is square to a plane of the part.
    #[must_use]
    pub fn plane(&self, feature: usize) -> Option<UpDirection> {
        self.planes.get(feature).copied().flatten()
    }

    /// Calls `part(index, weight)` for every independent error that an error of angle is made of.
    pub fn parts(&self, error: usize, weight: f64, part: &mut impl FnMut(usize, f64)) {
        part(error, weight);
        if let Some(AngleError::From { others, .. }) = self.errors.get(error) {
            for (other, w) in others.iter().filter(|(other, _)| *other < error) {
                self.parts(*other, weight * w, part);
            }
        }
    }
}

/// Finds the directions of a piece.
///
/// Two orientations out of square by no more than ±a have each an error of standard uncertainty
/// a/√6, so that the error between them has a/√3 (uniform), whichever of them comes first.
#[must_use]
pub(super) fn directions(job: &Job, piece: &Piece) -> Directions {
    let orientations = &job.plan.orientations;
    let bound = job.plan.conditions.squareness_radians();
    let edges = Edges::of(job, piece);
    let mut found = Directions::default();
    let mut error_of = vec![None; orientations.len()];
    for (k, o) in orientations.iter().enumerate() {
        let lean = lean_of(job, piece, o, orientations.len());
        let error = if o.find_angle {
            found.errors.push(AngleError::Free);
            Some(found.errors.len() - 1)
        } else {
            edges.error(k, bound, orientations.len(), &mut found.errors, &mut error_of)
        };
        found.up.push(UpDirection { angle: o.up_degrees.to_radians() + lean, lean, error });
    }
    found
}

/// The edges that carry the part, as far as their errors of angle go.
struct Edges {
    /// For each orientation the first one whose error of angle it shares.
    group: Vec<usize>,
    /// For each first one, an orientation against whose edge its own was measured, and the standard
    /// uncertainty of that in radians.
    against: Vec<Option<(usize, f64)>>,
}

impl Edges {
    fn of(job: &Job, piece: &Piece) -> Self {
        let orientations = &job.plan.orientations;
        let group = groups(job, piece);
        let mut against = vec![None; orientations.len()];
        for s in &piece.squareness {
            let Some((a, b)) = compared(job, *s) else { continue };
            if let Some(standard) = s.standard_radians()
                && group[a] != group[b]
            {
                against[group[a]].get_or_insert((b, standard));
            }
        }
        Self { group, against }
    }

    /// Index of the error of angle of the edge under orientation `k`; `None` where it is exact. `links`
    /// bounds how many edges can have been measured one against the other.
    fn error(
        &self,
        k: usize,
        bound: Option<f64>,
        links: usize,
        errors: &mut Vec<AngleError>,
        known: &mut [Option<Option<usize>>],
    ) -> Option<usize> {
        let group = self.group[k];
        if let Some(found) = known[group] {
            return found;
        }
        let own = match self.against[group].filter(|_| links > 0) {
            Some((other, standard)) => {
                let other = self.error(other, bound, links - 1, errors, known);
                let others = other.map(|other| (other, 1.0)).into_iter().collect();
                Some(AngleError::From { others, standard })
            }
            None => bound.map(|bound| AngleError::Bounded(bound / 6.0_f64.sqrt())),
        };
        // Of two edges measured against each other the one that was asked for first is known by now.
        if let Some(found) = known[group] {
            return found;
        }
        let found = own.map(|own| {
            errors.push(own);
            errors.len() - 1
        });
        known[group] = Some(found);
        found
    }
}

/// The orientations that stand on the two edges of a squareness.
fn compared(job: &Job, s: Squareness) -> Option<(usize, usize)> {
    let index = |number: u32| job.plan.orientations.iter().position(|o| o.number == number);
    s.radians()?;
    Some((index(s.orientation)?, index(s.reference(&job.plan)?)?))
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
    for s in piece.squareness.iter().filter(|s| s.standard_radians().is_none()) {
        if let Some((a, b)) = compared(job, *s) {
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
