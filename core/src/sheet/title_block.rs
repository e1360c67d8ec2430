//! The title block at the lower right, and the strip that stands for it on further pages.

use super::paper::{Paper, size};
use crate::job::{Drawing, Instrument, Job, Piece};
use crate::mark::{Face, Ink, Line, Mark, Rect, Stroke, Text, fit, wrap};
use crate::show::count_of_pieces;

/// What a sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Purpose {
    /// It reports what was found of one piece.
    Report,
    /// It sums up the reports of the pieces behind it.
    Cover,
    /// It is to be filled in at the bench.
    Blank,
}

impl Purpose {
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Report => "Layout inspection sheet",
            Self::Cover => "Lot inspection report",
            Self::Blank => "Bench sheet",
        }
    }
}

/// Width of the block.
pub(super) const WIDTH: f64 = 146.0;
/// Room for a signature and a stamp.
const STAMP: f64 = 9.5;

pub(super) fn page_title(paper: &Paper<'_>, page: usize, of: usize) -> String {
    let d = &paper.job.drawing;
    format!("{}: {} {}, page {page} of {of}", paper.purpose.words(), d.part_number, d.part_name)
}

/// One field of the block.
struct Cell {
    label: &'static str,
    /// Broken into as many lines as it takes: nothing of a title block is cut.
    lines: Vec<String>,
    left: f64,
    width: f64,
}

/// A row of fields.
struct Row {
    cells: Vec<Cell>,
    face: Face,
    /// Room under the text.
    below: f64,
}

