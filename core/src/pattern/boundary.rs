//! The boundary of a datum feature of size.

use super::StopShape;
use crate::callout::Unjudged;
use crate::job::{Boundary, DatumRef, Feature, Job, Modifier, Position};
use crate::quantity::{Axis, Length};

/// A datum feature of size against its boundary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Size of the gauge's counterpart.
    pub boundary: Length,
    /// The clearance between the feature and its counterpart, as a diameter or a width: negative where
    /// the counterpart does not go in.
    pub clearance: Length,
    /// The size used, by its index among the sizes given.
    pub size: usize,
    /// Derivative of the clearance by that size: 1 or −1.
    pub by_size: f64,
}

/// Holds the sizes of a datum feature against its boundary.
///
/// The maximum material boundary is the size at maximum material less (an inner feature) or plus (an
/// outer one) the feature's own geometrical tolerance with respect to the datums that stand before it
/// in the frame; the least material boundary the other way round (ASME Y14.5-2018, 7.11.5 to 7.11.7).
/// Across a line the tolerance that applies in that direction counts. A boundary that the drawing
/// states goes before all that. `before` are the datums that stand before this one; of the sizes the
/// one that leaves the least room counts.
///
/// # Errors
/// Why there is no boundary, or that no size was measured.
pub fn limit(
    job: &Job,
    datum: &DatumRef,
    feature: &Feature,
    shape: StopShape,
    before: &[DatumRef],
    sizes: &[Length],
) -> Result<Limit, Unjudged> {
    let letter = || datum.letter.clone();
    let unit = job.drawing.unit;
    if !feature.kind.is_sized() {
        return Err(Unjudged::BoundaryOfFace(letter()));
    }
    let maximum = datum.boundary == Boundary::Maximum;
    // Whether the counterpart is smaller than the feature.
    let inside = feature.kind.is_internal() == maximum;
    let stated = job.drawing.datums.iter().find(|d| d.letter == datum.letter);
    let boundary = match stated.and_then(|d| d.boundary) {
        Some(stated) => stated.length(unit),
        None => {
            let limits = feature
                .size
                .and_then(|s| s.limits(unit))
                .ok_or_else(|| Unjudged::BoundaryWithoutLimits(letter()))?;
            let from = if maximum { limits.mmc(feature.kind) } else { limits.lmc(feature.kind) };
            let own = own_tolerance(job, feature, shape, before, maximum)
                .ok_or_else(|| Unjudged::BoundaryOfLeast(letter()))?;
            if inside { from - own } else { from + own }
        }
    };
    let room = |size: Length| if inside { size - boundary } else { boundary - size };
    let rooms = sizes.iter().map(|size| room(*size)).enumerate();
    let least = rooms.min_by(|a, b| a.1.to_mm().total_cmp(&b.1.to_mm()));
    let (size, clearance) = least.ok_or_else(|| Unjudged::DatumNotMeasured(letter()))?;
    Ok(Limit { boundary, clearance, size, by_size: if inside { 1.0 } else { -1.0 } })
}

/// The largest tolerance of position that the feature has itself, in the direction in which it stops,
/// in the frame of the datums before it; `None` where its modifier makes no such boundary.
fn own_tolerance(
    job: &Job,
    feature: &Feature,
    shape: StopShape,
    before: &[DatumRef],
    maximum: bool,
) -> Option<Length> {
    let across = match shape {
        StopShape::Across([x, y]) if y.abs() < 1e-9 * x.abs() => Some(Axis::X),
        StopShape::Across([x, y]) if x.abs() < 1e-9 * y.abs() => Some(Axis::Y),
        StopShape::Across(_) | StopShape::Round => None,
    };
    let applies = |callout: &&Position| {
        let framed = callout.datums.iter().all(|d| before.iter().any(|b| b.letter == d.letter));
        let along = across.zip(callout.along).is_none_or(|(across, along)| across == along);
        framed && along
    };
    let mut most = Length::ZERO;
    for callout in feature.positions().filter(applies) {
        match callout.modifier {
            Modifier::Lmc if maximum => return None,
            Modifier::Mmc if !maximum => return None,
            _ => most = most.max(callout.tolerance.length(job.drawing.unit)),
        }
    }
    Some(most)
}
