//! The boundary of a datum feature of size.

use crate::callout::Unjudged;
use crate::job::{Boundary, DatumRef, Feature, Job, Modifier};
use crate::quantity::Length;

/// A datum feature of size against its boundary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Size of what the gauge has there.
    pub boundary: Length,
    /// The size of the datum feature that counts.
    pub size: Length,
    /// How much room there is between the two, as a diameter or a width; never negative.
    pub clearance: Length,
}

/// Holds the sizes seen of a datum feature against its boundary.
///
/// The maximum material boundary is the size at maximum material less (an inner feature) or plus
/// (an outer one) the feature's own geometrical tolerance with respect to the datums that stand
/// before it in the frame; the least material boundary the other way round (ASME Y14.5-2018,
/// 7.11.5 to 7.11.7). A boundary that the drawing states goes before both. `before` are the
/// letters that stand before the datum.
///
/// # Errors
/// Why there is no boundary, or that the feature is beyond it.
pub fn limit(
    job: &Job,
    datum: &DatumRef,
    feature: &Feature,
    before: &[DatumRef],
    sizes: impl Iterator<Item = Length>,
) -> Result<Limit, Unjudged> {
    let letter = || datum.letter.clone();
    let unit = job.drawing.unit;
    if !feature.kind.is_sized() {
        return Err(Unjudged::BoundaryOfFace(letter()));
    }
    let maximum = datum.boundary == Boundary::Maximum;
    let inner = feature.kind.is_internal();
    // Whether the gauge is smaller than the feature.
    let inside = inner == maximum;
    let stated = job.drawing.datums.iter().find(|d| d.letter == datum.letter);
    let boundary = match stated.and_then(|d| d.boundary) {
        Some(stated) => stated.length(unit),
        None => {
            let limits = feature
                .size
                .and_then(|s| s.limits(unit))
                .ok_or_else(|| Unjudged::BoundaryWithoutLimits(letter()))?;
            let from = if maximum { limits.mmc(feature.kind) } else { limits.lmc(feature.kind) };
            let own = own_tolerance(job, feature, before, maximum)
                .ok_or_else(|| Unjudged::BoundaryOfLeast(letter()))?;
            if inside { from - own } else { from + own }
        }
    };
    // The worst size: the one that leaves the gauge the least room.
    let size = if inside { sizes.reduce(Length::min) } else { sizes.reduce(Length::max) };
    let size = size.ok_or_else(|| Unjudged::DatumNotMeasured(letter()))?;
    let clearance = if inside { size - boundary } else { boundary - size };
    if !clearance.at_least(Length::ZERO) {
        return Err(Unjudged::BeyondBoundary(letter(), -clearance));
    }
    Ok(Limit { boundary, size, clearance: clearance.max(Length::ZERO) })
}

/// The largest tolerance of position that the feature has itself in the frame of the datums before
/// it; `None` where its modifier makes no such boundary.
fn own_tolerance(
    job: &Job,
    feature: &Feature,
    before: &[DatumRef],
    maximum: bool,
) -> Option<Length> {
    let mut most = Length::ZERO;
    for callout in feature.positions() {
        let applies = callout.datums.iter().all(|d| before.iter().any(|b| b.letter == d.letter));
        if !applies {
            continue;
        }
        match callout.modifier {
            Modifier::Lmc if maximum => return None,
            Modifier::Mmc if !maximum => return None,
            _ => most = most.max(callout.tolerance.length(job.drawing.unit)),
        }
    }
    Some(most)
}
