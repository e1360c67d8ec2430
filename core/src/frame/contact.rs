//! Where a datum plane touches an edge that is out of square to the rest of its frame.
//!
//! Under a face A, a long edge B and a short edge C, the frame's plane for C is square to B and touches
//! C at its outermost point: one of its two ends, as the drawing has them. Which one follows from the
//! sign of the error e between the two edges. Where that is not known well, either end touches with a
//! probability, and the variance of a distance d from the plane is the mean of both:
//! for e about 0, u²(d) = u²(e) (a₁² + a₂²)/2 with a₁ and a₂ the distances along C to its ends.

use super::{Anchor, AxisOf};
use crate::chance::normal;
use crate::quantity::vector::dot;

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

/// The place where the frame touches the edge, which has its `ends` at these coordinates of the frame.
/// `row` is the row of the frame's rotation across the edge, `standard` the standard uncertainty of the
/// angle between edge and frame in radians. One anchor or, where it is uncertain which end touches, one
/// for either end with its probability, the likelier first.
pub(super) fn touching(
    edge: Edge<'_>,
    ends: [f64; 2],
    axis: AxisOf<'_>,
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
pub(super) fn at(edge: Edge<'_>, to: f64, axis: AxisOf<'_>) -> Anchor {
    let place = edge.anchor.place.slid(edge.along, edge.error, to, axis);
    Anchor { place, basic: edge.anchor.basic }
}
