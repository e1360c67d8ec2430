//! Where a datum plane touches an edge that is out of square to the rest of its frame.
//!
//! Under a face A, a long edge B and a short edge C, the frame's plane for C is square to B and touches
//! C at its outermost point: one of its two ends, as the drawing has them. Which one follows from the
//! sign of the error e between the two edges. Where that is not known well, either end touches with a
//! probability, and the variance of a distance d from the plane is the mean of both:
//! for e about 0, u²(d) = u²(e) (a₁² + a₂²)/2 with a₁ and a₂ the distances along C to its ends.

use super::{Anchor, Place, by_columns};
use crate::chance::normal;
use crate::quantity::vector::{dot, minus, quarter_turned};

/// An edge on the bench.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge<'a> {
    /// Where it was measured.
    pub(super) anchor: &'a Anchor,
    /// Unit vector along it.
    pub(super) along: [f64; 2],
    /// +1 where it looks along the axis that it stops, −1 where it looks against it.
    pub(super) looks: f64,
    /// Index of its error of angle.
    pub(super) error: Option<usize>,
}

/// The axis of the frame along the edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Along<'a> {
    /// Row of the frame's rotation.
    pub(super) row: [f64; 2],
    /// What the frame counts from along it.
    pub(super) origin: &'a Anchor,
}

/// The place where the frame touches the edge, which has its `ends` at these coordinates of the frame.
/// `row` is the row of the frame's rotation across the edge, `standard` the standard uncertainty of the
/// angle between edge and frame in radians. One anchor or, where it is uncertain which end touches, one
/// for either end with its probability, the likelier first.
pub(super) fn touching(
    edge: Edge<'_>,
    ends: [f64; 2],
    axis: Along<'_>,
    row: [f64; 2],
    standard: f64,
) -> Vec<(f64, Anchor)> {
    let [low, high] = ends;
    let length = (high - low) / dot(&axis.row, &edge.along);
    // How much farther out the high end lies than the low one.
    let out = edge.looks * dot(&row, &edge.along) * length;
    let spread = standard * length.abs();
    let probability = match spread > 0.0 {
        true => normal::cdf(out / spread),
        false if out > 0.0 => 1.0,
        false if out < 0.0 => 0.0,
        false => return vec![(1.0, at(edge, 0.5 * (low + high), axis))],
    };
    let mut list =
        vec![(probability, at(edge, high, axis)), (1.0 - probability, at(edge, low, axis))];
    if probability < 0.5 {
        list.swap(0, 1);
    }
    list.retain(|(weight, _)| *weight > 1e-12);
    list
}

/// The point of the edge whose coordinate along the frame's other axis is `to`. It moves with the edge,
/// turns with its error of angle, and slides along it so as to keep that coordinate.
///
/// With τ the unit vector along the edge, f where it was measured, r the row of the rotation and a, b
/// place and coordinate of what the other axis counts from: p = f + t τ with r·(p − a) = to − b, and so
/// dp = (I − M)(df + t J τ dδ) + M da with M = τ rᵀ/(r·τ).
pub(super) fn at(edge: Edge<'_>, to: f64, axis: Along<'_>) -> Anchor {
    let (from, along, origin) = (&edge.anchor.place, edge.along, axis.origin);
    let slope = dot(&axis.row, &along);
    let missing = dot(&axis.row, &minus(from.at, origin.place.at));
    let t = (to - origin.basic - missing) / slope;
    let slides = |v: [f64; 2]| along.map(|e| e * dot(&axis.row, &v) / slope);
    let stays = |v: [f64; 2]| minus(v, slides(v));
    let mut place = Place {
        at: [from.at[0] + t * along[0], from.at[1] + t * along[1]],
        targets: from.targets.iter().map(|(target, m)| (*target, by_columns(m, stays))).collect(),
        angles: from.angles.iter().map(|(error, v)| (*error, stays(*v))).collect(),
    };
    let turns = quarter_turned(along).map(|v| v * t);
    place.angles.extend(edge.error.map(|error| (error, stays(turns))));
    let other = &origin.place;
    place.targets.extend(other.targets.iter().map(|(target, m)| (*target, by_columns(m, slides))));
    place.angles.extend(other.angles.iter().map(|(error, v)| (*error, slides(*v))));
    Anchor { place, basic: edge.anchor.basic }
}
