//! The blank sheet for the bench: expected heights and room to write.

use super::column::{Align, Column, Columns};
use super::orientation_page::set_up;
use super::paper::Paper;
use crate::bench::{Expectation, VirtualLimit};
use crate::findings::{Planned, Ready};
use crate::job::{Orientation, Touch};
use crate::mark::{Face, Ink, Line, Stroke, Text};
use crate::picture::{StandingOptions, standing};
use crate::show::{Figures, feature_name};

/// Height of a line: room for a pen.
const LINE: f64 = 6.4;
/// Width of the picture.
const PICTURE: f64 = 92.0;

pub(super) fn put(paper: &mut Paper<'_>, ready: &Ready<'_>) {
    for planned in &ready.orientations {
        orientation(paper, planned);
    }
    if ready.orientations.is_empty() {
        paper.begin("Bench sheet");
        let (x, y) = (paper.left(), paper.y);
        paper.paragraph(
            x,
            y,
            120.0,
            "The plan has no orientation yet. Add one on the Bench screen.",
            Ink::Ink,
        );
    }
}

fn orientation(paper: &mut Paper<'_>, planned: &Planned) {
    let job = paper.job;
    let Some(orientation) = job.orientation(planned.number) else { return };
    let heading = format!("Orientation {}: to be measured", planned.number);
    paper.begin(&heading);
    let top = paper.y;
    let options =
        StandingOptions { width: PICTURE, height: 92.0, text: 2.6, ..StandingOptions::default() };
    paper.put_at(paper.left(), top, standing(job, orientation, &options));
    let mut y =
        paper.paragraph(paper.left(), top + 94.0, PICTURE, &set_up(job, orientation), Ink::Ink);
    for caution in CAUTIONS {
        y = paper.paragraph(paper.left(), y, PICTURE, caution, Ink::Soft) - 0.6;
    }
    y += 5.0;
    for label in
        ["zero checked at start", "zero at end", "serial", "inspector, date", "temperature"]
    {
        let x = paper.left();
        paper.put(Text::new((x, y), label, 2.1).ink(Ink::Soft));
        paper.put(Line::new((x + 30.0, y + 0.6), (x + PICTURE, y + 0.6), Stroke::HAIR));
        y += 6.4;
    }
    let mut columns = columns(paper, orientation, paper.left() + PICTURE + 5.0);
    columns.heads(paper);
    let mut floor = paper.bottom();
    for expectation in &planned.expected {
        if paper.y + LINE > floor {
            paper.begin(&format!("{heading}, continued"));
            columns.x = paper.left();
            columns.heads(paper);
            floor = paper.bottom();
        }
        row(paper, &columns, orientation, expectation);
        paper.y += LINE;
        columns.rule(paper, paper.y);
    }
}

/// The usual cautions at the plate.
pub(super) const CAUTIONS: [&str; 3] = [
    "Clamp a tall or heavy part to the angle plate before it is turned.",
    "Keep fingers out from under a motorised carriage.",
    "Deburr and clean before touching; let part and plate come to one temperature.",
];

fn columns(paper: &Paper<'_>, orientation: &Orientation, x: f64) -> Columns {
    let f = Figures::of_readings(paper.job, orientation);
    Columns {
        columns: vec![
            Column::new("feature", 24.0, Align::Left),
            Column::new("touch", 26.0, Align::Left),
            Column::new("", 20.0, Align::Left),
            Column::new("expected", 21.0, Align::Decimal(f.decimals)),
            Column::new("must not pass\n(virtual condition)", 27.0, Align::Decimal(f.decimals)),
            Column::new("read", (paper.right() - x - 118.0).max(20.0), Align::Left),
        ],
        x,
    }
}

fn row(paper: &mut Paper<'_>, columns: &Columns, orientation: &Orientation, e: &Expectation) {
    let job = paper.job;
    let f = Figures::of_readings(job, orientation);
    let Some(feature) = job.drawing.features.get(e.feature) else { return };
    let y = paper.y + LINE - 2.0;
    if matches!(e.touch, Touch::Low | Touch::Centre | Touch::Face) {
        columns.cell(paper, 0, y, &feature_name(feature), Face::SansBold, Ink::Ink);
    }
    columns.cell(paper, 1, y, e.touch.word(), Face::Sans, Ink::Ink);
    let how = if matches!(e.touch, Touch::Centre | Touch::Size) { "" } else { e.contact.words() };
    columns.cell(paper, 2, y, how, Face::Sans, Ink::Soft);
    if let Some(raw) = e.raw {
        let text = if e.touch == Touch::Size { f.plain(raw) } else { f.signed(raw) };
        columns.cell(paper, 3, y, &text, Face::Sans, Ink::Ink);
    }
    if let Some(limit) = e.limit {
        let (sign, raw) = match limit {
            VirtualLimit::AtMost(raw) => ("≤ ", raw),
            VirtualLimit::AtLeast(raw) => ("≥ ", raw),
        };
        columns.cell(paper, 4, y, &format!("{sign}{}", f.signed(raw)), Face::Sans, Ink::Soft);
    }
    let left = columns.left(5);
    paper.put(Line::new((left, paper.y), (left, paper.y + LINE), Stroke::HAIR));
}
