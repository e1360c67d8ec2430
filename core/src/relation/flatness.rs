//! Flatness of a face, by a grid of heights.

use super::heights::{MinimumZone, determined};
use super::limits::zone_width;
use super::typed::Typed;
use super::written::{quoted, tolerance};
use super::{
    Basis, Compartments, Facts, Found, Heights, HeightsOver, OnDrawing, Reason, Requirement,
};
use crate::form::flatness;
use crate::mark::Symbol;
use crate::notation::EntryError;
use crate::quantity::Figure;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Flatness (ISO 1101, 17.3): two parallel planes, as far apart as the tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Flatness {
    /// The toleranced face: its number, or words for one that is not among the features.
    pub of: String,
    /// Distance of the two planes.
    pub tolerance: Figure,
}

impl Requirement for Flatness {
    fn words() -> &'static [&'static str] {
        &["flat", "flatness"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[("flat A 0.02", "flatness, by a grid of heights")]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        let missing = "A face and a width are needed, as in flat A 0.02.";
        let (of, tolerance) = typed.face_and_tolerance(missing)?;
        Ok(Self { of, tolerance })
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        format!("flat {} {}", quoted(&self.of), tolerance(self.tolerance, drawing))
    }

    fn word(&self, _drawing: &dyn OnDrawing) -> &'static str {
        "flatness"
    }

    fn features(&self) -> Vec<&str> {
        vec![&self.of]
    }

    fn features_mut(&mut self) -> Vec<&mut String> {
        vec![&mut self.of]
    }

    fn takes_words(&self) -> bool {
        true
    }

    fn tolerances(&self) -> Vec<Figure> {
        vec![self.tolerance]
    }

    fn figures_mut(&mut self) -> Vec<&mut Figure> {
        vec![&mut self.tolerance]
    }

    fn basis(&self) -> Basis {
        Basis::Heights(HeightsOver::Face)
    }

    /// The two parallel planes that contain all points and are as close as can be (ISO 1101, 17.3;
    /// minimum zone), with the least-squares figure beside it.
    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let tolerance = zone_width(self.tolerance, facts.unit())?;
        let heights = Heights::of(facts, "grid of heights")?;
        let flat = determined(flatness(&heights.points), facts.name())?;
        let zone = MinimumZone {
            width: flat.width,
            cosine: flat.middle.cosine(),
            held: &flat.held,
            least_squares_width: flat.least_squares_width,
        };
        Ok(zone.found("flatness", "least distance of two planes", &heights, tolerance))
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        Compartments::zone(drawing, Symbol::Flatness, self.tolerance, None)
    }
}
