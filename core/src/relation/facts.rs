//! What a kind of relation can ask of a measured piece.

use super::{Heights, MeasuredFeature, Reason};
use crate::form::Sweep;
use crate::quantity::{Length, Side, Unit};

/// What was measured of a piece. Coordinates are those of the frame that the relation needs.
pub trait Facts {
    /// Returns the drawing's unit.
    fn unit(&self) -> Unit;

    /// Returns what the relation is about, for a reason: `hole 3, face B`.
    fn name(&self) -> &str;

    /// Returns what was measured of a feature.
    ///
    /// # Errors
    /// A feature that is not on the drawing, or that is at fault itself.
    fn feature(&self, number: &str) -> Result<MeasuredFeature, Reason>;

    /// Returns the length of the edge that looks to a side, where the outline gives it.
    fn edge_length(&self, side: Side) -> Option<Length>;

    /// Returns how far `of` leans against `to`, where the squareness of the two is stated.
    fn lean(&self, of: &str, to: &str) -> Option<Lean>;

    /// Returns the sweeps over a face that looked up or down while the part lay on `to`, or on
    /// whatever it lay.
    fn sweeps(&self, of: &str, to: Option<&str>) -> Vec<MeasuredSweep>;

    /// Returns the heights that were taken for this relation.
    fn heights(&self) -> Option<Heights>;
}

/// How far an edge leans.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lean {
    /// How far one end lies farther out of the material than the other.
    pub farther_out: Length,
    /// Over this length.
    pub over: Length,
    /// Standard uncertainty of the first; `None` where it counts as exact.
    pub standard: Option<Length>,
}

/// A sweep over a face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredSweep {
    /// Number of the orientation.
    pub orientation: u32,
    /// Index of the instrument.
    pub instrument: usize,
    /// Lowest and highest reading.
    pub sweep: Sweep,
}
