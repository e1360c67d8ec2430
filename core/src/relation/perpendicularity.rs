//! Perpendicularity of an edge to another one, by what is stated of the squareness of the piece.

use super::limits::zone_width;
use super::typed::{Typed, feature};
use super::written::{quoted, tolerance};
use super::{
    Basis, Compartments, Dependence, Facts, Found, HeldTo, OnDrawing, Reason, Requirement, Step,
    Term,
};
use crate::mark::Symbol;
use crate::notation::{EntryError, refuse};
use crate::quantity::{Figure, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Perpendicularity of an edge to another one (ISO 1101, 17.10): two planes square to the datum, as
/// far apart as the tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Perpendicularity {
    /// The toleranced face.
    pub of: String,
    /// The face it is square to.
    pub to: String,
    /// Distance of the two planes.
    pub tolerance: Figure,
}

impl Requirement for Perpendicularity {
    fn words() -> &'static [&'static str] {
        &["square", "perpendicular", "perpendicularity"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[("square C B 0.05", "perpendicularity of edge C to B")]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        let [of, to, tolerance] = typed.words else {
            return refuse("Two faces and a width are needed, as in square C B 0.05.");
        };
        let tolerance = typed.tolerance(tolerance)?;
        Ok(Self { of: feature(of)?, to: feature(to)?, tolerance })
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        let (of, to) = (quoted(&self.of), quoted(&self.to));
        format!("square {of} {to} {}", tolerance(self.tolerance, drawing))
    }

    fn word(&self, _drawing: &dyn OnDrawing) -> &'static str {
        "perpendicularity"
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

    fn basis(&self) -> Basis {
        Basis::Stated
    }

    /// Two planes square to the datum that contain the face, as far apart as it leans over its
    /// length (ISO 1101, 17.10). The length is that of the edge, where the outline gives it; else
    /// what it leans over the length measured counts. A straight edge is taken for granted.
    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let (of, to) = (facts.feature(&self.of)?, facts.feature(&self.to)?);
        let tolerance = zone_width(self.tolerance, facts.unit())?;
        if of.index == to.index {
            return Err(Reason::Twice(of.name));
        }
        let side = of.face()?;
        if side.axis() == to.face()?.axis() {
            return Err(Reason::WrongKind(of.name, "face that stands on the other one"));
        }
        let Some(lean) = facts.lean(&self.of, &self.to) else {
            return Err(Reason::missing(format!("squareness of {} to {}", of.name, to.name)));
        };
        let (out, over) = (lean.farther_out, lean.over);
        if over <= Length::ZERO {
            return Err(Reason::NoLength(of.name));
        }
        let length = facts.edge_length(side).filter(|l| *l > Length::ZERO);
        let times = length.map_or(1.0, |l| l.to_mm() / over.to_mm());
        let measured = (out * times).abs();
        let leans = vec!["farther out, over ".into(), over.into(), ", measured".into()];
        let how: Vec<Term> = match length {
            Some(l) => vec![out.abs().into(), " × ".into(), l.into(), " ÷ ".into(), over.into()],
            None => vec!["over the length measured: the outline is not known".into()],
        };
        let steps = vec![
            Step::signed("leans", out, leans),
            Step::length("perpendicularity", measured, how),
        ];
        let dependence = lean.standard.map(|u| Dependence::Stated((u * times).to_mm()));
        Ok(Found { measured, held_to: HeldTo::Zone(tolerance), steps, dependence })
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        Compartments::zone(drawing, Symbol::Perpendicularity, self.tolerance, Some(&self.to))
    }
}
