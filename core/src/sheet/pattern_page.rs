//! Patterns that were judged with one common shift: the picture as the functional gauge sees them,
//! what was moved, the datum features of size and the members.

use super::column::{Align, Column, Columns};
use super::paper::{Paper, size};
use crate::callout::Verdict;
use crate::findings::{PatternFinding, PieceFinding};
use crate::mark::{
    Cell, Face, Ink, Text, VerdictSign, control_frame, control_frame_width, width, wrap,
};
use crate::picture::frame_cells;
use crate::picture::{PatternOptions, gauge};
use crate::show::{Figures, PatternText, pattern_text, percent};

/// Height of one line of a table.
const LINE: f64 = 4.4;
/// The picture.
const PICTURE: (f64, f64) = (118.0, 76.0);
const HEADING: &str = "Patterns";

pub(super) fn put(paper: &mut Paper<'_>, finding: &PieceFinding) {
    for (index, pattern) in finding.patterns.iter().enumerate() {
        let Some(text) = pattern_text(index, finding, paper.job) else { continue };
        let lines = text.members.len().min(12) + text.datums.len();
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let height = PICTURE.1 + 40.0 + lines as f64 * LINE;
        if index == 0 {
            paper.begin(HEADING);
        } else if paper.y + height > paper.bottom() {
            begin_again(paper);
        } else {
            paper.y += 6.0;
        }
        one(paper, finding, index, pattern, &text);
    }
}

fn begin_again(paper: &mut Paper<'_>) {
    paper.begin(&format!("{HEADING}, continued"));
}

fn one(
    paper: &mut Paper<'_>,
    finding: &PieceFinding,
    index: usize,
    pattern: &PatternFinding,
    text: &PatternText,
) {
    let x = paper.left();
    let y = paper.y + 3.0;
    paper.put(Text::new((x, y), &text.name, 2.9).bold());
    let after = x + width(Face::SansBold, &text.name, 2.9) + 4.0;
    frames(paper, pattern, index, finding, after, y - 3.0);
    paper.y += 6.5;
    let top = paper.y;
    let (wide, high) = PICTURE;
    let options = PatternOptions {
        width_mm: wide,
        height_mm: high,
        text_mm: 2.4,
        ..PatternOptions::default()
    };
    let picture = gauge(paper.job, finding, index, &options);
    paper.put_at(x, top, picture.marks);
    let mut below = top + high + 1.0;
    for line in wrap(Face::Sans, &picture.caption, size::SMALL, wide) {
        below += size::SMALL * 1.3;
        paper.put(Text::new((x + wide / 2.0, below), line, size::SMALL).middle().ink(Ink::Soft));
    }
    let beside = words(paper, text, x + wide + 6.0, top);
    paper.y = below.max(beside) + 1.5;
    datums(paper, text);
    members(paper, text);
}

/// The callout of every segment in the pattern, alike ones once.
fn frames(
    paper: &mut Paper<'_>,
    pattern: &PatternFinding,
    index: usize,
    finding: &PieceFinding,
    x: f64,
    y: f64,
) {
    let height = 4.0;
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
    let mut x = x;
    for cells in seen {
        let wide = control_frame_width(height, &cells);
        if x + wide > paper.right() {
            break;
        }
        let (marks, _) = control_frame((x, y), height, &cells);
        for mark in marks {
            paper.put(mark);
        }
        x += wide + 3.0;
    }
}

