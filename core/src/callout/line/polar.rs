//! A place by radius and angle from a centre.

use super::bolt_circle::turn;
use super::distance::{Apart, on};
use super::{Found, LineUnjudged, Part, Seen, Term, Way};
use crate::job::Range;
use crate::quantity::Length;

/// Polar position: a zone of two widths about the basic place, along the radius and around the
/// centre, |dr| ≤ T/2 and |r₀ dφ| ≤ T/2 with r₀ the basic radius (common practice, no source). The
/// figure is twice the deviation of that direction which leaves less room, as of any zone.
///
/// # Errors
/// What was not measured, a basic place that is missing, or a centre where the feature is.
pub fn polar(
    of: &Seen,
    centre: Option<&Seen>,
    radial: Length,
    around: Length,
) -> Result<Found, LineUnjudged> {
    if radial <= Length::ZERO || around <= Length::ZERO {
        return Err(LineUnjudged::Tolerance);
    }
    if let Some(centre) = centre.filter(|c| c.index == of.index) {
        return Err(LineUnjudged::Twice(centre.name.clone()));
    }
    of.round()?;
    let (to, from) = (of.basic_axis()?, centre.map_or(Ok([0.0; 2]), Seen::basic_axis)?);
    let basic = [to[0] - from[0], to[1] - from[1]];
    let r0 = libm::hypot(basic[0], basic[1]);
    let apart = Apart::of(centre, of)?;
    let r = apart.distance;
    // Nearer to the centre than a millionth of a millimetre there is no angle.
    if r0 < 1e-6 || r < 1e-6 {
        return Err(LineUnjudged::NoRadius);
    }
    let [x, y] = apart.vector;
    let (angle, basic_angle) = (libm::atan2(y, x), libm::atan2(basic[1], basic[0]));
    let turned = turn(angle - basic_angle);
    let (dr, arc) = (r - r0, r0 * turned);
    let (e, around_e) = ([x / r, y / r], [-y / r * r0 / r, x / r * r0 / r]);
    let width = |d: f64| Length::mm(2.0 * d.abs());
    let room = [radial - width(dr), around - width(arc)];
    let by_angle = room[1] < room[0];
    let (d, slope, tolerance) = if by_angle { (arc, around_e, around) } else { (dr, e, radial) };
    let measured = width(d);
    let sign = if d < 0.0 { -2.0 } else { 2.0 };
    let mut places = vec![(of.index, slope.map(|g| sign * g))];
    places.extend(centre.map(|c| (c.index, slope.map(|g| -sign * g))));
    let mut parts = apart.parts.clone();
    parts.push(Part::length("radius", Length::mm(r), apart.how()));
    let how = vec![Length::mm(r).into(), " − ".into(), Length::mm(r0).into()];
    parts.push(Part::signed("dr", Length::mm(dr), how));
    parts.push(Part {
        label: "angle".to_owned(),
        figure: Some(Term::Angle(angle)),
        how: vec![Term::Angle(turned), " from basic".into()],
    });
    let how = vec![Length::mm(r0).into(), " × ".into(), Term::Angle(turned)];
    parts.push(Part::signed("around", Length::mm(arc), how));
    let zone = |what: &str, d: f64, t: Length| {
        let words = format!(" of {what}");
        let how =
            vec!["2 × ".into(), Length::mm(d.abs()).into(), " in a zone of ".into(), t.into()];
        Part::length(format!("zone{words}"), width(d), how)
    };
    parts.push(zone("radius", dr, radial));
    parts.push(zone("angle", arc, around));
    let allowed = Range::up_to(tolerance);
    Ok(Found { measured, allowed, zone: true, parts, hangs: on(Way::Given(places)) })
}
