//! The zones, and beside each the sum that led to its verdict: for a reader with a calculator.

use super::paper::Paper;
use crate::callout::Verdict;
use crate::findings::FeatureFinding;
use crate::job::Feature;
use crate::mark::{Face, Ink, Line, Stroke, Text, fit, width, wrap};
use crate::picture::zone;
use crate::show::{feature_name, requirement, sentence, sum};

/// Up to this many features are all shown; of larger jobs only those that do not conform, or
/// conform by their bonus.
const ALL_UP_TO: usize = 24;
/// Columns of cells on a page.
const COLUMNS: usize = 2;
/// Height of a cell.
const CELL: f64 = 57.0;
/// Side of a zone's picture.
const ZONE: f64 = 38.0;
/// Text of the sum.
const SMALL: f64 = 2.2;

pub(super) fn put(paper: &mut Paper<'_>, features: &[FeatureFinding]) {
    let job = paper.job;
    let judged: Vec<(usize, &FeatureFinding, &Feature)> = features
        .iter()
        .zip(&job.drawing.features)
        .enumerate()
        .map(|(i, (finding, feature))| (i, finding, feature))
        .filter(|(_, finding, _)| finding.position.is_some())
        .collect();
    let all = judged.len() <= ALL_UP_TO;
    let shown: Vec<_> = judged
        .into_iter()
        .filter(|(_, f, _)| {
            all || f.verdict == Verdict::DoesNotConform
                || f.position.as_ref().is_some_and(|p| p.by_bonus)
        })
        .collect();
    let heading = if all {
        "Zones and sums"
    } else {
        "Zones and sums of what does not conform, or only by its bonus"
    };
    for (row, features) in shown.chunks(COLUMNS).enumerate() {
        if row == 0 || paper.y + 2.0 * CELL > paper.bottom() + 4.0 {
            paper.begin(heading);
        } else {
            paper.y += CELL;
        }
        for (column, (index, finding, feature)) in features.iter().enumerate() {
            cell(paper, column, *index, finding, feature);
        }
    }
}

fn cell(
    paper: &mut Paper<'_>,
    column: usize,
    index: usize,
    finding: &FeatureFinding,
    feature: &Feature,
) {
    #[allow(clippy::cast_precision_loss, reason = "a few columns")]
    let (n, of) = (column as f64, COLUMNS as f64);
    let wide = paper.room() / of;
    let (x, top) = (paper.left() + n * wide, paper.y);
    let room = wide - 5.0;
    let job = paper.job;
    let name = feature_name(feature);
    paper.put(Text::new((x, top + 3.2), &name, 2.8).bold());
    let after = x + width(Face::SansBold, &name, 2.8) + 2.0;
    let asked = fit(Face::Sans, &requirement(feature, &job.drawing), 2.3, x + room - after);
    paper.put(Text::new((after, top + 3.2), asked, 2.3));
    paper.put(Line::new((x, top + 4.6), (x + room, top + 4.6), Stroke::HAIR));
    paper.put_at(x, top + 6.5, zone(job, index, finding, ZONE));
    let mut y = top + 7.6;
    let left = x + ZONE + 2.0;
    let labels = 22.0;
    for line in sum(finding, feature, job) {
        paper.put(
            Text::new((left, y), fit(Face::Sans, &line.label, SMALL, labels), SMALL).ink(Ink::Soft),
        );
        paper.put(Text::new((left + labels + 10.0, y), &line.value, SMALL).end());
        let how_at = left + labels + 11.5;
        let how = fit(Face::Sans, &line.how, SMALL, x + room - how_at + 2.0);
        paper.put(Text::new((how_at, y), how, SMALL).ink(Ink::Soft));
        y += SMALL * 1.4;
    }
    let mut y = (top + 6.5 + ZONE + 1.0).max(y) + 1.5;
    for line in wrap(Face::Sans, &sentence(finding, feature, job), 2.3, room) {
        paper.put(Text::new((x, y), line, 2.3));
        y += 3.1;
    }
}