/// Verdict, movement, margin and sentence beside the picture; gives the y below them.
fn words(paper: &mut Paper<'_>, text: &PatternText, x: f64, top: f64) -> f64 {
    let room = paper.right() - x;
    let mut y = top + 2.5;
    let sign = match text.verdict {
        Verdict::Conforms => Some(VerdictSign::Conforms),
        Verdict::DoesNotConform => Some(VerdictSign::DoesNotConform),
        Verdict::NotProven => Some(VerdictSign::NotProven),
        Verdict::NotMeasured => Some(VerdictSign::NotMeasured),
        Verdict::CannotBeJudged => Some(VerdictSign::CannotBeJudged),
        Verdict::NothingAsked => None,
    };
    if let Some(sign) = sign {
        paper.put(sign.draw((x + 1.3, y - 0.9), 2.6));
        paper.put(Text::new((x + 4.2, y), text.verdict.words(), size::TEXT + 0.2).bold());
        y += 1.0;
    }
    y = paper.paragraph(x, y, room, &text.sentence, Ink::Ink);
    let mut facts = Vec::new();
    if !text.margin.is_empty() {
        let mut margin = format!("Margin of the pattern {}", text.margin);
        match &text.sure {
            Some((expanded, probability)) => margin.push_str(&format!(
                ", uncertainty ±{expanded} (k = 2), probability that it conforms {}.",
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
    if text.datums.is_empty() {
        return;
    }
    let f = Figures::of_results(&paper.job.drawing).finer(1);
    let figure = |head: &str| Column::new(head, 21.0, Align::Decimal(f.decimals));
    let columns = Columns {
        columns: vec![
            Column::new("datum", 16.0, Align::Left),
            Column::new("feature", 28.0, Align::Left),
            figure("boundary"),
            figure("size\nthat counts"),
            figure("clearance"),
            figure("before\ndX"),
            figure("before\ndY"),
            figure("after\ndX"),
            figure("after\ndY"),
            Column::new("", 30.0, Align::Left),
        ],
        x: paper.left(),
    };
    table(paper, &columns, text.datums.len(), |i| {
        let d = text.datums.get(i)?;
        let [bx, by] = d.before.clone();
        let [ax, ay] = d.after.clone();
        Some(vec![
            d.letter.clone(),
            d.feature.clone(),
            d.boundary.clone(),
            d.size.clone(),
            if d.boundary.is_empty() { String::new() } else { d.clearance.clone() },
            bx,
            by,
            ax,
            ay,
            match (d.holds, d.boundary.is_empty()) {
                (true, _) => "holds",
                (false, true) => "regardless of size",
                (false, false) => "",
            }
            .to_owned(),
        ])
    });
}

fn members(paper: &mut Paper<'_>, text: &PatternText) {
    let f = Figures::of_results(&paper.job.drawing).finer(1);
    let figure = |head: &str| Column::new(head, 21.0, Align::Decimal(f.decimals));
    let columns = Columns {
        columns: vec![
            Column::new("member", 44.0, Align::Left),
            figure("before\ndX"),
            figure("before\ndY"),
            figure("after\ndX"),
            figure("after\ndY"),
            figure("position"),
            figure("allowed"),
            figure("margin"),
            Column::new("", 30.0, Align::Left),
        ],
        x: paper.left(),
    };
    table(paper, &columns, text.members.len(), |i| {
        let m = text.members.get(i)?;
        let [bx, by] = m.before.clone();
        let [ax, ay] = m.after.clone();
        Some(vec![
            m.name.clone(),
            bx,
            by,
            ax,
            ay,
            m.position.clone(),
            m.allowed.clone(),
            m.margin.clone(),
            match (m.missing, m.holds) {
                (true, _) => "missing",
                (false, true) => "holds",
                (false, false) => "",
            }
            .to_owned(),
        ])
    });
}

/// A table that goes on to further pages.
fn table(
    paper: &mut Paper<'_>,
    columns: &Columns,
    count: usize,
    row: impl Fn(usize) -> Option<Vec<String>>,
) {
    if paper.y + 10.0 + LINE > paper.bottom() {
        begin_again(paper);
    }
    paper.y += 3.5;
    columns.heads(paper);
    for cells in (0..count).filter_map(row) {
        if paper.y + LINE > paper.bottom() {
            begin_again(paper);
            columns.heads(paper);
        }
        let y = paper.y + LINE - 1.3;
        for (i, cell) in cells.iter().enumerate() {
            let held = i + 1 == cells.len() && cell == "holds";
            let face = if held { Face::SansBold } else { Face::Sans };
            columns.cell(paper, i, y, cell, face, Ink::Ink);
        }
        paper.y += LINE;
        columns.rule(paper, paper.y);
    }
}
