//! Position callouts as feature control frames, one under another as on the drawing.

use crate::callout::Segment;
use crate::job::{Boundary, DatumRef, Drawing, Feature, Modifier};
use crate::mark::{Cell, Mark, Symbol, composite_frame};
use crate::notation::trimmed;
use crate::show::Figures;

/// The frames of all segments of a feature's position callouts, each `height` millimetres high,
/// with the width and the height of the whole; `None` where no position is asked.
#[must_use]
pub fn callout_frames(
    feature: &Feature,
    drawing: &Drawing,
    height: f64,
) -> Option<(Vec<Mark>, [f64; 2])> {
    let (mut marks, mut wide, mut top) = (Vec::new(), 0.0_f64, 0.0);
    for (callout, p) in feature.positions().enumerate() {
        let segments = (0..=p.lower.len()).map(|number| Segment { callout, number });
        let cells: Vec<Vec<Cell>> = segments.map(|s| frame_cells(feature, drawing, s)).collect();
        // Segments of one callout touch each other, callouts stand apart. Under ISO each tolerance
        // indicator has its own symbol.
        let groups =
            if is_composite(drawing) { vec![&cells[..]] } else { cells.chunks(1).collect() };
        for group in groups {
            let (frame, width) = composite_frame((0.0, top), height, group);
            marks.extend(frame);
            wide = wide.max(width);
            for _ in group {
                top += height;
            }
        }
        top += 0.25 * height;
    }
    (!marks.is_empty()).then_some((marks, [wide, top - 0.25 * height]))
}

/// Whether the standard of the drawing knows composite frames, with one symbol for all segments.
pub(crate) fn is_composite(drawing: &Drawing) -> bool {
    drawing.standard().is_asme()
}

/// The feature control frame of one segment of a position callout.
pub(crate) fn frame_cells(feature: &Feature, drawing: &Drawing, segment: Segment) -> Vec<Cell> {
    let Some(p) = feature.positions().nth(segment.callout) else { return Vec::new() };
    let lower = segment.number.checked_sub(1).and_then(|n| p.lower.get(n));
    let (tolerance, datums) = lower.map_or((p.tolerance, &p.datums), |l| (l.tolerance, &l.datums));
    let tolerance = tolerance.length(drawing.unit);
    let figure = Figures::of_drawing(drawing).exact(tolerance);
    let mut second = Cell::new();
    if feature.kind.is_round() && p.along.is_none() {
        second = second.symbol(Symbol::Diameter);
    }
    second = second.text(trimmed(&figure.plain(tolerance)));
    second = match p.modifier {
        Modifier::None => second,
        Modifier::Mmc => second.symbol(Symbol::MaximumMaterial),
        Modifier::Lmc => second.symbol(Symbol::LeastMaterial),
    };
    let mut cells = vec![Cell::new().symbol(Symbol::Position), second];
    cells.extend(datums.iter().map(datum_cell));
    if let Some(axis) = p.along {
        // Compartments behind the tolerance hold datums only.
        cells.push(Cell::new().text(format!("along {}", axis.letter())).beside());
    }
    cells
}

/// The compartment of one datum.
fn datum_cell(datum: &DatumRef) -> Cell {
    let cell = Cell::new().text(datum.letter.clone());
    match datum.boundary {
        Boundary::Regardless => cell,
        Boundary::Maximum => cell.symbol(Symbol::MaximumMaterial),
        Boundary::Least => cell.symbol(Symbol::LeastMaterial),
    }
}
