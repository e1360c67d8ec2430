//! What is held at its basic coordinate, because nothing else ties the heights to the drawing.

use super::Height;
use crate::bench::carries;
use crate::job::{Datum, Feature, Job, Orientation, Zero};
use crate::quantity::{Axis, Length};
use std::collections::HashSet;

/// A feature held along an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Held {
    pub(super) feature: usize,
    pub(super) axis: Axis,
    pub(super) value: Length,
}

const AXES: [Axis; 2] = [Axis::X, Axis::Y];

/// Basic coordinate along an axis that the feature can be held by.
fn basic(job: &Job, feature: &Feature, axis: Axis) -> Option<Length> {
    let own = if feature.kind.is_round() { Some(axis) } else { feature.plane_axis() };
    feature.basic(axis, job.drawing.unit).filter(|_| own == Some(axis))
}

/// Orientations that stand on an edge that is no datum, while another one ties some of the same
/// features to a datum along the same axis: what the edge is off by would go into every coordinate, so it is not taken as true, and
/// only the differences count. Two opposite orientations then cancel it (reversal).
pub(super) fn over_no_datum(job: &Job, heights: &[Height]) -> HashSet<usize> {
    let is_datum =
        |number: &str| job.drawing.datums.iter().any(|d| d.feature.as_deref() == Some(number));
    let datums: Vec<&Feature> =
        job.drawing.features.iter().filter(|f| is_datum(&f.number)).collect();
    let on_datum = |o: &Orientation| datums.iter().any(|f| carries(job, o, f));
    let of_plate = |o: &Orientation, zero: &Zero| match zero {
        Zero::Plate => o.rest.blocks.height().is_some(),
        Zero::Feature(number) => o.rest.face.as_ref() == Some(number),
    };
    let of = |h: &Height| {
        let o = job.plan.orientations.get(h.orientation)?;
        Some((o, usize::from(o.up_side()?.axis() == Axis::Y)))
    };
    // What stands on an edge that is no datum; mostly nothing does.
    let over: Vec<&Height> = heights
        .iter()
        .filter(|h| of(h).is_some_and(|(o, _)| of_plate(o, &h.zero) && !on_datum(o)))
        .collect();
    if over.is_empty() {
        return HashSet::new();
    }
    let mut by_datum = [HashSet::new(), HashSet::new()];
    for h in heights {
        let Some((o, axis)) = of(h) else { continue };
        let tied = match &h.zero {
            zero if of_plate(o, zero) => on_datum(o),
            Zero::Plate => false,
            Zero::Feature(number) => is_datum(number),
        };
        if tied {
            by_datum[axis].insert(h.feature);
        }
    }
    // A feature in common carries the tie over.
    over.into_iter()
        .filter(|h| of(h).is_some_and(|(_, axis)| by_datum[axis].contains(&h.feature)))
        .map(|h| h.orientation)
        .collect()
}

/// The faces that are where the drawing has them without a touch: what carries the part in an
/// orientation in which a height was read. Over blocks of unknown height one that counts from the
/// plate tells nothing of the face; one that counts from a feature is tied by what that is taken
/// for, and [`crate::findings`] says so where it is no datum.
pub(super) fn stood_on(job: &Job, heights: &[Height]) -> HashSet<usize> {
    let under: HashSet<usize> =
        heights.iter().filter(|h| h.setup.tied).map(|h| h.orientation).collect();
    let orientations: Vec<&Orientation> =
        under.iter().filter_map(|k| job.plan.orientations.get(*k)).collect();
    let carried = |f: &Feature| orientations.iter().any(|o| carries(job, o, f));
    let features = job.drawing.features.iter().enumerate();
    features.filter(|(_, f)| carried(f)).map(|(i, _)| i).collect()
}

