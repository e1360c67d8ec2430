//! The lines of the drawing between features: their rows in the table of findings, and the list of
//! them on the blank sheet.

use super::column::{Align, Column, Columns};
use super::findings_table::{LINE, at, signed_visible, verdict};
use super::paper::{Paper, size};
use crate::callout::LineFinding;
use crate::job::{Asks, Drawing, Line, Modifier};
use crate::mark::{Cell, Face, Ink, Symbol, Text, control_frame, control_frame_width, fit};
use crate::picture::trimmed;
use crate::quantity::{Figure, Length};
use crate::show::{Figures, line_figures, line_limits_text, line_reason, line_text};

/// The rows, in the columns of the table of features.
/// `instruments` are those of the orientations.
pub(super) fn put(
    paper: &mut Paper<'_>,
    (columns, instruments): (&Columns, &str),
    lines: &[LineFinding],
    floor: f64,
) {
    let job = paper.job;
    let mut floor = floor;
    for (found, line) in lines.iter().zip(&job.drawing.lines) {
        let height = LINE + 1.2;
        if paper.y + height > floor {
            paper.begin("Findings, continued");
            columns.heads(paper);
            floor = paper.bottom();
        }
        row(paper, columns, found, line);
        let y = paper.y + 0.6 + LINE - 1.35;
        let used = used(paper, line, instruments);
        let used = if found.measured.is_some() { used } else { String::new() };
        columns.cell(paper, at::INSTRUMENT, y, &used, Face::Sans, Ink::Ink);
        paper.y += height;
        columns.rule(paper, paper.y);
    }
}

/// The instruments of a line: of a grid its own, of the squareness of an edge none that is known.
fn used(paper: &Paper<'_>, line: &Line, instruments: &str) -> String {
    match &line.asks {
        Asks::Perpendicularity(_) => String::new(),
        Asks::Flatness(_) => {
            let grid = paper.piece.and_then(|p| p.grid(&line.number));
            grid.map_or_else(String::new, |g| (g.instrument + 1).to_string())
        }
        _ => instruments.to_owned(),
    }
}

fn row(paper: &mut Paper<'_>, columns: &Columns, found: &LineFinding, line: &Line) {
    let drawing = &paper.job.drawing;
    let f = Figures::of_results(drawing);
    let top = paper.y + 0.6;
    let y = top + LINE - 1.35;
    columns.cell(paper, at::NUMBER, y, &line.number, Face::SansBold, Ink::Ink);
    kind(paper, columns, y, line);
    let asked = Asked::of(line, drawing);
    asked.put(paper, columns, top, y);
    let left = columns.left(at::NOMINAL_X) + 1.0;
    let room = columns.left(at::POSITION) - left - 1.0;
    let mut name = found.name.clone();
    if let Asks::Distance(d) = &line.asks {
        name.push_str(match d.along.axis() {
            Some(axis) if axis.letter() == "X" => ", along X",
            Some(_) => ", along Y",
            None => ", centre to centre",
        });
        if d.from.is_none() {
            name.push_str(" from the origin");
        }
    }
    if !line.note.is_empty() {
        name.push_str("; ");
        name.push_str(&line.note);
    }
    let em = size::SMALL + 0.2;
    paper.put(Text::new((left, y), fit(Face::Sans, &name, em, room), em).ink(Ink::Soft));
    if let Some((measured, limit)) = line_figures(found, f) {
        columns.cell(paper, at::POSITION, y, &measured, Face::SansBold, Ink::Ink);
        // Of two limits the requirement says both.
        if found.allowed.lower.is_none() {
            columns.cell(paper, at::ALLOWED, y, &limit, Face::Sans, Ink::Ink);
        }
    }
    if let Some(bonus) = asked.tolerance.zip(found.allowed.upper).map(|(t, a)| a - t)
        && bonus > Length::ZERO
        && matches!(&line.asks, Asks::Coaxiality(c) if c.modifier != Modifier::None)
    {
        columns.cell(paper, at::BONUS, y, &f.plain(bonus), Face::Sans, Ink::Ink);
    }
    if let Some(margin) = found.margin {
        columns.cell(paper, at::MARGIN, y, &signed_visible(margin, f), Face::Sans, Ink::Ink);
    }
    let note = line_reason(found, drawing);
    // The margin says by how much.
    let note = if found.measured.is_some() && !found.in_question { "" } else { note.as_str() };
    verdict(paper, columns, y, found.verdict, note);
}

