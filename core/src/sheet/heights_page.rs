//! The heights that flatness and straightness were found from, as they were taken.

use super::paper::Paper;
use super::table::{Align, Cell, Head, Table};
use crate::job::{Grid, Job, Piece, Relation};
use crate::relation::{Basis, HeightsOver};
use crate::show::{Figures, as_typed, relation_text};

/// So many places stand beside each other.
const BESIDE: usize = 4;

pub(super) fn put(paper: &mut Paper<'_>, piece: &Piece) {
    let job = paper.job;
    for relation in &job.drawing.relations {
        let Basis::Heights(over) = relation.kind.basis() else { continue };
        let Some(grid) = piece.grid(&relation.number).filter(|g| !g.points.is_empty()) else {
            continue;
        };
        one(paper, job, relation, grid, over);
    }
}

fn one(paper: &mut Paper<'_>, job: &Job, relation: &Relation, grid: &Grid, over: HeightsOver) {
    let Some(gauge) = job.plan.instruments.get(grid.instrument) else { return };
    let f = Figures::of_instrument(gauge);
    let unit = f.unit.word();
    let one_figure = over == HeightsOver::Edge && grid.points.iter().all(|[_, y, _]| y.0 == 0.0);
    let mut heads = Vec::new();
    for _ in 0..BESIDE {
        heads.push(Head::new(if one_figure { "along" } else { "x" }, Align::Decimal));
        if !one_figure {
            heads.push(Head::new("y", Align::Decimal));
        }
        heads.push(Head::new(format!("height read\n{unit}"), Align::Decimal).least(24.0));
    }
    let mut table = Table::new(heads);
    // Down the first columns, then down the next ones.
    let rows = grid.points.len().div_ceil(BESIDE);
    for row in 0..rows {
        let mut cells: Vec<Cell> = Vec::new();
        for column in 0..BESIDE {
            let point = grid.points.get(column * rows + row).filter(|_| row < rows);
            let place = |i: usize| {
                point.and_then(|p| p.get(i)).map_or_else(String::new, |v| as_typed(*v, f.unit))
            };
            cells.push(place(0).into());
            if !one_figure {
                cells.push(place(1).into());
            }
            let height = point.map(|[_, _, h]| h.length(f.unit));
            cells.push(height.map_or_else(String::new, |h| f.exact(h).signed(h)).into());
        }
        table.row(cells);
    }
    let heading = format!("Line {}: heights as taken", relation.number);
    paper.section(&heading, table.first(paper.room()) + 10.0);
    let text = format!(
        "{}; instrument {}: {}. Places and heights in {}, as the gauge showed them; the part may lie \
         in any way.",
        relation_text(&relation.kind, &job.drawing),
        grid.instrument + 1,
        gauge.called(),
        f.unit.word(),
    );
    paper.columns(&[text]);
    table.put(paper, paper.left(), paper.room());
}