/// What is held, for these heights. The plate under the orientations `loose` ties nothing.
pub(super) fn held(
    job: &Job,
    heights: &[Height],
    loose: &HashSet<usize>,
    index: impl Fn(&str) -> Option<usize>,
) -> Vec<Held> {
    let up = |h: &Height| h.setup.up;
    let has = |h: &Height, axis| up(h).component(axis).abs() > 1e-9;
    let of_plate = |h: &&Height| {
        let rest = job.plan.orientations.get(h.orientation).and_then(|o| o.rest.face.as_ref());
        h.setup.tied
            && match &h.zero {
                Zero::Plate => true,
                // What the face lies on is touched in its stead.
                Zero::Feature(number) => Some(number) == rest,
            }
    };
    let mut tied = [false; 2];
    for h in heights.iter().filter(of_plate).filter(|h| !loose.contains(&h.orientation)) {
        for (axis, tied) in AXES.into_iter().zip(&mut tied) {
            *tied |= up(h).square_axis() == Some(axis);
        }
    }
    // Faces on the plate are where the drawing has them; touched from another side, still.
    let resting: HashSet<usize> =
        job.plan.orientations.iter().filter_map(|o| index(o.rest.face.as_deref()?)).collect();
    let mut list: Vec<Held> = Vec::new();
    let mut hold = |feature: usize, axis: Axis, tied: &mut [bool; 2]| {
        let Some(f) = job.drawing.features.get(feature) else { return };
        let Some(value) = basic(job, f, axis) else { return };
        if !list.iter().any(|h| h.feature == feature && h.axis == axis) {
            list.push(Held { feature, axis, value });
        }
        tied[usize::from(axis == Axis::Y)] = true;
    };
    // A zero that was read itself is a link of a chain and no end; only the zero of the orientation
    // is set and not read.
    let is_set = |zero: usize, orientation: usize| {
        let number = job.drawing.features.get(zero).map(|f| f.number.as_str());
        let set = job.plan.orientations.get(orientation).map(|o| &o.zero);
        matches!(set, Some(Zero::Feature(set)) if Some(set.as_str()) == number)
    };
    let is_datum = |feature: usize| {
        let number = job.drawing.features.get(feature).map(|f| f.number.as_str());
        job.drawing.datums.iter().any(|d| d.feature.as_deref() == number)
    };
    // Zeros at features, datums first.
    let mut zeros: Vec<(usize, usize)> = Vec::new();
    for h in heights {
        if let (Zero::Feature(number), false) = (&h.zero, of_plate(&h))
            && let Some(zero) = index(number)
            && !zeros.contains(&(zero, h.orientation))
        {
            zeros.push((zero, h.orientation));
        }
    }
    // By their names, so that the order in which things are listed decides nothing.
    zeros.sort_by_key(|(zero, orientation)| {
        let number = job.drawing.features.get(*zero).map(|f| f.number.as_str());
        let orientation = job.plan.orientations.get(*orientation).map(|o| o.number);
        (!is_datum(*zero), number, orientation)
    });
    for (zero, orientation) in zeros {
        let Some(up) = job.plan.orientations.get(orientation).map(|o| o.up()) else { continue };
        for axis in AXES.into_iter().filter(|a| up.component(*a).abs() > 1e-9) {
            let read = heights.iter().any(|h| h.feature == zero && has(h, axis));
            let fast = tied[usize::from(axis == Axis::Y)];
            if resting.contains(&zero) || (is_set(zero, orientation) && !(fast && read)) {
                hold(zero, axis, &mut tied);
            }
        }
    }
    // Nothing at all along an axis: the datum features, in their order.
    for axis in AXES {
        if tied[usize::from(axis == Axis::Y)] {
            continue;
        }
        let carriers = job.drawing.datums.iter().flat_map(Datum::carriers);
        let datums = carriers.filter_map(|number| index(number));
        let seen = |f: &usize| heights.iter().any(|h| h.feature == *f && has(h, axis));
        let can =
            |f: &usize| job.drawing.features.get(*f).is_some_and(|f| basic(job, f, axis).is_some());
        if let Some(found) = datums.filter(seen).find(can) {
            hold(found, axis, &mut tied);
        }
    }
    list
}
