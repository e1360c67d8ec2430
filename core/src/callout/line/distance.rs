//! A distance along an axis, or straight from centre to centre.

use super::seen::both;
use super::{Found, Hangs, LineUnjudged, Part, Seen, Way};
use crate::job::{Along, Range};
use crate::quantity::{Axis, Length};

/// The distance from one feature, or from the origin of the frame, to another: between axes, centre
/// planes and faces.
///
/// Along an axis it is counted the way in which the drawing has it, so that a feature on the wrong
/// side has a negative distance; where the drawing has both at one height or says nothing, it is
/// `to` less `from`. Straight: √(Δx² + Δy²).
///
/// # Errors
/// What was not measured, or a feature that has no such place.
pub fn distance(
    from: Option<&Seen>,
    to: &Seen,
    along: Along,
    allowed: Range,
) -> Result<Found, LineUnjudged> {
    if let Some(from) = from.filter(|from| from.index == to.index) {
        return Err(LineUnjudged::Twice(from.name.clone()));
    }
    match along.axis() {
        Some(axis) => along_axis(from, to, axis, allowed),
        None => straight(from, to, allowed),
    }
}

fn along_axis(
    from: Option<&Seen>,
    to: &Seen,
    axis: Axis,
    allowed: Range,
) -> Result<Found, LineUnjudged> {
    let (start, end) = both(from.map_or(Ok(0.0), |f| f.along(axis)), to.along(axis))?;
    to.one_read(from, axis)?;
    let i = usize::from(axis == Axis::Y);
    let basic = (to.basic[i], from.map_or(Some(0.0), |f| f.basic[i]));
    let turned = matches!(basic, (Some(to), Some(from)) if to < from);
    let sign = if turned { -1.0 } else { 1.0 };
    let mut places = vec![(to.index, unit(axis, sign))];
    let mut parts = Vec::new();
    if let Some(from) = from {
        places.push((from.index, unit(axis, -sign)));
        parts.push(Part::length(from.coordinate(axis), Length::mm(start), said(from, i)));
    }
    parts.push(Part::length(to.coordinate(axis), Length::mm(end), said(to, i)));
    let measured = Length::mm(sign * (end - start));
    let (large, small) = if turned { (start, end) } else { (end, start) };
    let how = match from {
        None if turned => vec!["against the axis, from the origin of the frame".into()],
        None => vec!["from the origin of the frame".into()],
        Some(_) => vec![Length::mm(large).into(), " − ".into(), Length::mm(small).into()],
    };
    parts.push(Part::length("distance", measured, how));
    Ok(Found { measured, allowed, zone: false, parts, hangs: on(Way::Given(places)) })
}

fn straight(from: Option<&Seen>, to: &Seen, allowed: Range) -> Result<Found, LineUnjudged> {
    let apart = Apart::of(from, to)?;
    let measured = Length::mm(apart.distance);
    let mut parts = apart.parts.clone();
    parts.push(Part::length("distance", measured, apart.how()));
    Ok(Found { measured, allowed, zone: false, parts, hangs: on(apart.way(1.0)) })
}

/// Two axes, and the vector from one to the other.
pub(super) struct Apart {
    from: Option<usize>,
    to: usize,
    pub(super) vector: [f64; 2],
    pub(super) distance: f64,
    pub(super) parts: Vec<Part>,
}

impl Apart {
    pub(super) fn of(from: Option<&Seen>, to: &Seen) -> Result<Self, LineUnjudged> {
        let (start, end) = both(from.map_or(Ok([0.0; 2]), Seen::axis), to.axis())?;
        to.one_read(from, Axis::X)?;
        to.one_read(from, Axis::Y)?;
        let vector = [end[0] - start[0], end[1] - start[1]];
        let part = |axis: Axis, i: usize| {
            let (label, how) = (
                format!("d{}", axis.letter().to_lowercase()),
                vec![Length::mm(end[i]).into(), " − ".into(), Length::mm(start[i]).into()],
            );
            Part::signed(label, Length::mm(vector[i]), how)
        };
        Ok(Self {
            from: from.map(|f| f.index),
            to: to.index,
            vector,
            distance: libm::hypot(vector[0], vector[1]),
            parts: vec![part(Axis::X, 0), part(Axis::Y, 1)],
        })
    }

    /// √(dx² + dy²).
    pub(super) fn how(&self) -> Vec<super::Term> {
        let [x, y] = self.vector.map(|v| Length::mm(v.abs()));
        vec!["√(".into(), x.into(), "² + ".into(), y.into(), "²)".into()]
    }

    /// How a figure hangs on the two places that changes by `times` with the distance.
    pub(super) fn way(&self, times: f64) -> Way {
        Way::Apart { from: self.from, to: self.to, vector: self.vector, times }
    }
}

pub(super) const fn unit(axis: Axis, times: f64) -> [f64; 2] {
    match axis {
        Axis::X => [times, 0.0],
        Axis::Y => [0.0, times],
    }
}

/// Whether a coordinate was measured, or is where the drawing has it because others were counted
/// from there.
pub(super) fn said(of: &Seen, i: usize) -> Vec<super::Term> {
    vec![if of.read[i] { "measured" } else { "counted from here" }.into()]
}

pub(super) fn on(places: Way) -> Hangs {
    Hangs { places, sizes: Vec::new(), touches: Some(Vec::new()) }
}
