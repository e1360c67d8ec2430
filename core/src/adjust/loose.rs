//! What was read and is not known all the same, and what it hangs on.

use super::{Adjustment, Height};
use crate::job::{Feature, Job};
use crate::quantity::Axis;
use std::collections::{BTreeMap, BTreeSet};

const AXES: [Axis; 2] = [Axis::X, Axis::Y];

/// Directions that have no more than this of an axis do not see along it: an orientation is set up
/// by hand to so much, in radians.
const SQUARE: f64 = 1e-3;

/// A coordinate that was read and is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Loose {
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// The coordinate.
    pub axis: Axis,
    /// What it hangs on.
    pub on: Cause,
}

/// What a coordinate hangs on, with the number of the orientation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// A zero that nothing ties to the drawing.
    Zero(u32),
    /// An angle that is to be found and that the readings do not give.
    Angle(u32),
    /// A direction that is not square to the drawing, the only one that it was seen from: that
    /// gives neither coordinate alone.
    Oblique(u32),
}

/// Whether the adjustment determined what a height is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Tie {
    /// Its zero.
    pub(super) zero: bool,
    /// The angle error of its direction.
    pub(super) angle: bool,
}

/// The coordinates that were read and are not known, in the order of the drawing. `ties` are those
/// of the heights, in their order.
pub(super) fn loose(job: &Job, heights: &[Height], ties: &[Tie], bench: &Adjustment) -> Vec<Loose> {
    let own = |feature: usize| job.drawing.features.get(feature).and_then(Feature::plane_axis);
    let sees = |h: &Height, axis| match own(h.feature) {
        Some(own) => own == axis,
        None => h.setup.up.component(axis).abs() > SQUARE,
    };
    let lacks = |h: &Height, axis| sees(h, axis) && bench.at(h.feature).along(axis).is_none();
    // Mostly there is none.
    let features: BTreeSet<usize> =
        heights.iter().filter(|h| AXES.iter().any(|a| lacks(h, *a))).map(|h| h.feature).collect();
    let mut seen: BTreeMap<usize, Vec<(&Height, Tie)>> = BTreeMap::new();
    for (h, tie) in heights.iter().zip(ties).filter(|(h, _)| features.contains(&h.feature)) {
        seen.entry(h.feature).or_default().push((h, *tie));
    }
    let number = |h: &Height| job.plan.orientations.get(h.orientation).map(|o| o.number);
    let cause = |(h, tie): &(&Height, Tie)| match tie {
        Tie { angle: false, .. } => number(h).map(Cause::Angle),
        Tie { zero: false, .. } => number(h).map(Cause::Zero),
        _ => None,
    };
    let mut list = Vec::new();
    for (feature, seen) in seen {
        for axis in AXES.into_iter().filter(|a| seen.iter().any(|(h, _)| lacks(h, *a))) {
            // Heights that see along the axis first, then those that would tell it from the other.
            let along = seen.iter().filter(|(h, _)| sees(h, axis)).find_map(cause);
            let oblique = || seen.first().and_then(|(h, _)| number(h)).map(Cause::Oblique);
            let on = along.or_else(|| seen.iter().find_map(cause)).or_else(oblique);
            list.extend(on.map(|on| Loose { feature, axis, on }));
        }
    }
    list
}
