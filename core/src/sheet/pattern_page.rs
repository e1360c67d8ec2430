//! Patterns that were judged with one common shift: the picture as the functional gauge sees them,
//! what was moved, the datum features of size and the members.

use super::paper::{Paper, STEP, size};
use super::table::{Align, Head, Table};
use crate::findings::{PatternFinding, PieceFinding};
use crate::mark::{Cell, Face, Ink, Text, control_frame, control_frame_width, wrap};
use crate::picture::frame_cells;
use crate::picture::{PatternOptions, gauge};
use crate::show::{PatternText, factor, pattern_text, percent};

/// The picture.
const PICTURE: (f64, f64) = (118.0, 76.0);
const HEADING: &str = "Patterns";

pub(super) fn put(paper: &mut Paper<'_>, finding: &PieceFinding) {
    for (index, pattern) in finding.patterns.iter().enumerate() {
        let Some(text) = pattern_text(index, finding, paper.job) else { continue };
        let need = PICTURE.1 + 14.0;
        if index == 0 {
            paper.section(HEADING, need);
        } else if !paper.make_room(need + 4.0) {
            paper.y += 4.0;
        }
        one(paper, finding, index, pattern, &text);
    }
}

fn one(
    paper: &mut Paper<'_>,
    finding: &PieceFinding,
    index: usize,
    pattern: &PatternFinding,
    text: &PatternText,
) {
    let x = paper.left();
    let room = paper.room();
    for line in wrap(Face::SansBold, &text.name, size::TEXT, room) {
        paper.y += STEP;
        paper.put(Text::new((x, paper.y - 0.6), line, size::TEXT).bold());
    }
    paper.y += 0.8;
    let high = frames(paper, pattern, index, finding, (x, paper.y));
    paper.y += high;
    let top = paper.y;
    let (wide, high) = PICTURE;
    let options = PatternOptions {
        width_mm: wide,
        height_mm: high,
        text_mm: super::first_page::LETTERS,
        ..PatternOptions::default()
    };
    let picture = gauge(paper.job, finding, index, &options);
    paper.put_at(x, top, picture.marks);
    let mut below = top + high + 1.0;
    for line in wrap(Face::Sans, &picture.caption, size::SMALL, wide) {
        below += size::SMALL * 1.3;
        paper.put(Text::new((x + wide / 2.0, below), line, size::SMALL).middle().ink(Ink::Soft));
    }
    let beside = words(paper, pattern, text, x + wide + 6.0, top);
    paper.y = below.max(beside) + 1.5;
    datums(paper, text);
    members(paper, text);
}

/// The callout of every segment in the pattern, alike ones once, from a corner; how high they stand.
fn frames(
    paper: &mut Paper<'_>,
    pattern: &PatternFinding,
    index: usize,
    finding: &PieceFinding,
    (left, top): (f64, f64),
) -> f64 {
    let height = 4.2;
    let mut seen: Vec<Vec<Cell>> = Vec::new();
    for feature in &pattern.members {
        let (Some(found), Some(one)) =
            (finding.features.get(*feature), paper.job.drawing.features.get(*feature))
        else {
            continue;
        };
        for p in pattern.segments(index, found) {
            let cells = frame_cells(one, &paper.job.drawing, p.segment);
            if !cells.is_empty() && !seen.contains(&cells) {
                seen.push(cells);
            }
        }
    }
    let (mut x, mut y) = (left, top);
    for cells in &seen {
        let wide = control_frame_width(height, cells);
        if x + wide > paper.right() && x > left {
            (x, y) = (left, y + height + 1.0);
        }
        let (marks, _) = control_frame((x, y), height, cells);
        for mark in marks {
            paper.put(mark);
        }
        x += wide + 3.0;
    }
    if seen.is_empty() { 0.0 } else { y - top + height + 2.0 }
}

