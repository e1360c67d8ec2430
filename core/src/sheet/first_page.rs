//! The first page: the verdict, the table, the picture, what it rests on, and the title block.

use super::paper::{Paper, size};
use super::{findings_table, title_block};
use crate::callout::Verdict;
use crate::findings::{FeatureFinding, PieceFinding, Ready};
use crate::job::{Instrument, Job};
use crate::mark::{Ink, Text, VerdictSign};
use crate::picture::{PatternOptions, pattern};
use crate::quantity::Unit;
use crate::show::headline;

/// Height kept for picture and title block at the foot of the first page.
const FOOT: f64 = 88.0;

/// What no sheet decides; on every report.
pub(super) const LIMITS_OF_THIS_SHEET: &str = "Worked out from the readings and the drawing data stated here. The drawing, the governing \
     standard in its edition, the purchase order and the responsible quality authority decide; \
     parts on which safety depends are released only by those authorised to.";

pub(super) fn put(paper: &mut Paper<'_>, ready: &Ready<'_>, finding: &PieceFinding) {
    paper.begin(super::title_block::Purpose::Report.words());
    let sign = match finding.verdict {
        Verdict::Conforms => Some(VerdictSign::Conforms),
        Verdict::DoesNotConform => Some(VerdictSign::DoesNotConform),
        Verdict::NotMeasured => Some(VerdictSign::NotMeasured),
        Verdict::NotProven => Some(VerdictSign::NotProven),
        Verdict::CannotBeJudged => Some(VerdictSign::CannotBeJudged),
        Verdict::NothingAsked => None,
    };
    let y = paper.y + 2.6;
    let mut x = paper.left();
    if let Some(sign) = sign {
        paper.put(sign.draw((x + 1.6, y - 1.1), 3.2));
        x += 5.0;
    }
    let words = match finding.verdict {
        Verdict::NothingAsked => headline(finding),
        verdict => format!(
            "{}: the piece {}",
            headline(finding),
            match verdict {
                Verdict::Conforms => "conforms in what was asked here",
                Verdict::DoesNotConform => "does not conform",
                Verdict::NotMeasured => "is not fully measured",
                Verdict::NotProven => "is not proven either way by the decision rule",
                _ => "cannot be judged in full",
            }
        ),
    };
    paper.put(Text::new((x, y), words, 3.0).bold());
    paper.y += 5.0;
    for reserve in reserves(paper.job, finding) {
        let (left, width) = (paper.left(), paper.border_right() - paper.left() - 3.0);
        paper.y = paper.paragraph(left, paper.y + 1.0, width, &reserve, Ink::Ink);
    }
    let floor = paper.border_bottom() - FOOT;
    let first = FirstFoot { top: floor + 2.0 };
    first.put(paper, ready, finding);
    findings_table::put(paper, ready, (&finding.features, &finding.relations), floor);
}

/// What the verdicts are subject to: readings that contradict each other, gauges of which nothing is
/// known.
fn reserves(job: &Job, finding: &PieceFinding) -> Vec<String> {
    let m = &finding.measurement;
    let mut list = Vec::new();
    if m.contradictory {
        list.push(format!(
            "Readings contradict each other (chi-square {:.1}, {} degrees of freedom): all verdicts are \
             subject to that. Uncertainties of places were raised by the factor {:.1}.",
            m.chi_square,
            m.degrees,
            m.variance_factor.sqrt()
        ));
    }
    let unknown = m.touch.iter().filter(|t| !t.known);
    let names = unknown.filter_map(|t| job.plan.instruments.get(t.instrument));
    let names: Vec<String> = names.map(Instrument::called).collect();
    if !names.is_empty() {
        list.push(format!(
            "Uncertainty not known: neither an error limit nor a repeatability is stated for {}.",
            names.join(", ")
        ));
    }
    list
}

/// Picture and words at the foot of the first page. Placed before the table, since the table
/// may go on to further pages.
struct FirstFoot {
    top: f64,
}

impl FirstFoot {
    fn put(&self, paper: &mut Paper<'_>, ready: &Ready<'_>, finding: &PieceFinding) {
        let right = paper.border_right() - title_block::WIDTH;
        let bottom = paper.border_bottom() - 3.0;
        let room = right - paper.left() - 4.0;
        let options = PatternOptions {
            width_mm: room,
            height_mm: bottom - self.top - 5.0,
            text_mm: 2.6,
            ..PatternOptions::default()
        };
        let picture = pattern(paper.job, Some(finding), &options);
        let (x, y) = (paper.left(), self.top);
        paper.put_at(x, y, picture.marks);
        paper.put(
            Text::new((x + room / 2.0, bottom), picture.caption, size::SMALL)
                .middle()
                .ink(Ink::Soft),
        );
        let x = right + 1.2;
        let room = title_block::WIDTH - 5.0;
        let mut y = self.top - 1.0;
        let plural = match paper.job.drawing.unit {
            Unit::Mm => "millimetres",
            Unit::Inch => "inches",
        };
        let stopped = ready.problems.iter().chain(&finding.problems).count();
        let asked = finding.questions.len();
        let mut positions = finding.features.iter().flat_map(FeatureFinding::positions);
        let shifted =
            if positions.any(|p| p.shifted.is_some()) { " Shifted: see Patterns." } else { "" };
        let mut notes = vec![
            format!(
                "All figures in {plural}. Deviations are measured minus basic; position is a diameter, twice \
                 the radius. Verdicts are reached on unrounded values.{shifted}"
            ),
            format!(
                "Decision rule: {}",
                paper.job.plan.decision_rule.sentence(paper.job.plan.coverage)
            ),
            super::uncertainty_page::in_short(paper.job, finding),
        ];
        if stopped + asked > 0 {
            notes.push(format!(
                "{} on the last page.",
                match (stopped, asked) {
                    (0, 1) => "One reading is in question: see".to_owned(),
                    (0, n) => format!("{n} readings are in question: see"),
                    (_, 0) => "Remarks on the set-up: see".to_owned(),
                    (_, n) => format!("Remarks on the set-up, and {n} readings in question: see"),
                }
            ));
        }
        notes.push(LIMITS_OF_THIS_SHEET.to_owned());
        for note in notes {
            y = paper.paragraph(x, y, room, &note, Ink::Ink) - 0.2;
        }
    }
}
