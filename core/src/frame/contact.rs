//! Where a datum plane touches an edge that is out of square to the rest of its frame.
//!
//! Under a face A, a long edge B and a short edge C, the frame's plane for C is square to B and touches
//! C at its outermost point: one of its two ends, as the drawing has them. Which one follows from the
//! sign of the error e between the two edges. Where that is not known well, either end touches with a
//! probability, and the variance of a distance d from the plane is the mean of both:
//! for e about 0, u²(d) = u²(e) (a₁² + a₂²)/2 with a₁ and a₂ the distances along C to its ends.

use super::vector::{dot, less, turned};
use super::{Anchor, Place};
use crate::chance::normal;

/// An edge on the bench.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    /// A point of it, mm.
    pub(super) at: [f64; 2],
    /// Unit vector along it.
    pub(super) along: [f64; 2],
    /// +1 where it looks along the axis that it stops, −1 where it looks against it.
    pub(super) looks: f64,
}

/// What is known of the angle between an edge and the frame.
#[derive(Clone, Copy, Debug)]
pub(super) struct Angle {
    /// Index of the error of angle of the edge.
    pub(super) error: Option<usize>,
    /// Standard uncertainty of the angle between them, rad.
    pub(super) standard: f64,
}

/// The place where the frame touches the edge: `ends` are how far along the edge, from its point, its
/// two ends are; `row` is the row of the frame's rotation across the edge. One anchor or, where it is
/// uncertain which end touches, one for either end with its probability, the likelier first.
pub(super) fn touching(
    edge: Edge,
    ends: [f64; 2],
    angle: Angle,
    row: [f64; 2],
    anchor: &Anchor,
) -> Vec<(f64, Anchor)> {
    let [near, far] = ends;
    let slope = dot(row, edge.along);
    // How much farther out the far end lies than the near one.
    let out = edge.looks * slope * (far - near);
    let spread = angle.standard * (far - near).abs();
    let probability = match spread > 0.0 {
        true => normal::cdf(out / spread),
        false if out > 0.0 => 1.0,
        false if out < 0.0 => 0.0,
        false => return vec![(1.0, anchor.clone())],
    };
    let mut list = vec![
        (probability, at_end(edge, far, angle, anchor)),
        (1.0 - probability, at_end(edge, near, angle, anchor)),
    ];
    if probability < 0.5 {
        list.swap(0, 1);
    }
    list.retain(|(weight, _)| *weight > 1e-12);
    list
}

/// The end of the edge at `t` from its point: it moves with the edge, and by t along the edge's normal
/// with its angle.
fn at_end(edge: Edge, t: f64, angle: Angle, anchor: &Anchor) -> Anchor {
    let to = [edge.at[0] + t * edge.along[0], edge.at[1] + t * edge.along[1]];
    let mut angles = anchor.place.angles.clone();
    angles.extend(angle.error.map(|error| (error, turned(edge.along).map(|v| v * t))));
    let place = Place { at: to, targets: anchor.place.targets.clone(), angles };
    Anchor { place, basic: anchor.basic }
}

/// How far along the edge the point is whose coordinate along the other axis of the frame is `to`:
/// `row` is the row of the rotation for that axis, `origin` a place of coordinate `basic`.
pub(super) fn along_edge(
    edge: Edge,
    to: f64,
    row: [f64; 2],
    (origin, basic): ([f64; 2], f64),
) -> f64 {
    (to - basic - dot(row, less(edge.at, origin))) / dot(row, edge.along)
}
