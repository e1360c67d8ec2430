//! The blank sheet for the bench: expected heights and room to write.

use super::orientation_page::set_up;
use super::paper::{Paper, size};
use super::table::{Align, Cell, Head, Table};
use crate::bench::VirtualLimit;
use crate::findings::{Planned, Ready};
use crate::job::{Orientation, Touch};
use crate::mark::{Group, Ink, Line, Stroke, Tag, Text};
use crate::picture::{StandingOptions, standing};
use crate::show::{Figures, feature_name, relation_text};

/// From one line to the next: room for a pen.
const LINE: f64 = 6.4;
/// Width and height of the picture.
const PICTURE: (f64, f64) = (82.0, 66.0);
/// What is written by hand under it.
const WRITTEN: [&str; 5] =
    ["zero checked at start", "zero at end", "serial", "inspector, date", "temperature"];

pub(super) fn put(paper: &mut Paper<'_>, ready: &Ready<'_>) {
    for planned in &ready.orientations {
        orientation(paper, planned);
    }
    if ready.orientations.is_empty() {
        paper.begin("Bench sheet");
        paper
            .columns(&["The plan has no orientation yet. Add one on the Bench screen.".to_owned()]);
    }
}

fn orientation(paper: &mut Paper<'_>, planned: &Planned) {
    let job = paper.job;
    let Some(orientation) = job.orientation(planned.number) else { return };
    let table = table(paper, orientation, planned);
    let x = paper.left() + PICTURE.0 + 5.0;
    let room = paper.right() - x;
    // As long as a page holds it, it is not torn apart.
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let beside = PICTURE.1 + WRITTEN.len() as f64 * LINE + 2.0;
    let high = table.all(room).max(beside);
    let heading = format!("Orientation {}: to be measured", planned.number);
    paper.section(&heading, high);
    let (page, top) = (paper.count(), paper.y);
    let options = StandingOptions {
        width: PICTURE.0,
        height: PICTURE.1,
        text: size::TEXT,
        ..StandingOptions::default()
    };
    paper.put_at(
        paper.left(),
        top,
        vec![Group::new(Tag::new("standing"), standing(job, orientation, &options)).into()],
    );
    let mut y = top + PICTURE.1;
    for label in WRITTEN {
        y += LINE;
        let x = paper.left();
        paper.put(Text::new((x, y), label, size::SMALL).ink(Ink::Soft));
        paper.put(Line::new((x + 30.0, y + 0.6), (x + PICTURE.0, y + 0.6), Stroke::HAIR));
    }
    if !table.is_empty() {
        table.put(paper, x, room);
    }
    if paper.count() == page {
        paper.y = paper.y.max(top + beside);
    }
    let mut texts = vec![set_up(job, orientation)];
    texts.extend(CAUTIONS.map(str::to_owned));
    paper.y += 1.5;
    paper.columns(&texts);
}

/// The requirements between features, with room to write.
pub(super) fn relations(paper: &mut Paper<'_>) {
    let drawing = &paper.job.drawing;
    if drawing.relations.is_empty() {
        return;
    }
    let mut table = Table::new(vec![
        Head::new("line", Align::Left).least(14.0),
        Head::new("asked", Align::Left),
        Head::new("note", Align::Left),
        Head::new("found", Align::Left).least(60.0),
    ])
    .step(LINE - 1.0);
    for relation in &drawing.relations {
        table.row(vec![
            Cell::from(relation.number.as_str()).bold(),
            relation_text(&relation.kind, drawing).into(),
            relation.note.as_str().into(),
            "".into(),
        ]);
    }
    let room = paper.room();
    paper.section("Requirements between features", table.first(room));
    table.put(paper, paper.left(), room);
}

/// The usual cautions at the plate.
pub(super) const CAUTIONS: [&str; 3] = [
    "Clamp a tall or heavy part to the angle plate before it is turned.",
    "Keep fingers out from under a motorised carriage.",
    "Deburr and clean before touching; let part and plate come to one temperature.",
];

/// Every touch with what the gauge should show, and a cell to write in.
fn table(paper: &Paper<'_>, orientation: &Orientation, planned: &Planned) -> Table {
    let job = paper.job;
    let f = Figures::of_readings(job, orientation);
    let unit = f.unit.word();
    let limited = planned.expected.iter().any(|e| e.limit.is_some());
    let mut heads = vec![
        Head::new("feature", Align::Left).least(20.0),
        Head::new("touch", Align::Left),
        Head::new("", Align::Left),
        Head::new(format!("expected\n{unit}"), Align::Decimal),
    ];
    if limited {
        heads.push(Head::new("must not pass\n(virtual condition)", Align::Decimal));
    }
    heads.push(Head::new(format!("read\n{unit}"), Align::Left).least(46.0));
    let mut table = Table::new(heads).step(LINE - 1.0);
    // A touch without a feature before it says nothing.
    table.tied = |row| row.first().is_some_and(Cell::is_empty);
    let mut last = usize::MAX;
    for e in &planned.expected {
        let Some(feature) = job.drawing.features.get(e.feature) else { continue };
        let name = if e.feature == last { String::new() } else { feature_name(feature) };
        last = e.feature;
        let how = match e.touch {
            Touch::Centre | Touch::Size => "",
            _ => e.contact.words(),
        };
        let expected = e.raw.map(|raw| match e.touch {
            Touch::Size => f.plain(raw),
            _ => f.signed(raw),
        });
        let mut cells = vec![
            Cell::from(name).bold(),
            e.touch.word().into(),
            how.into(),
            expected.unwrap_or_default().into(),
        ];
        if limited {
            let limit = e.limit.map(|limit| match limit {
                VirtualLimit::AtMost(raw) => format!("≤ {}", f.signed(raw)),
                VirtualLimit::AtLeast(raw) => format!("≥ {}", f.signed(raw)),
            });
            cells.push(limit.unwrap_or_default().into());
        }
        cells.push("".into());
        table.row(cells);
    }
    table
}
