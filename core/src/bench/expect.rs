//! What the gauge should show, touch by touch, before anything is touched.

use super::{Contact, Setup, carries};
use crate::job::{
    DatumRef, Feature, Job, Kind, Modifier, Orientation, Reading, Taken, Touch, Zero,
};
use crate::pattern::DatumConstraints;
use crate::quantity::Length;
use rustc_hash::FxHashMap;

/// One touch of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Expectation {
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// Which touch.
    pub touch: Touch,
    /// How it is touched.
    pub contact: Contact,
    /// What the gauge should show for a part exactly to the drawing, its sizes in the middle
    /// of their limits; `None` while the drawing is incomplete.
    pub raw: Option<Length>,
    /// For a hole or boss with its position at MMC: the reading that this point must not pass,
    /// by the virtual condition ([`VirtualLimit`]).
    pub limit: Option<VirtualLimit>,
}

/// The virtual condition seen from one direction: a hole's lowest point must lie at or below
/// basic − VC/2 and its highest at or above basic + VC/2, VC being MMC size less the tolerance
/// (ASME Y14.5-2018, clause 3). Four points that hold do not prove the hole; one that fails
/// condemns it. For a boss the other way round, VC = MMC size plus the tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum VirtualLimit {
    /// The gauge must show this or less.
    AtMost(Length),
    /// The gauge must show this or more.
    AtLeast(Length),
}

/// The touches of `feature` in `orientation`: none where it cannot be seen, is what reads zero
/// or lies on the plate.
#[must_use]
pub fn touches(feature: &Feature, orientation: &Orientation) -> &'static [(Touch, Contact)] {
    use Contact::{Centre, FromAbove, FromBelow};
    if matches!(&orientation.zero, Zero::Feature(n) if *n == feature.number) {
        return &[];
    }
    let axis = orientation.up().square_axis();
    match feature.kind {
        Kind::Face => {
            let Some(looks) = feature.looks else { return &[] };
            if axis != Some(looks.axis()) || orientation.rest.face.as_ref() == Some(&feature.number)
            {
                return &[];
            }
            if orientation.up().component(looks.axis()) * looks.sign() > 0.0 {
                &[(Touch::Face, FromAbove)]
            } else {
                &[(Touch::Face, FromBelow)]
            }
        }
        Kind::Slot | Kind::Tab if feature.across.is_none() || feature.across != axis => &[],
        _ if orientation.taken == Taken::CentreAndSize => {
            &[(Touch::Centre, Centre), (Touch::Size, Centre)]
        }
        kind if kind.is_internal() => &[(Touch::Low, FromAbove), (Touch::High, FromBelow)],
        _ => &[(Touch::Low, FromBelow), (Touch::High, FromAbove)],
    }
}

/// The touches that the height of `feature` in `orientation` needs and `reading` lacks: a centre
/// is made of both its points.
#[must_use]
pub fn lacking(feature: &Feature, orientation: &Orientation, reading: &Reading) -> Vec<Touch> {
    let needed = touches(feature, orientation).iter().map(|(touch, _)| *touch);
    needed.filter(|t| *t != Touch::Size && reading.values(*t).is_empty()).collect()
}

/// The coordinate of a feature's centre along `up` by the drawing, if it is complete.
pub(super) fn centre_along(feature: &Feature, job: &Job, setup: &Setup) -> Option<Length> {
    let unit = job.drawing.unit;
    let needs =
        |axis| setup.up.component(axis).abs() < 1e-12 || feature.basic(axis, unit).is_some();
    (needs(crate::quantity::Axis::X) && needs(crate::quantity::Axis::Y))
        .then(|| feature.basic_point(unit).along(setup.up))
}