/// The word a line begins with, in the small column of kinds.
fn kind(paper: &mut Paper<'_>, columns: &Columns, y: f64, line: &Line) {
    let text = line_text(&line.asks, &paper.job.drawing);
    let word = text.split(' ').next().unwrap_or_default();
    let left = columns.left(at::FEATURE) + 0.4;
    let room = columns.left(at::REQUIREMENT) - left;
    paper.put(Text::new((left, y), fit(Face::Sans, word, size::SMALL, room), size::SMALL));
}

/// What a line asks, as it is drawn: a control frame, or limits in words.
struct Asked {
    cells: Vec<Cell>,
    words: String,
    tolerance: Option<Length>,
}

impl Asked {
    fn of(line: &Line, drawing: &Drawing) -> Self {
        let f = Figures::of_drawing(drawing);
        let length = |figure: Figure| figure.length(f.unit);
        let plain = |figure: Figure| trimmed(&f.exact(length(figure)).plain(length(figure)));
        // The letter that a feature carries, or else its number.
        let datum = |number: &str| {
            let mut datums = drawing.datums.iter();
            let letter = datums.find(|d| d.carriers().any(|n| n == number));
            Cell::new().text(letter.map_or(number, |d| d.letter.as_str()))
        };
        let framed = |symbol, second: Cell, to: Option<&str>, tolerance: Figure| {
            let mut cells = vec![Cell::new().symbol(symbol), second];
            cells.extend(to.map(datum));
            Self { cells, words: String::new(), tolerance: Some(length(tolerance)) }
        };
        let words = |words: String| Self { cells: Vec::new(), words, tolerance: None };
        match &line.asks {
            Asks::Distance(d) => words(line_limits_text(d.limits, f)),
            Asks::Wall(w) => words(line_limits_text(w.limits, f)),
            Asks::BoltCircle(c) => words(format!("⌀ {}", line_limits_text(c.diameter, f))),
            Asks::PolarPosition(p) => {
                words(format!("radius {}, around {}", plain(p.radial), plain(p.around)))
            }
            Asks::Coaxiality(c) => {
                let second = Cell::new().symbol(Symbol::Diameter).text(plain(c.tolerance));
                let second = match c.modifier {
                    Modifier::None => second,
                    Modifier::Mmc => second.symbol(Symbol::MaximumMaterial),
                    Modifier::Lmc => second.symbol(Symbol::LeastMaterial),
                };
                framed(Symbol::Coaxiality, second, Some(&c.to), c.tolerance)
            }
            Asks::Perpendicularity(p) => {
                let second = Cell::new().text(plain(p.tolerance));
                framed(Symbol::Perpendicularity, second, Some(&p.to), p.tolerance)
            }
            Asks::Parallelism(p) => {
                let second = Cell::new().text(plain(p.tolerance));
                framed(Symbol::Parallelism, second, p.to.as_deref(), p.tolerance)
            }
            Asks::Flatness(p) => {
                let second = Cell::new().text(plain(p.tolerance));
                framed(Symbol::Flatness, second, None, p.tolerance)
            }
        }
    }

    fn put(&self, paper: &mut Paper<'_>, columns: &Columns, top: f64, y: f64) {
        if self.cells.is_empty() {
            columns.cell(paper, at::REQUIREMENT, y, &self.words, Face::Sans, Ink::Ink);
            return;
        }
        let room = columns.columns.get(at::REQUIREMENT).map_or(0.0, |c| c.width) - 1.5;
        frame(
            paper,
            (columns.left(at::REQUIREMENT) + 0.8, top + 0.2),
            LINE - 0.5,
            room,
            &self.cells,
        );
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

/// The list of lines on the blank sheet, with room to write.
pub(super) fn blank(paper: &mut Paper<'_>) {
    let drawing = &paper.job.drawing;
    if drawing.lines.is_empty() {
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
    for line in &drawing.lines {
        if paper.y + PEN > paper.bottom() {
            paper.begin(&format!("{heading}, continued"));
            columns.heads(paper);
        }
        let y = paper.y + PEN - 2.0;
        columns.cell(paper, 0, y, &line.number, Face::SansBold, Ink::Ink);
        columns.cell(paper, 1, y, &line_text(&line.asks, drawing), Face::Sans, Ink::Ink);
        columns.cell(paper, 2, y, &line.note, Face::Sans, Ink::Soft);
        paper.y += PEN;
        columns.rule(paper, paper.y);
    }
}