/// Verdict, movement, margin and sentence beside the picture; gives the y below them.
fn words(
    paper: &mut Paper<'_>,
    pattern: &PatternFinding,
    text: &PatternText,
    x: f64,
    top: f64,
) -> f64 {
    let room = paper.right() - x;
    let mut y = top + 2.5;
    if let Some(sign) = text.verdict.sign() {
        paper.put(sign.draw((x + 1.3, y - 0.9), 2.6));
        paper.put(Text::new((x + 4.2, y), text.verdict.words(), size::TEXT).bold());
        y += 1.0;
    }
    y = paper.paragraph(x, y, room, &text.sentence, Ink::Ink);
    let mut facts = Vec::new();
    if !text.margin.is_empty() {
        let mut margin = format!("Margin of the pattern {}", text.margin);
        match text.sure.as_ref().zip(pattern.proof) {
            Some(((expanded, probability), proof)) => margin.push_str(&format!(
                ", uncertainty ±{expanded} (k = {}), probability that it conforms {}.",
                factor(proof.coverage),
                percent(*probability)
            )),
            None => margin.push_str("; its uncertainty is not known."),
        }
        facts.push(margin);
        facts.push(
            "All members are moved as one body, as the part would be on a functional gauge: turned \
             about the origin of the drawing, then shifted, while every datum feature of size stays \
             inside its boundary. Of all such shifts this one leaves the worst member the most."
                .to_owned(),
        );
    }
    for fact in facts {
        y = paper.paragraph(x, y + 0.6, room, &fact, Ink::Ink);
    }
    y
}

fn datums(paper: &mut Paper<'_>, text: &PatternText) {
    let figure = |head: &str| Head::new(head, Align::Decimal);
    let mut table = Table::new(vec![
        Head::new("datum", Align::Left),
        Head::new("feature", Align::Left),
        figure("boundary"),
        figure("size used\nfor bonus"),
        figure("clearance"),
        figure("before\ndX"),
        figure("before\ndY"),
        figure("after\ndX"),
        figure("after\ndY"),
        Head::new("", Align::Left),
    ]);
    for d in &text.datums {
        let [bx, by] = d.before.clone();
        let [ax, ay] = d.after.clone();
        let clearance = if d.boundary.is_empty() { String::new() } else { d.clearance.clone() };
        let held = match (d.holds, d.boundary.is_empty()) {
            (true, _) => super::table::Cell::from("holds").bold(),
            (false, true) => "regardless of size".into(),
            (false, false) => "".into(),
        };
        table.row(vec![
            d.letter.clone().into(),
            d.feature.clone().into(),
            d.boundary.clone().into(),
            d.size.clone().into(),
            clearance.into(),
            bx.into(),
            by.into(),
            ax.into(),
            ay.into(),
            held,
        ]);
    }
    put_table(paper, &table);
}

fn members(paper: &mut Paper<'_>, text: &PatternText) {
    let figure = |head: &str| Head::new(head, Align::Decimal);
    let mut table = Table::new(vec![
        Head::new("member", Align::Left),
        figure("before\ndX"),
        figure("before\ndY"),
        figure("after\ndX"),
        figure("after\ndY"),
        figure("position"),
        figure("allowed"),
        figure("margin"),
        Head::new("", Align::Left),
    ]);
    for m in &text.members {
        let [bx, by] = m.before.clone();
        let [ax, ay] = m.after.clone();
        let held = match (m.missing, m.holds) {
            (true, _) => "missing".into(),
            (false, true) => super::table::Cell::from("holds").bold(),
            (false, false) => "".into(),
        };
        table.row(vec![
            m.name.clone().into(),
            bx.into(),
            by.into(),
            ax.into(),
            ay.into(),
            m.position.clone().into(),
            m.allowed.clone().into(),
            m.margin.clone().into(),
            held,
        ]);
    }
    put_table(paper, &table);
}

fn put_table(paper: &mut Paper<'_>, table: &Table) {
    if table.is_empty() {
        return;
    }
    let room = paper.room();
    paper.y += 2.0;
    paper.make_room(table.first(room));
    table.put(paper, paper.left(), room);
}
