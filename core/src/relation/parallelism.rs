//! Parallelism of a face to the one that carries the part, by a sweep.

use super::limits::zone_width;
use super::typed::{Typed, feature};
use super::written::{quoted, tolerance};
use super::{Compartments, Dependence, Facts, Found, HeldTo, OnDrawing, Reason, Requirement, Step};
use crate::mark::Symbol;
use crate::notation::{EntryError, refuse};
use crate::quantity::{Figure, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Parallelism of a face to the one that carries the part while it is swept (ISO 1101, 17.9): two
/// planes parallel to the datum, as far apart as the tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Parallelism {
    /// The toleranced face.
    pub of: String,
    /// The face it is parallel to; absent: whichever carries the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// Distance of the two planes.
    pub tolerance: Figure,
}

impl Requirement for Parallelism {
    fn words() -> &'static [&'static str] {
        &["parallel", "parallelism"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[("parallel T B 0.03", "parallelism of face T to B, by a sweep")]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        let (of, to, tolerance) = match typed.words {
            [of, tolerance] => (of, None, tolerance),
            [of, to, tolerance] => (of, Some(feature(to)?), tolerance),
            _ => return refuse("A face and a width are needed, as in parallel T B 0.03."),
        };
        let tolerance = typed.tolerance(tolerance)?;
        Ok(Self { of: feature(of)?, to, tolerance })
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        let to = self.to.as_ref().map_or_else(String::new, |to| format!(" {}", quoted(to)));
        format!("parallel {}{to} {}", quoted(&self.of), tolerance(self.tolerance, drawing))
    }

    fn word(&self, _drawing: &dyn OnDrawing) -> &'static str {
        "parallelism"
    }

    fn features(&self) -> Vec<&str> {
        [&self.of].into_iter().chain(&self.to).map(String::as_str).collect()
    }

    fn features_mut(&mut self) -> Vec<&mut String> {
        [&mut self.of].into_iter().chain(&mut self.to).collect()
    }

    fn tolerances(&self) -> Vec<Figure> {
        vec![self.tolerance]
    }

    fn figures_mut(&mut self) -> Vec<&mut Figure> {
        vec![&mut self.tolerance]
    }

    /// Two planes parallel to the datum that contain the face, as far apart as the highest reading of
    /// a sweep over it less the lowest (ISO 1101, 17.9). Of several sweeps the worst counts.
    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let of = facts.feature(&self.of)?;
        let to = self.to.as_deref().map(|number| facts.feature(number)).transpose()?;
        let tolerance = zone_width(self.tolerance, facts.unit())?;
        let side = of.face()?;
        if let Some(to) = to {
            if to.index == of.index {
                return Err(Reason::Twice(to.name));
            }
            if to.face()?.axis() != side.axis() {
                return Err(Reason::Across(of.name, to.name));
            }
        }
        let swept = facts.sweeps(&self.of, self.to.as_deref());
        let worst = swept.iter().max_by(|a, b| a.sweep.tir().total_cmp(&b.sweep.tir()));
        let Some(worst) = worst else {
            return Err(Reason::missing(format!("sweep over {}", of.name)));
        };
        let sweep = worst.sweep;
        if sweep.tir() < 0.0 {
            return Err(Reason::Figures);
        }
        let measured = Length::mm(sweep.tir());
        let (high, low) = (Length::mm(sweep.highest), Length::mm(sweep.lowest));
        let swept = format!("swept in orientation {}", worst.orientation);
        let steps = vec![
            Step::length("highest", high, vec![swept.as_str().into()]),
            Step::length("lowest", low, vec![swept.as_str().into()]),
            Step::length("parallelism", measured, vec![high.into(), " − ".into(), low.into()]),
        ];
        let dependence = Some(Dependence::on_touches(worst.instrument, 2.0));
        Ok(Found { measured, held_to: HeldTo::Zone(tolerance), steps, dependence })
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        Compartments::zone(drawing, Symbol::Parallelism, self.tolerance, self.to.as_deref())
    }
}
