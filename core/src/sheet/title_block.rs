//! The title block at the lower right, and the strip that stands for it on further pages.

use super::paper::{Paper, size};
use crate::job::Drawing;
use crate::mark::{Face, Ink, Line, Mark, Rect, Stroke, Text, fit};

/// What a sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Purpose {
    /// It reports what was found.
    Report,
    /// It is to be filled in at the bench.
    Blank,
}

impl Purpose {
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Report => "Layout inspection sheet",
            Self::Blank => "Bench sheet, to be filled in",
        }
    }
}

/// Width of the block.
pub(super) const WIDTH: f64 = 128.0;
/// Height of the block.
pub(super) const HEIGHT: f64 = 50.0;

pub(super) fn page_title(paper: &Paper<'_>, page: usize, of: usize) -> String {
    let d = &paper.job.drawing;
    format!("{}: {} {}, page {page} of {of}", paper.purpose.words(), d.part_number, d.part_name)
}

struct Cell<'a> {
    label: &'a str,
    text: String,
    /// Share of the row's width.
    share: f64,
}

fn cell(label: &str, text: impl Into<String>, share: f64) -> Cell<'_> {
    Cell { label, text: text.into(), share }
}

/// The standard that the drawing is judged by, and whether the drawing states it.
fn standard_applied(drawing: &Drawing) -> String {
    let name = drawing.standard().name();
    if drawing.standard_is_stated() {
        name.to_owned()
    } else {
        format!("{name}, not stated on the drawing")
    }
}

/// The block in the lower right corner of the border.
pub(super) fn block(paper: &Paper<'_>, page: usize, of: usize) -> Vec<Mark> {
    let job = paper.job;
    let (d, s) = (&job.drawing, &job.shipment);
    let piece = paper.piece;
    let of_piece = |f: fn(&crate::job::Piece) -> &String| piece.map(f).cloned().unwrap_or_default();
    let revision = |number: &str, revision: &str| match (number, revision) {
        (n, "") => n.to_owned(),
        (n, r) => format!("{n}  rev {r}"),
    };
    let drawing_number = if d.number.is_empty() { &d.part_number } else { &d.number };
    let instruments = job
        .plan
        .instruments
        .iter()
        .map(|i| {
            let mut text = i.name.clone();
            if !i.identification.is_empty() {
                text.push_str(&format!(" {}", i.identification));
            }
            if !i.calibration_due.is_empty() {
                text.push_str(&format!(", cal. due {}", i.calibration_due));
            }
            text
        })
        .collect::<Vec<_>>()
        .join("; ");
    let rows: Vec<(f64, Vec<Cell<'_>>)> = vec![
        (
            8.0,
            vec![cell("part name", &d.part_name, 0.62), cell("part number", &d.part_number, 0.38)],
        ),
        (
            7.0,
            vec![
                cell("drawing", revision(drawing_number, &d.revision), 0.36),
                cell("material", &d.material, 0.26),
                cell("serial", of_piece(|p| &p.serial), 0.2),
                cell("unit", d.unit.word(), 0.18),
            ],
        ),
        (
            7.0,
            vec![
                cell("customer", &s.customer, 0.36),
                cell("order", &s.order, 0.26),
                cell("lot", &s.lot, 0.2),
                cell("quantity", &s.quantity, 0.18),
            ],
        ),
        (7.0, vec![cell("instruments, calibration due", instruments, 1.0)]),
        (
            7.0,
            vec![
                cell("inspector", of_piece(|p| &p.inspector), 0.36),
                cell("date", of_piece(|p| &p.date), 0.26),
                cell("temperature", of_piece(|p| &p.temperature), 0.38),
            ],
        ),
        (
            7.0,
            vec![
                cell("report", revision(&s.report_number, &s.report_revision), 0.36),
                cell("standard applied", standard_applied(d), 0.46),
                cell("page", format!("{page} of {of}"), 0.18),
            ],
        ),
        (7.0, vec![cell("signature and stamp", "", 0.62), cell("date", "", 0.38)]),
    ];
    let (left, top) = (paper.border_right() - WIDTH, paper.border_bottom() - HEIGHT);
    let mut marks: Vec<Mark> =
        vec![Rect::new((left, top), WIDTH, HEIGHT).fill(Ink::Paper).stroke(Stroke::OUTLINE).into()];
    let mut y = top;
    for (i, (height, cells)) in rows.iter().enumerate() {
        if i > 0 {
            marks.push(Line::new((left, y), (left + WIDTH, y), Stroke::THIN).into());
        }
        let mut x = left;
        for (j, c) in cells.iter().enumerate() {
            if j > 0 {
                marks.push(Line::new((x, y), (x, y + height), Stroke::THIN).into());
            }
            let width = WIDTH * c.share;
            let (face, em) = if i == 0 { (Face::SansBold, 3.2) } else { (Face::Sans, size::TEXT) };
            marks.push(Text::new((x + 1.2, y + 2.4), c.label, 1.8).ink(Ink::Soft).into());
            marks.push(
                Text::new((x + 1.2, y + height - 1.5), fit(face, &c.text, em, width - 2.4), em)
                    .face(face)
                    .into(),
            );
            x += width;
        }
        y += height;
    }
    marks
}

/// One line along the foot of a page.
pub(super) fn strip(paper: &Paper<'_>, page: usize, of: usize, height: f64) -> Vec<Mark> {
    let (d, s) = (&paper.job.drawing, &paper.job.shipment);
    let left = paper.left() - 4.0;
    let right = paper.border_right();
    let top = paper.border_bottom() - height;
    let serial = paper.piece.map(|p| p.serial.clone()).unwrap_or_default();
    let blank = paper.purpose == Purpose::Blank;
    let cells = [
        cell("", paper.purpose.words(), 0.18),
        cell("part", format!("{}  {}", d.part_number, d.part_name), 0.3),
        cell("drawing rev", &d.revision, 0.08),
        cell("serial", if blank { String::new() } else { serial }, 0.12),
        cell("report", &s.report_number, 0.14),
        cell("unit", d.unit.word(), 0.08),
        cell("page", format!("{page} of {of}"), 0.1),
    ];
    let mut marks: Vec<Mark> = vec![Line::new((left, top), (right, top), Stroke::OUTLINE).into()];
    let mut x = left;
    for (i, c) in cells.iter().enumerate() {
        let width = (right - left) * c.share;
        if i > 0 {
            marks.push(Line::new((x, top), (x, top + height), Stroke::THIN).into());
        }
        let baseline = if c.label.is_empty() { top + height * 0.6 } else { top + height - 2.2 };
        let face = if i == 0 { Face::SansBold } else { Face::Sans };
        marks.push(Text::new((x + 1.2, top + 2.7), c.label, 1.8).ink(Ink::Soft).into());
        marks.push(
            Text::new((x + 1.2, baseline), fit(face, &c.text, size::TEXT, width - 2.4), size::TEXT)
                .face(face)
                .into(),
        );
        x += width;
    }
    marks
}
