//! A place by radius and angle from a centre.

use super::typed::{Typed, feature, or_origin};
use super::vector::{AxisDistance, turn};
use super::written::{self, quoted, tolerance};
use super::{
    Compartments, Dependence, Facts, Found, FrameNeed, HeldTo, MeasuredFeature, OnDrawing, Reason,
    Requirement, Step, Term, compartments,
};
use crate::feature::Kind;
use crate::notation::{EntryError, refuse};
use crate::quantity::{Figure, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A place given by radius and angle from a centre.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PolarPosition {
    /// The toleranced feature.
    pub of: String,
    /// The centre; absent: the origin of the frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre: Option<String>,
    /// Width of the zone along the radius.
    pub radial: Figure,
    /// Width of the zone around the centre, as a length at the basic radius.
    pub around: Figure,
}

impl Requirement for PolarPosition {
    fn words() -> &'static [&'static str] {
        &["polar"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[("polar 3 1 0.2 0.1", "of 3 about 1: widths along the radius and around")]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        let (of, centre, radial, around) = match typed.words {
            [of, radial, around] => (of, None, radial, around),
            [of, centre, radial, around] => (of, or_origin(centre)?, radial, around),
            _ => {
                return refuse(
                    "A feature, a centre and two widths are needed, as in polar 3 1 0.2 0.1.",
                );
            }
        };
        let (radial, around) = (typed.tolerance(radial)?, typed.tolerance(around)?);
        Ok(Self { of: feature(of)?, centre, radial, around })
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        let (of, centre) = (quoted(&self.of), written::or_origin(self.centre.as_ref()));
        let [radial, around] = [self.radial, self.around].map(|t| tolerance(t, drawing));
        format!("polar {of} {centre} {radial} {around}")
    }

    fn word(&self, _drawing: &dyn OnDrawing) -> &'static str {
        "polar place"
    }

    fn features(&self) -> Vec<&str> {
        [&self.of].into_iter().chain(&self.centre).map(String::as_str).collect()
    }

    fn features_mut(&mut self) -> Vec<&mut String> {
        [&mut self.of].into_iter().chain(&mut self.centre).collect()
    }

    fn tolerances(&self) -> Vec<Figure> {
        vec![self.radial, self.around]
    }

    fn figures_mut(&mut self) -> Vec<&mut Figure> {
        vec![&mut self.radial, &mut self.around]
    }

    /// Its angle counts from the axes of the frame, about another feature too.
    fn frame(&self, _kind: &dyn Fn(&str) -> Option<Kind>) -> FrameNeed {
        FrameNeed::Origin([true; 2])
    }

    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let of = facts.feature(&self.of)?;
        let centre = self.centre.as_deref().map(|number| facts.feature(number)).transpose()?;
        let unit = facts.unit();
        polar(&of, centre.as_ref(), self.radial.length(unit), self.around.length(unit))
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        let [radial, around] = [self.radial, self.around].map(|t| compartments::plain(drawing, t));
        Compartments::Limits(format!("radius {radial}, around {around}"))
    }
}

/// Holds a place against a zone of two widths about the basic place, along the radius and around the
/// centre, |dr| ≤ T/2 and |r₀ dφ| ≤ T/2 with r₀ the basic radius (common practice, no source). The
/// figure is twice the deviation of that direction which leaves less room, as of any zone.
///
/// # Errors
/// What was not measured, a basic place that is missing, or a centre where the feature is.
fn polar(
    of: &MeasuredFeature,
    centre: Option<&MeasuredFeature>,
    radial: Length,
    around: Length,
) -> Result<Found, Reason> {
    if radial <= Length::ZERO || around <= Length::ZERO {
        return Err(Reason::Tolerance);
    }
    if let Some(centre) = centre.filter(|c| c.index == of.index) {
        return Err(Reason::Twice(centre.name.clone()));
    }
    of.round()?;
    let (to, from) = (of.basic_axis()?, centre.map_or(Ok([0.0; 2]), MeasuredFeature::basic_axis)?);
    let basic = [to[0] - from[0], to[1] - from[1]];
    let r0 = libm::hypot(basic[0], basic[1]);
    let apart = AxisDistance::of(centre, of)?;
    let r = apart.mm;
    // Nearer to the centre than a millionth of a millimetre there is no angle.
    if r0 < 1e-6 || r < 1e-6 {
        return Err(Reason::NoRadius);
    }
    let [x, y] = apart.vector.mm;
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
    let mut steps = apart.steps.clone();
    steps.push(Step::length("radius", Length::mm(r), apart.how()));
    let how = vec![Length::mm(r).into(), " − ".into(), Length::mm(r0).into()];
    steps.push(Step::signed("dr", Length::mm(dr), how));
    steps.push(Step {
        label: "angle".to_owned(),
        figure: Some(Term::Angle(angle)),
        how: vec![Term::Angle(turned), " from basic".into()],
    });
    let how = vec![Length::mm(r0).into(), " × ".into(), Term::Angle(turned), " × π ÷ 180".into()];
    steps.push(Step::signed("around", Length::mm(arc), how));
    let zone = |what: &str, d: f64, t: Length| {
        let words = format!(" of {what}");
        let how =
            vec!["2 × ".into(), Length::mm(d.abs()).into(), " in a zone of ".into(), t.into()];
        Step::length(format!("zone{words}"), width(d), how)
    };
    steps.push(zone("radius", dr, radial));
    steps.push(zone("angle", arc, around));
    let dependence = Some(Dependence::on_places(places));
    Ok(Found { measured, held_to: HeldTo::Zone(tolerance), steps, dependence })
}
