//! Straightness of an edge, by heights along it.

use super::heights::{MinimumZone, determined};
use super::limits::zone_width;
use super::typed::Typed;
use super::written::{quoted, tolerance};
use super::{
    Basis, Compartments, Facts, Found, Heights, HeightsOver, OnDrawing, Reason, Requirement,
};
use crate::form::{Spot, Station, straightness};
use crate::mark::Symbol;
use crate::notation::EntryError;
use crate::quantity::Figure;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Straightness of an edge (ISO 1101, 17.2): two parallel lines, as far apart as the tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Straightness {
    /// The toleranced edge: the number of its face, or words for one that is not among the features.
    pub of: String,
    /// Distance of the two lines.
    pub tolerance: Figure,
}

impl Requirement for Straightness {
    fn words() -> &'static [&'static str] {
        &["straightness"]
    }

    fn examples() -> &'static [(&'static str, &'static str)] {
        &[("straightness of face B 0.02", "straightness of an edge, by heights along it")]
    }

    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError> {
        let missing = "A face and a width are needed, as in straightness of face B 0.02.";
        let (of, tolerance) = typed.face_and_tolerance(missing)?;
        Ok(Self { of, tolerance })
    }

    fn text(&self, drawing: &dyn OnDrawing) -> String {
        format!("straightness {} {}", quoted(&self.of), tolerance(self.tolerance, drawing))
    }

    fn word(&self, _drawing: &dyn OnDrawing) -> &'static str {
        "straightness"
    }

    fn short_word(&self, _drawing: &dyn OnDrawing) -> String {
        "straight".to_owned()
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
        Basis::Heights(HeightsOver::Edge)
    }

    /// The two parallel lines that contain the profile and are as close as can be (ISO 1101, 17.2;
    /// minimum zone), with the least-squares figure beside it.
    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason> {
        let tolerance = zone_width(self.tolerance, facts.unit())?;
        let heights = Heights::of(facts, "heights along the edge")?;
        let straight = determined(straightness(&profile(&heights.points)?), facts.name())?;
        let zone = MinimumZone {
            width: straight.width,
            cosine: straight.middle.cosine(),
            held: &straight.held,
            least_squares_width: straight.least_squares_width,
        };
        Ok(zone.found("straightness", "least distance of two lines", &heights, tolerance))
    }

    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments {
        Compartments::zone(drawing, Symbol::Straightness, self.tolerance, None)
    }
}

/// How far places may stray from one line, as a part of its length: beyond that their heights are
/// not those of one profile (common practice, no source).
const STRAY: f64 = 0.05;

/// Returns heights by their distance along the line of their places, which is fitted by least
/// squares.
fn profile(points: &[Spot]) -> Result<Vec<Station>, Reason> {
    #[expect(clippy::cast_precision_loss, reason = "a count of points")]
    let n = points.len() as f64;
    let [x, y] = points.iter().fold([0.0; 2], |s, p| [s[0] + p.x, s[1] + p.y]);
    let off = |p: &Spot| [p.x - x / n, p.y - y / n];
    let [xx, xy, yy] = points
        .iter()
        .map(off)
        .fold([0.0; 3], |s, [x, y]| [s[0] + x * x, s[1] + x * y, s[2] + y * y]);
    let angle = 0.5 * libm::atan2(2.0 * xy, xx - yy);
    let (c, s) = (libm::cos(angle), libm::sin(angle));
    let along = |p: &Spot| c * off(p)[0] + s * off(p)[1];
    let across = |p: &Spot| c * off(p)[1] - s * off(p)[0];
    if extent(points.iter().map(across)) > STRAY * extent(points.iter().map(along)) {
        return Err(Reason::NotOnOneLine);
    }
    Ok(points.iter().map(|p| Station { x: along(p), height: p.height }).collect())
}

/// Largest less smallest.
fn extent(values: impl Iterator<Item = f64>) -> f64 {
    let ends = (f64::INFINITY, f64::NEG_INFINITY);
    let (low, high) = values.fold(ends, |(low, high), v| (low.min(v), high.max(v)));
    high - low
}

#[cfg(test)]
mod tests {
    use super::*;

    fn along(places: &[[f64; 2]]) -> Result<Vec<f64>, Reason> {
        let points: Vec<Spot> = places.iter().map(|&[x, y]| Spot { x, y, height: 0.0 }).collect();
        Ok(profile(&points)?.into_iter().map(|station| station.x).collect())
    }

    /// (0, 0), (3, 4), (9, 12) are 5 and 10 apart along their line (computed independently).
    #[test]
    fn a_slanted_row_of_places_is_measured_along_itself() {
        for places in
            [[[0.0, 0.0], [3.0, 4.0], [9.0, 12.0]], [[2.0, 7.0], [2.0, 12.0], [2.0, 22.0]]]
        {
            let at = along(&places).unwrap_or_else(|e| panic!("{e:?}"));
            assert!(((at[1] - at[0]).abs() - 5.0).abs() < 1e-12, "{at:?}");
            assert!(((at[2] - at[0]).abs() - 15.0).abs() < 1e-12, "{at:?}");
        }
    }

    #[test]
    fn places_that_stray_are_not_along_one_line() {
        let row = |aside: f64| along(&[[0.0, 0.0], [50.0, aside], [100.0, 0.0]]);
        assert!(row(4.9).is_ok());
        assert_eq!(row(5.1), Err(Reason::NotOnOneLine));
    }
}
