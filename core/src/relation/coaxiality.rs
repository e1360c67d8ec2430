//! Coaxiality of two round features.

use super::typed::{Typed, feature};
use super::vector::AxisDistance;
use super::written::{behind, quoted, tolerance};
use super::{
    Compartments, Facts, Found, HeldTo, OnDrawing, Reason, Requirement, RoundZone, Step,
    compartments,
};
use crate::feature::Modifier;
use crate::mark::{Cell, Symbol};
use crate::notation::{EntryError, modifier, refuse};
use crate::quantity::{Figure, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Coaxiality of one round feature to another (ISO 1101, 17.13). The zone is a cylinder about the
/// axis of the second, and the tolerance its diameter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Coaxiality {
    /// The toleranced feature.
    pub of: String,
    /// The feature whose axis is the datum, regardless of its size.
    pub to: String,
    /// Diameter of the zone.
    pub tolerance: Figure,
    /// Material condition of the toleranced feature.
    #[serde(default, skip_serializing_if = "Modifier::is_none")]
    pub modifier: Modifier,
}

impl Requirement for Coaxiality {
    fn words() -> &'static [&'static str] {
        &["coaxial", "coaxiality", "concentric"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[("coaxial 3 4 0.1", "coaxiality of 3 to 4")]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        let [of, to, tolerance, rest @ ..] = typed.words else {
            return refuse("Two features and a diameter are needed, as in coaxial 3 4 0.1.");
        };
        let modifier = match rest {
            [] => Modifier::None,
            [one] => modifier(&one.text)?,
            _ => return refuse("Behind the tolerance stands M or L, or nothing."),
        };
        let tolerance = typed.tolerance(tolerance)?;
        Ok(Self { of: feature(of)?, to: feature(to)?, tolerance, modifier })
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        let (of, to) = (quoted(&self.of), quoted(&self.to));
        format!("coaxial {of} {to} {}{}", tolerance(self.tolerance, drawing), behind(self.modifier))
    }

    fn word(&self, _drawing: &dyn OnDrawing) -> &'static str {
        "coaxiality"
    }

    fn features(&self) -> Vec<&str> {
        vec![&self.of, &self.to]
    }

    fn features_mut(&mut self) -> Vec<&mut String> {
        vec![&mut self.of, &mut self.to]
    }

    fn tolerances(&self) -> Vec<Figure> {
        vec![self.tolerance]
    }

    fn figures_mut(&mut self) -> Vec<&mut Figure> {
        vec![&mut self.tolerance]
    }

    /// Twice the offset of the axis against a cylinder about the axis of the other feature, with the
    /// bonus of the toleranced one where a modifier gives any (ISO 1101, 17.13; ASME Y14.5-2018
    /// asks the same by a position).
    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let (of, to) = (facts.feature(&self.of)?, facts.feature(&self.to)?);
        let tolerance = self.tolerance.length(facts.unit());
        if of.index == to.index {
            return Err(Reason::Twice(of.name));
        }
        let zero_at_modifier = !self.modifier.is_none() && tolerance == Length::ZERO;
        if tolerance <= Length::ZERO && !zero_at_modifier {
            return Err(Reason::Tolerance);
        }
        if !self.modifier.is_none() && !of.has_limits {
            return Err(Reason::ModifierWithoutLimits(of.name));
        }
        let apart = AxisDistance::of(Some(&to), &of)?;
        let offset = Length::mm(apart.mm);
        let measured = offset * 2.0;
        let mut steps = apart.steps.clone();
        steps.push(Step::length("offset", offset, apart.how()));
        steps.push(Step::length("coaxiality", measured, vec!["2 × ".into(), offset.into()]));
        steps.push(Step::length("tolerance", tolerance, vec!["diameter".into()]));
        let size = if self.modifier.is_none() { None } else { of.size_at(self.modifier) };
        let sizes = size.map(|size| (size, 1.0)).into_iter().collect();
        let dependence = Some(apart.dependence(2.0, sizes));
        let deviation = apart.vector;
        let zone = RoundZone { deviation, tolerance, modifier: self.modifier };
        Ok(Found { measured, held_to: HeldTo::RoundZone(zone), steps, dependence })
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        let tolerance = compartments::plain(drawing, self.tolerance);
        let cell = Cell::new().symbol(Symbol::Diameter).text(tolerance);
        let cell = match self.modifier {
            Modifier::None => cell,
            Modifier::Mmc => cell.symbol(Symbol::MaximumMaterial),
            Modifier::Lmc => cell.symbol(Symbol::LeastMaterial),
        };
        Compartments::frame(drawing, Symbol::Coaxiality, cell, Some(&self.to))
    }
}