/// Every touch of one orientation, in the order of the drawing, with what it should show.
///
/// `setup` is `None` where the orientation cannot be resolved yet; the touches are listed all
/// the same, without a value.
#[must_use]
pub fn expected(job: &Job, orientation: &Orientation, setup: Option<&Setup>) -> Vec<Expectation> {
    let mut list = Vec::with_capacity(2 * job.drawing.features.len());
    // Where the datums let a pattern shift, a single touch condemns no hole.
    let mut stands: FxHashMap<&[DatumRef], bool> = FxHashMap::default();
    for (index, feature) in job.drawing.features.iter().enumerate() {
        let still = feature.position().is_some_and(|p| {
            let known = stands.entry(p.datums.as_slice());
            *known.or_insert_with(|| {
                DatumConstraints::of(job, &p.datums).is_ok_and(|c| c.stands())
                    && counts_from(job, orientation, &p.datums)
            })
        });
        for &(touch, contact) in touches(feature, orientation) {
            let (raw, limit) = setup.map_or((None, None), |s| {
                let limit = still.then(|| limit_of(job, feature, s, touch, contact)).flatten();
                (raw_of(job, feature, s, touch, contact), limit)
            });
            list.push(Expectation { feature: index, touch, contact, raw, limit });
        }
    }
    list
}

/// Whether the heights of an orientation count from the very face that a frame takes its coordinate
/// along the vertical from. In any other frame, one made of holes or of the opposite edge, a height
/// alone does not say how far off a feature is.
fn counts_from(job: &Job, orientation: &Orientation, datums: &[DatumRef]) -> bool {
    // Of a callout without datums all edges are the frame.
    if datums.is_empty() {
        return true;
    }
    let carriers: Option<Vec<&Feature>> = datums
        .iter()
        .filter_map(|d| job.drawing.datums.iter().find(|of| of.letter == d.letter))
        .filter(|d| d.pattern.is_some() || d.feature.is_some())
        .map(|d| job.feature(d.feature.as_deref()?).filter(|f| f.kind == Kind::Face))
        .collect();
    // A feature of size, or a pattern of them, makes the frame.
    let Some(faces) = carriers else { return false };
    let along = |f: &&&Feature| {
        f.looks.is_some_and(|side| orientation.up().square_axis() == Some(side.axis()))
    };
    faces.iter().find(along).is_some_and(|face| match &orientation.zero {
        Zero::Plate => carries(job, orientation, face),
        Zero::Feature(number) => *number == face.number,
    })
}

/// What the gauge should show at one touch with this set-up.
pub(crate) fn raw_of(
    job: &Job,
    feature: &Feature,
    setup: &Setup,
    touch: Touch,
    contact: Contact,
) -> Option<Length> {
    let size = || Some(feature.size?.limits(job.drawing.unit)?.middle());
    if touch == Touch::Size {
        return Some(setup.raw_size(size()?, feature.kind));
    }
    if !setup.base_is_known {
        return None;
    }
    let centre = centre_along(feature, job, setup)?;
    let at = match touch {
        Touch::Low => centre - size()? * 0.5,
        Touch::High => centre + size()? * 0.5,
        Touch::Centre | Touch::Face | Touch::Size => centre,
    };
    Some(setup.raw(at, contact))
}

fn limit_of(
    job: &Job,
    feature: &Feature,
    setup: &Setup,
    touch: Touch,
    contact: Contact,
) -> Option<VirtualLimit> {
    let unit = job.drawing.unit;
    let position = feature.position().filter(|_| setup.base_is_known)?;
    if position.modifier != Modifier::Mmc {
        return None;
    }
    let limits = feature.size?.limits(unit)?;
    let tolerance = position.tolerance.length(unit);
    let internal = feature.kind.is_internal();
    let vc = if internal {
        limits.mmc(feature.kind) - tolerance
    } else {
        limits.mmc(feature.kind) + tolerance
    };
    let centre = centre_along(feature, job, setup)?;
    match touch {
        Touch::Low => {
            let raw = setup.raw(centre - vc * 0.5, contact);
            Some(if internal { VirtualLimit::AtMost(raw) } else { VirtualLimit::AtLeast(raw) })
        }
        Touch::High => {
            let raw = setup.raw(centre + vc * 0.5, contact);
            Some(if internal { VirtualLimit::AtLeast(raw) } else { VirtualLimit::AtMost(raw) })
        }
        Touch::Centre | Touch::Size | Touch::Face => None,
    }
}
