//! Relations: their rows in the table of findings, and the list of
//! them on the blank sheet.

use super::column::{Align, Column, Columns};
use super::findings_table::{LINE, at, put_row};
use super::paper::{Paper, size};
use crate::callout::RelationFinding;
use crate::job::Relation;
use crate::mark::{Cell, Face, Ink, Text, control_frame, control_frame_width, fit};
use crate::relation::{Basis, Compartments};
use crate::show::{RequirementRow, relation_text};

/// The rows, in the columns of the table of features.
/// `instruments` are those of the orientations.
pub(super) fn put(
    paper: &mut Paper<'_>,
    (columns, instruments): (&Columns, &str),
    relations: &[RelationFinding],
    floor: f64,
) {
    let job = paper.job;
    let mut floor = floor;
    for (found, relation) in relations.iter().zip(&job.drawing.relations) {
        let height = LINE + 1.2;
        if paper.y + height > floor {
            paper.begin("Findings, continued");
            columns.heads(paper);
            floor = paper.bottom();
        }
        row(paper, columns, found, relation);
        let y = paper.y + 0.6 + LINE - 1.35;
        let used = used(paper, relation, instruments);
        let used = if found.measured.is_some() { used } else { String::new() };
        columns.cell(paper, at::INSTRUMENT, y, &used, Face::Sans, Ink::Ink);
        paper.y += height;
        columns.rule(paper, paper.y);
    }
}

/// The instruments of a relation: of heights their own, of what is stated none that is known.
fn used(paper: &Paper<'_>, relation: &Relation, instruments: &str) -> String {
    match relation.kind.basis() {
        Basis::Stated => String::new(),
        Basis::Heights(_) => {
            let grid = paper.piece.and_then(|p| p.grid(&relation.number));
            grid.map_or_else(String::new, |g| (g.instrument + 1).to_string())
        }
        Basis::Readings => instruments.to_owned(),
    }
}

fn row(paper: &mut Paper<'_>, columns: &Columns, found: &RelationFinding, relation: &Relation) {
    let drawing = &paper.job.drawing;
    let top = paper.y + 0.6;
    let y = top + LINE - 1.35;
    columns.cell(paper, at::NUMBER, y, &relation.number, Face::SansBold, Ink::Ink);
    kind(paper, columns, y, relation);
    asked(paper, columns, (top, y), relation);
    let left = columns.left(at::NOMINAL_X) + 1.0;
    let room = columns.left(at::POSITION) - left - 1.0;
    let mut name = format!("{}{}", found.name, relation.kind.detail());
    if !relation.note.is_empty() {
        name.push_str("; ");
        name.push_str(&relation.note);
    }
    let em = size::SMALL + 0.2;
    paper.put(Text::new((left, y), fit(Face::Sans, &name, em, room), em).ink(Ink::Soft));
    let mut figures = RequirementRow::of_relation(found, drawing);
    // The margin says by how much.
    if found.measured.is_some() && !found.in_question {
        figures.note.clear();
    }
    put_row(paper, columns, y, &figures);
}

/// The short word for a relation, in the small column of kinds.
fn kind(paper: &mut Paper<'_>, columns: &Columns, y: f64, relation: &Relation) {
    let word = relation.kind.short_word(&paper.job.drawing);
    let left = columns.left(at::FEATURE) + 0.4;
    let room = columns.left(at::REQUIREMENT) - left;
    paper.put(Text::new((left, y), fit(Face::Sans, &word, size::SMALL, room), size::SMALL));
}

/// What a relation asks: a control frame, or its limits.
fn asked(paper: &mut Paper<'_>, columns: &Columns, (top, y): (f64, f64), relation: &Relation) {
    match relation.kind.compartments(&paper.job.drawing) {
        Compartments::Limits(words) => {
            columns.cell(paper, at::REQUIREMENT, y, &words, Face::Sans, Ink::Ink);
        }
        Compartments::Frame(cells) => {
            let room = columns.columns.get(at::REQUIREMENT).map_or(0.0, |c| c.width) - 1.5;
            let corner = (columns.left(at::REQUIREMENT) + 0.8, top + 0.2);
            frame(paper, corner, LINE - 0.5, room, &cells);
        }
    }
}

/// A control frame in so much room.
fn frame(paper: &mut Paper<'_>, corner: (f64, f64), height: f64, room: f64, cells: &[Cell]) {
    let wide = control_frame_width(height, cells);
    let height = if wide > room { height * room / wide } else { height };
    let (marks, _) = control_frame(corner, height, cells);
    for mark in marks {
        paper.put(mark);
    }
}

/// Height of a line of the blank sheet: room for a pen.
const PEN: f64 = 6.4;

/// The list of relations on the blank sheet, with room to write.
pub(super) fn blank(paper: &mut Paper<'_>) {
    let drawing = &paper.job.drawing;
    if drawing.relations.is_empty() {
        return;
    }
    let heading = "Requirements between features";
    paper.begin(heading);
    let columns = Columns {
        columns: vec![
            Column::new("no.", 12.0, Align::Left),
            Column::new("asked", 74.0, Align::Left),
            Column::new("note", 60.0, Align::Left),
            Column::new("found", (paper.room() - 146.0).max(30.0), Align::Left),
        ],
        x: paper.left(),
    };
    columns.heads(paper);
    for relation in &drawing.relations {
        if paper.y + PEN > paper.bottom() {
            paper.begin(&format!("{heading}, continued"));
            columns.heads(paper);
        }
        let y = paper.y + PEN - 2.0;
        columns.cell(paper, 0, y, &relation.number, Face::SansBold, Ink::Ink);
        columns.cell(paper, 1, y, &relation_text(&relation.kind, drawing), Face::Sans, Ink::Ink);
        columns.cell(paper, 2, y, &relation.note, Face::Sans, Ink::Soft);
        paper.y += PEN;
        columns.rule(paper, paper.y);
    }
}
