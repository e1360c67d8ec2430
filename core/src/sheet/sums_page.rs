//! The zones, and beside each the sum that led to its verdict: for a reader with a calculator.

use super::paper::Paper;
use crate::callout::Verdict;
use crate::findings::{FeatureFinding, PieceFinding};
use crate::job::Feature;
use crate::mark::{Face, Ink, Line, Stroke, Text, fit, width, wrap};
use crate::picture::zone;
use crate::show::{SumLine, feature_name, requirement, sentence, sum};

/// Up to this many features are all shown; of larger jobs only those that do not conform, or
/// conform by their bonus or by the shift of their pattern.
const ALL_UP_TO: usize = 24;
/// Columns of cells on a page.
const COLUMNS: usize = 2;
/// Height of a cell at least.
const CELL: f64 = 57.0;
/// Side of a zone's picture.
const ZONE: f64 = 38.0;
/// Text of the sum, and from one line of it to the next.
const SMALL: f64 = 2.2;
const STEP: f64 = SMALL * 1.4;
/// Lines of a sum in one cell; what is longer goes on in the next one.
const MOST: usize = 48;
/// Text of the sentence, and from one line of it to the next.
const SAYS: f64 = 2.3;
const SAYS_STEP: f64 = 3.1;

pub(super) fn put(paper: &mut Paper<'_>, finding: &PieceFinding) {
    let job = paper.job;
    let judged: Vec<(usize, &FeatureFinding, &Feature)> = finding
        .features
        .iter()
        .zip(&job.drawing.features)
        .enumerate()
        .map(|(i, (finding, feature))| (i, finding, feature))
        .filter(|(_, finding, _)| finding.position.is_some())
        .collect();
    let all = judged.len() <= ALL_UP_TO;
    let shifted = !finding.patterns.is_empty();
    let room = paper.room() / 2.0 - 5.0;
    let shown: Vec<Sum<'_>> = judged
        .into_iter()
        .filter(|(_, f, _)| {
            all || f.verdict == Verdict::DoesNotConform
                || f.positions().any(|p| p.by_bonus || p.by_shift())
        })
        .flat_map(|(index, found, feature)| {
            let lines = sum(found, feature, job, &finding.patterns);
            let says = wrap(Face::Sans, &sentence(found, feature, job), SAYS, room);
            let last = lines.len().saturating_sub(1) / MOST;
            let part = |(n, lines): (usize, &[SumLine])| Sum {
                index,
                finding: found,
                feature,
                continued: n > 0,
                lines: lines.to_vec(),
                says: if n == last { says.clone() } else { Vec::new() },
            };
            lines.chunks(MOST).enumerate().map(part).collect::<Vec<_>>()
        })
        .collect();
    let heading = match (all, shifted) {
        (true, _) => "Zones and sums",
        (false, false) => "Zones and sums of what does not conform, or only by its bonus",
        (false, true) => "Zones and sums of what does not conform, or only by its bonus or shift",
    };
    let mut begun = false;
    for sums in shown.chunks(COLUMNS) {
        let height = sums.iter().map(Sum::height).fold(CELL, f64::max);
        if !begun || paper.y + height > paper.bottom() + 4.0 {
            paper.begin(heading);
            begun = true;
        }
        for (column, sum) in sums.iter().enumerate() {
            sum.put(paper, column);
        }
        paper.y += height;
    }
}

/// What stands in a cell.
struct Sum<'a> {
    index: usize,
    finding: &'a FeatureFinding,
    feature: &'a Feature,
    /// It goes on from the cell before.
    continued: bool,
    lines: Vec<SumLine>,
    says: Vec<String>,
}

impl Sum<'_> {
    /// Where the sentence begins, from the top of the cell.
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    fn sentence_at(&self) -> f64 {
        let heads = self.lines.iter().filter(|l| l.is_head()).count() as f64;
        let sum = 7.6 + self.lines.len() as f64 * STEP + heads;
        (6.5 + ZONE + 1.0).max(sum) + 1.5
    }

    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    fn height(&self) -> f64 {
        self.sentence_at() + self.says.len() as f64 * SAYS_STEP + 2.0
    }

    fn put(&self, paper: &mut Paper<'_>, column: usize) {
        #[expect(clippy::cast_precision_loss, reason = "a few columns")]
        let (n, of) = (column as f64, COLUMNS as f64);
        let wide = paper.room() / of;
        let (x, top) = (paper.left() + n * wide, paper.y);
        let room = wide - 5.0;
        let job = paper.job;
        let name = feature_name(self.feature);
        let name = if self.continued { format!("{name}, continued") } else { name };
        paper.put(Text::new((x, top + 3.2), &name, 2.8).bold());
        let after = x + width(Face::SansBold, &name, 2.8) + 2.0;
        let asked =
            fit(Face::Sans, &requirement(self.feature, &job.drawing), 2.3, x + room - after);
        paper.put(Text::new((after, top + 3.2), asked, 2.3));
        paper.put(Line::new((x, top + 4.6), (x + room, top + 4.6), Stroke::HAIR));
        if !self.continued {
            paper.put_at(x, top + 6.5, zone(job, self.index, self.finding, ZONE));
        }
        let mut y = top + 7.6;
        let left = x + ZONE + 2.0;
        let labels = 22.0;
        for line in &self.lines {
            if line.is_head() {
                y += 1.0;
                let head = fit(Face::SansBold, &line.label, SMALL, x + room - left + 2.0);
                paper.put(Text::new((left, y), head, SMALL).bold());
                y += STEP;
                continue;
            }
            paper.put(
                Text::new((left, y), fit(Face::Sans, &line.label, SMALL, labels), SMALL)
                    .ink(Ink::Soft),
            );
            paper.put(Text::new((left + labels + 10.0, y), &line.value, SMALL).end());
            let how_at = left + labels + 11.5;
            let how = fit(Face::Sans, &line.how, SMALL, x + room - how_at + 2.0);
            paper.put(Text::new((how_at, y), how, SMALL).ink(Ink::Soft));
            y += STEP;
        }
        let mut y = top + self.sentence_at();
        for line in &self.says {
            paper.put(Text::new((x, y), line, SAYS));
            y += SAYS_STEP;
        }
    }
}
