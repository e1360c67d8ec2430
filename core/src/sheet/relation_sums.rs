//! The sums of the relations, for a reader with a calculator.

use super::paper::Paper;
use crate::callout::{RelationFinding, Verdict};
use crate::job::Relation;
use crate::mark::{Face, Ink, Line, Stroke, Text, fit, width, wrap};
use crate::show::{SumLine, relation_sentence, relation_sum, relation_text};

/// Up to this many lines are all shown; of more only those that do not conform.
const ALL_UP_TO: usize = 24;
/// Columns of sums on a page.
const COLUMNS: usize = 2;
/// Text of the sum.
const SMALL: f64 = 2.2;
/// From one line of a sum to the next.
const STEP: f64 = SMALL * 1.4;
/// Most lines of one sum: a page holds no more. The rest is on the screen.
const MOST: usize = 44;
/// Room under a sum.
const GAP: f64 = 5.0;

struct Sum<'a> {
    relation: &'a Relation,
    lines: Vec<SumLine>,
    more: usize,
    sentence: Vec<String>,
}

impl Sum<'_> {
    #[allow(clippy::cast_precision_loss, reason = "a page of lines")]
    fn height(&self) -> f64 {
        let lines = self.lines.len() + usize::from(self.more > 0);
        7.6 + lines as f64 * STEP + 1.5 + self.sentence.len() as f64 * 3.1 + GAP
    }
}

/// The sums, in two columns.
pub(super) fn put(paper: &mut Paper<'_>, relations: &[RelationFinding]) {
    let job = paper.job;
    let all = relations.len() <= ALL_UP_TO;
    let room = paper.room() / 2.0 - 5.0;
    let sums: Vec<Sum<'_>> = relations
        .iter()
        .zip(&job.drawing.relations)
        .filter(|(found, _)| {
            found.measured.is_some() && (all || found.verdict == Verdict::DoesNotConform)
        })
        .map(|(found, relation)| {
            let mut lines = relation_sum(found, job);
            let more = lines.len().saturating_sub(MOST);
            // Limits and margin stand at the end, and stay.
            if more > 0 {
                let from = MOST.saturating_sub(2);
                lines.drain(from..from + more);
            }
            let sentence = wrap(Face::Sans, &relation_sentence(found, relation, job), 2.3, room);
            Sum { relation, lines, more, sentence }
        })
        .collect();
    let heading = if all { "Sums of the lines" } else { "Sums of the lines that do not conform" };
    let mut begun = false;
    let mut high = 0.0;
    for pair in sums.chunks(COLUMNS) {
        let next = pair.iter().map(Sum::height).fold(0.0, f64::max);
        if !begun || paper.y + high + next > paper.bottom() + GAP {
            paper.begin(heading);
            begun = true;
        } else {
            paper.y += high;
        }
        high = next;
        for (column, sum) in pair.iter().enumerate() {
            #[allow(clippy::cast_precision_loss, reason = "two columns")]
            let x = paper.left() + column as f64 * paper.room() / 2.0;
            one(paper, x, room, sum);
        }
    }
}

fn one(paper: &mut Paper<'_>, x: f64, room: f64, sum: &Sum<'_>) {
    let top = paper.y;
    let name = format!("line {}", sum.relation.number);
    paper.put(Text::new((x, top + 3.2), &name, 2.8).bold());
    let after = x + width(Face::SansBold, &name, 2.8) + 2.0;
    let asked = relation_text(&sum.relation.kind, &paper.job.drawing);
    paper.put(Text::new((after, top + 3.2), fit(Face::Sans, &asked, 2.3, x + room - after), 2.3));
    paper.put(Line::new((x, top + 4.6), (x + room, top + 4.6), Stroke::HAIR));
    let mut y = top + 7.6;
    let labels = 40.0;
    let figures = 16.0;
    for line in &sum.lines {
        paper.put(
            Text::new((x, y), fit(Face::Sans, &line.label, SMALL, labels - 1.0), SMALL)
                .ink(Ink::Soft),
        );
        paper.put(Text::new((x + labels + figures, y), &line.value, SMALL).end());
        let how_at = x + labels + figures + 1.5;
        let how = fit(Face::Sans, &line.how, SMALL, x + room - how_at + 2.0);
        paper.put(Text::new((how_at, y), how, SMALL).ink(Ink::Soft));
        y += STEP;
    }
    if sum.more > 0 {
        let says = format!("{} further steps of the sum are left out here", sum.more);
        paper.put(Text::new((x, y), says, SMALL).ink(Ink::Soft));
        y += STEP;
    }
    y += 1.5;
    for line in &sum.sentence {
        paper.put(Text::new((x, y), line, 2.3));
        y += 3.1;
    }
}
