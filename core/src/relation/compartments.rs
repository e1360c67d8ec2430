//! How a relation stands on the sheet: a control frame, or its limits.

use super::OnDrawing;
use crate::mark::{Cell, Symbol};
use crate::notation::trimmed;
use crate::quantity::Figure;

/// What a relation asks, as it stands on the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Compartments {
    /// The compartments of a control frame.
    Frame(Vec<Cell>),
    /// Limits, in words and figures.
    Limits(String),
}

impl Compartments {
    /// The frame of a zone of this width with the datum that `to` carries.
    #[must_use]
    pub fn zone(
        drawing: &dyn OnDrawing,
        symbol: Symbol,
        tolerance: Figure,
        to: Option<&str>,
    ) -> Self {
        let width = Cell::new().text(plain(drawing, tolerance));
        Self::frame(drawing, symbol, width, to)
    }

    /// A frame of a symbol, a compartment for the tolerance, and the datum that `to` carries.
    #[must_use]
    pub fn frame(
        drawing: &dyn OnDrawing,
        symbol: Symbol,
        tolerance: Cell,
        to: Option<&str>,
    ) -> Self {
        let mut cells = vec![Cell::new().symbol(symbol), tolerance];
        cells.extend(to.map(|to| Cell::new().text(drawing.datum(to))));
        Self::Frame(cells)
    }
}

/// A tolerance without the zeros that say nothing.
pub(super) fn plain(drawing: &dyn OnDrawing, figure: Figure) -> String {
    let f = drawing.figures();
    let length = figure.length(f.unit);
    trimmed(&f.exact(length).plain(length))
}