impl Row {
    /// Fields with their shares of the width. What would take more than two lines there has a row
    /// of its own.
    fn all(fields: Vec<(&'static str, String, f64)>, face: Face) -> Vec<Self> {
        let lines = |text: &str, share: f64| {
            wrap(face, text.trim(), size::TEXT, WIDTH * share - 2.0 * INSIDE).len()
        };
        let (long, mut short): (Vec<_>, Vec<_>) =
            fields.into_iter().partition(|(_, text, share)| lines(text, *share) > 2);
        let all: f64 = short.iter().map(|(.., share)| *share).sum();
        short.iter_mut().for_each(|(.., share)| *share /= all);
        let mut rows: Vec<Self> = long
            .into_iter()
            .map(|(label, text, _)| Self::of(vec![(label, text, 1.0)], face))
            .collect();
        if !short.is_empty() {
            rows.push(Self::of(short, face));
        }
        rows
    }

    /// Fields with their shares of the width.
    fn of(fields: Vec<(&'static str, String, f64)>, face: Face) -> Self {
        let mut left = 0.0;
        let cells = fields.into_iter().map(|(label, text, share)| {
            let width = WIDTH * share;
            let lines = wrap(face, text.trim(), size::TEXT, width - 2.0 * INSIDE);
            left += width;
            Cell { label, lines, left: left - width, width }
        });
        Self { cells: cells.collect(), face, below: 0.0 }
    }

    /// With room to sign and to stamp.
    fn for_stamp(self) -> Self {
        Self { below: STAMP, ..self }
    }

    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    fn height(&self) -> f64 {
        let lines = self.cells.iter().map(|c| c.lines.len()).max().unwrap_or(1);
        LABEL_ROOM + lines as f64 * LEADING + 0.9 + self.below
    }
}

/// Room beside the text of a field.
const INSIDE: f64 = 1.2;
/// From the top of a field to under its label.
const LABEL_ROOM: f64 = 2.5;
/// From one line of a field to the next.
const LEADING: f64 = size::TEXT * 1.16;

/// The standard that the drawing is judged by, and whether the drawing states it.
fn standard_applied(drawing: &Drawing) -> String {
    let name = drawing.standard().name();
    if drawing.standard_is_stated() {
        name.to_owned()
    } else {
        format!("{name}, not stated on the drawing")
    }
}

/// A number with its revision.
fn revised(number: &str, revision: &str) -> String {
    match (number, revision) {
        (n, "") => n.to_owned(),
        (n, r) => format!("{n}  rev {r}"),
    }
}

/// The gauges, each with its certificate and the date that its calibration is due.
fn instruments(job: &Job) -> String {
    let text = |i: &Instrument| {
        let mut text = i.called();
        if !i.certificate.is_empty() {
            text.push_str(&format!(", certificate {}", i.certificate));
        }
        if !i.calibration_due.is_empty() {
            text.push_str(&format!(", cal. due {}", i.calibration_due));
        }
        text
    };
    job.plan.instruments.iter().map(text).collect::<Vec<_>>().join("; ")
}

/// What is the same of all pieces, or where it is found.
fn of_all(job: &Job, get: fn(&Piece) -> &String) -> String {
    let mut pieces = job.pieces.iter().map(get);
    let first = pieces.next();
    match first {
        Some(first) if pieces.all(|other| other == first) => first.clone(),
        Some(_) => "see the list".to_owned(),
        None => String::new(),
    }
}

/// The serial number of the piece; of a lot the number of its pieces.
fn serial(paper: &Paper<'_>) -> String {
    match paper.purpose {
        Purpose::Cover => count_of_pieces(paper.job.pieces.len()),
        Purpose::Report | Purpose::Blank => {
            paper.piece.map(|p| p.serial.clone()).unwrap_or_default()
        }
    }
}

fn rows(paper: &Paper<'_>, page: usize, of: usize) -> Vec<Row> {
    let job = paper.job;
    let (d, s) = (&job.drawing, &job.shipment);
    let of_piece = |f: fn(&Piece) -> &String| match paper.purpose {
        Purpose::Cover => of_all(job, f),
        Purpose::Report | Purpose::Blank => paper.piece.map(f).cloned().unwrap_or_default(),
    };
    let drawing_number = if d.number.is_empty() { &d.part_number } else { &d.number };
    let issuer = [s.issuer.trim(), s.issuer_address.trim()];
    let issuer: Vec<&str> = issuer.into_iter().filter(|t| !t.is_empty()).collect();
    let mut rows = Vec::new();
    if !issuer.is_empty() {
        // An address of several lines stands in one.
        let text = issuer.join(", ").lines().map(str::trim).collect::<Vec<_>>().join(", ");
        rows.push(Row::of(vec![("issued by", text, 1.0)], Face::Sans));
    }
    rows.extend(Row::all(
        vec![
            ("part name", d.part_name.clone(), 0.5),
            ("part number", d.part_number.clone(), 0.28),
            ("serial", serial(paper), 0.22),
        ],
        Face::SansBold,
    ));
    rows.extend(Row::all(
        vec![
            ("drawing", revised(drawing_number, &d.revision), 0.24),
            ("material", d.material.clone(), 0.19),
            ("standard applied", standard_applied(d), 0.57),
        ],
        Face::Sans,
    ));
    rows.extend(Row::all(
        vec![
            ("customer", s.customer.clone(), 0.42),
            ("order", s.order.clone(), 0.22),
            ("lot", s.lot.clone(), 0.14),
            ("lot size", s.quantity.clone(), 0.1),
            ("inspected", s.inspected.clone(), 0.12),
        ],
        Face::Sans,
    ));
    rows.extend(Row::all(
        vec![("instruments, certificate, calibration due", instruments(job), 1.0)],
        Face::Sans,
    ));
    rows.extend(Row::all(
        vec![
            ("report", revised(&s.report_number, &s.report_revision), 0.32),
            ("temperature", of_piece(|p| &p.temperature), 0.22),
            ("date", of_piece(|p| &p.date), 0.22),
            ("unit", d.unit.word().to_owned(), 0.1),
            ("page", format!("{page} of {of}"), 0.14),
        ],
        Face::Sans,
    ));
    rows.push(
        Row::of(
            vec![
                ("inspected by, signature and stamp", of_piece(|p| &p.inspector), 0.5),
                ("approved by, signature, stamp and date", s.approved_by.clone(), 0.5),
            ],
            Face::Sans,
        )
        .for_stamp(),
    );
    rows
}

/// Height of the block: as much as its fields need.
pub(super) fn height(paper: &Paper<'_>) -> f64 {
    rows_that_fit(paper, 888, 888).iter().map(Row::height).sum()
}

/// What heads the fields that the block has no room for.
pub(super) const IN_FULL: &str = "Title block in full";

/// Higher than this it never is: the table has to stand on the page as well.
const HIGHEST: f64 = 104.0;

/// The rows, of too long a header each field in one line, as far as it goes.
fn rows_that_fit(paper: &Paper<'_>, page: usize, of: usize) -> Vec<Row> {
    let mut rows = rows(paper, page, of);
    if is_too_long(&rows) {
        for cell in rows.iter_mut().flat_map(|r| &mut r.cells) {
            if cell.lines.len() > 1 {
                let all = cell.lines.join(" ");
                cell.lines = vec![fit(Face::SansBold, &all, size::TEXT, cell.width - 2.0 * INSIDE)];
            }
        }
    }
    rows
}

fn is_too_long(rows: &[Row]) -> bool {
    rows.iter().map(Row::height).sum::<f64>() > HIGHEST
}

/// All that it says.
pub(super) fn says(paper: &Paper<'_>) -> String {
    let rows = rows(paper, 1, 1);
    let lines = rows.iter().flat_map(|r| &r.cells).flat_map(|c| &c.lines);
    lines.map(String::as_str).collect::<Vec<_>>().join(" ")
}

/// The fields that the block has no room for, in full; empty where it holds them.
pub(super) fn in_full(paper: &Paper<'_>) -> Vec<String> {
    let rows = rows(paper, 1, 1);
    if !is_too_long(&rows) {
        return Vec::new();
    }
    let cells = rows.iter().flat_map(|r| &r.cells).filter(|c| c.lines.len() > 1);
    cells.map(|c| format!("{}: {}", c.label, c.lines.join(" "))).collect()
}

/// The block in the lower right corner of the border.
pub(super) fn block(paper: &Paper<'_>, page: usize, of: usize) -> Vec<Mark> {
    let high = height(paper);
    let (left, top) = (paper.border_right() - WIDTH, paper.border_bottom() - high);
    let mut marks: Vec<Mark> =
        vec![Rect::new((left, top), WIDTH, high).fill(Ink::Paper).stroke(Stroke::OUTLINE).into()];
    let mut y = top;
    for (i, row) in rows_that_fit(paper, page, of).iter().enumerate() {
        if i > 0 {
            marks.push(Line::new((left, y), (left + WIDTH, y), Stroke::THIN).into());
        }
        let height = row.height();
        for (j, c) in row.cells.iter().enumerate() {
            let x = left + c.left;
            if j > 0 {
                marks.push(Line::new((x, y), (x, y + height), Stroke::THIN).into());
            }
            let label = fit(Face::Sans, c.label, size::SMALL, c.width - INSIDE);
            marks.push(Text::new((x + INSIDE, y + 2.3), label, size::SMALL).ink(Ink::Soft).into());
            let mut baseline = y + LABEL_ROOM;
            for line in &c.lines {
                baseline += LEADING;
                let text = Text::new((x + INSIDE, baseline - 0.5), line, size::TEXT);
                marks.push(text.face(row.face).into());
            }
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
    let (serial, date) = match paper.purpose {
        Purpose::Report => (serial(paper), paper.piece.map_or("", |p| &p.date).to_owned()),
        Purpose::Cover => (serial(paper), of_all(paper.job, |p| &p.date)),
        // Written by hand.
        Purpose::Blank => (String::new(), String::new()),
    };
    let cells = [
        ("", paper.purpose.words().to_owned(), 0.175),
        ("part", format!("{}  {}", d.part_number, d.part_name), 0.235),
        ("drawing rev", d.revision.clone(), 0.075),
        ("lot", s.lot.clone(), 0.085),
        ("serial", serial, 0.1),
        ("date", date, 0.09),
        ("report", revised(&s.report_number, &s.report_revision), 0.11),
        ("unit", d.unit.word().to_owned(), 0.05),
        ("page", format!("{page} of {of}"), 0.08),
    ];
    let mut marks: Vec<Mark> = vec![Line::new((left, top), (right, top), Stroke::OUTLINE).into()];
    let mut x = left;
    for (i, (label, text, share)) in cells.into_iter().enumerate() {
        let width = (right - left) * share;
        if i > 0 {
            marks.push(Line::new((x, top), (x, top + height), Stroke::THIN).into());
        }
        let baseline = if label.is_empty() { top + height * 0.6 } else { top + height - 2.0 };
        let face = if i == 0 { Face::SansBold } else { Face::Sans };
        marks.push(Text::new((x + INSIDE, top + 2.8), label, size::SMALL).ink(Ink::Soft).into());
        let text = fit(face, &text, size::TEXT, width - 2.0 * INSIDE);
        marks.push(Text::new((x + INSIDE, baseline), text, size::TEXT).face(face).into());
        x += width;
    }
    marks
}
