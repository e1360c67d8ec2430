//! The first page: the verdict, the table, the picture, what it rests on, and the title block.

use super::closing::CHANGES;
use super::paper::{Paper, STEP, size};
use super::{Extent, results_table, title_block};
use crate::callout::Verdict;
use crate::findings::{FeatureFinding, PieceFinding, Ready};
use crate::job::{Instrument, Job};
use crate::mark::{Face, Ink, Text, wrap};
use crate::picture::{Layout, PatternOptions, pattern};
use crate::quantity::Unit;
use crate::show::{
    capital, document_changes, feature_name, headline, piece_says, reason, relation_reason,
    relation_word,
};

/// Height of the picture at least.
const PICTURE: f64 = 62.0;
/// Height of picture and title block at most.
const LARGEST: f64 = 112.0;
/// Letters of the picture: those at its axes are 0.8 of it, and a label still.
pub(super) const LETTERS: f64 = size::SMALL / 0.8;
/// So many exceptions are said on the first page, in so many lines; all are in the table.
const MOST: usize = 8;
const LINES: usize = 16;
/// So much is left to the table under the exceptions.
const TABLE: f64 = 18.0;

/// What no sheet decides; on every report.
pub(super) const LIMITS_OF_THIS_SHEET: &str = "Worked out from the readings and the drawing data \
    stated here. The drawing, the applicable edition of the standard, the purchase order and the \
    responsible quality authority decide; safety-critical parts are released only by authorised \
    personnel.";

pub(super) fn put(
    paper: &mut Paper<'_>,
    ready: &Ready<'_>,
    finding: &PieceFinding,
    extent: Extent,
) {
    paper.begin(super::title_block::Purpose::Report.words());
    paper.bookmark_first(&piece_says(finding));
    let words = match finding.verdict {
        Verdict::NothingAsked => headline(finding),
        verdict => format!(
            "{}: the piece {}",
            headline(finding),
            match verdict {
                Verdict::Conforms => "conforms to the requirements listed",
                Verdict::DoesNotConform => "does not conform",
                Verdict::NotMeasured => "is not fully measured",
                Verdict::NotProven => "is not proven either way by the decision rule",
                _ => "cannot be judged in full",
            }
        ),
    };
    put_verdict(paper, finding.verdict, &words);
    let mut said = first_exceptions(paper.job, finding, paper.half());
    said.extend(reserves(paper.job, finding));
    said.extend(changed(paper.job, finding, extent));
    paper.columns(&said);
    let foot = Foot::of(paper, ready, finding, extent);
    let mut foot = foot;
    // A header or a reason may be so long that the notes have no room beside the title block.
    let most = paper.border_bottom() - paper.y - TABLE;
    let later = if foot.height > most { foot.leave_notes(paper) } else { Vec::new() };
    // Room that the table does not need is the picture's.
    let table = results_table::of(paper, finding);
    let spare = paper.border_bottom() - paper.y - table.all(paper.room()) - 4.0;
    foot.height = foot.height.max(spare.min(LARGEST));
    let floor = paper.border_bottom() - foot.height - 2.0;
    paper.keep_from(floor);
    foot.put(paper, finding, floor + 1.0);
    if !table.is_empty() {
        let (left, room) = (paper.left(), paper.room());
        table.put(paper, left, room);
    }
    let in_full = title_block::in_full(paper);
    if extent == Extent::Short && !in_full.is_empty() {
        paper.section(title_block::IN_FULL, 3.0 * STEP);
        paper.columns(&in_full);
    }
    if !later.is_empty() {
        paper.section("How this sheet is to be read", 3.0 * STEP);
        paper.columns(&later);
    }
}

/// A verdict over the whole with its sign, in large letters.
pub(super) fn put_verdict(paper: &mut Paper<'_>, verdict: Verdict, words: &str) {
    let y = paper.y + 2.6;
    let mut x = paper.left();
    if let Some(sign) = verdict.sign() {
        paper.put(sign.draw((x + 1.6, y - 1.1), 3.2));
        x += 5.0;
    }
    let room = paper.right() - x;
    for (n, line) in wrap(Face::SansBold, words, 3.2, room).into_iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let down = n as f64 * 4.2;
        paper.put(Text::new((x, y + down), line, 3.2).bold());
        paper.y = y + down;
    }
    paper.y += 2.4;
}

/// What does not conform, is not proven or cannot be judged, each with its reason; what does not conform
/// comes first.
pub(super) fn exceptions(job: &Job, finding: &PieceFinding) -> Vec<String> {
    let drawing = &job.drawing;
    let excepted = |verdict| {
        matches!(
            verdict,
            Verdict::DoesNotConform
                | Verdict::NotProven
                | Verdict::CannotBeJudged
                | Verdict::NotMeasured
        )
    };
    let told = |name: String, verdict: Verdict, why: String| {
        let colon = if why.is_empty() { "" } else { ": " };
        (verdict, format!("{name} {}{colon}{why}.", phrase(verdict)))
    };
    let features = finding.features.iter().zip(&drawing.features);
    let features = features
        .filter(|(f, _)| excepted(f.verdict))
        .map(|(f, feature)| told(feature_name(feature), f.verdict, reason(f, drawing)));
    let relations = finding.relations.iter().zip(&drawing.relations);
    let relations = relations.filter(|(r, _)| excepted(r.verdict)).map(|(r, relation)| {
        let word = relation_word(&relation.kind, drawing);
        let name = format!("Line {}, {word} of {},", relation.number, r.name);
        told(name, r.verdict, relation_reason(r, drawing))
    });
    let mut list: Vec<(Verdict, String)> = features.chain(relations).collect();
    list.sort_by_key(|(verdict, _)| *verdict != Verdict::DoesNotConform);
    list.into_iter().map(|(_, text)| capital(&text)).collect()
}

/// As many of the exceptions as the first page has room for, in columns so wide.
fn first_exceptions(job: &Job, finding: &PieceFinding, half: f64) -> Vec<String> {
    let all = exceptions(job, finding);
    let count = all.len();
    let mut lines = 0;
    let fits = |text: &String| {
        lines += wrap(Face::Sans, text, size::TEXT, half).len();
        lines <= LINES
    };
    let mut said: Vec<String> = all.into_iter().take(MOST).take_while(fits).collect();
    let more = count - said.len();
    if more > 0 {
        said.push(format!("And {more} more: see the table."));
    }
    said
}

const fn phrase(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::DoesNotConform => "does not conform",
        Verdict::NotProven => "is not proven either way",
        Verdict::NotMeasured => "is not fully measured",
        _ => "cannot be judged",
    }
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

/// That the drawing or the plan was changed after something was measured.
fn changed(job: &Job, finding: &PieceFinding, extent: Extent) -> Option<String> {
    let count = match document_changes(job, &finding.serial).len() {
        0 => return None,
        1 => "1 change".to_owned(),
        n => format!("{n} changes"),
    };
    let listed = match extent {
        Extent::Full => format!("listed under \u{201C}{CHANGES}\u{201D}"),
        Extent::Short => "listed in the full report".to_owned(),
    };
    Some(format!("Drawing or plan changed after the first reading: {count}, {listed}."))
}

/// Picture, notes and title block at the foot of the first page. Placed before the table, since the
/// table may go on to further pages.
struct Foot {
    notes: Vec<String>,
    height: f64,
}

impl Foot {
    fn of(paper: &Paper<'_>, ready: &Ready<'_>, finding: &PieceFinding, extent: Extent) -> Self {
        let notes = notes(paper.job, ready, finding, extent);
        let high: f64 = notes.iter().map(|n| paper.height_of(n, NOTES) - TIGHT).sum();
        let height = (title_block::height(paper) + high + 2.0).max(PICTURE);
        Self { notes, height }
    }

    /// Without its notes, which are given back.
    fn leave_notes(&mut self, paper: &Paper<'_>) -> Vec<String> {
        self.height = (title_block::height(paper) + 2.0).max(PICTURE);
        std::mem::take(&mut self.notes)
    }

    fn put(&self, paper: &mut Paper<'_>, finding: &PieceFinding, top: f64) {
        let right = paper.border_right() - title_block::WIDTH;
        let bottom = paper.border_bottom() - 2.0;
        let room = right - paper.left() - 3.0;
        let legend = legend(paper.job, finding);
        let options = |height| PatternOptions {
            width_mm: room,
            height_mm: height,
            text_mm: LETTERS,
            ..PatternOptions::default()
        };
        // What is written under the picture is known once the deviations are laid out.
        let layout = Layout::of(&paper.job.drawing, &options(bottom - top));
        let caption = layout.vectors(finding).caption;
        let mut lines = wrap(Face::Sans, &legend, size::SMALL, room);
        lines.extend(wrap(Face::Sans, &caption, size::SMALL, room));
        lines.retain(|l| !l.is_empty());
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let under = lines.len() as f64 * LEGEND;
        let picture = pattern(paper.job, Some(finding), &options(bottom - top - under - 1.0));
        let x = paper.left();
        paper.put_at(x, top, picture.marks);
        let mut y = bottom - under;
        for line in lines {
            y += LEGEND;
            let text = Text::new((x + room / 2.0, y - 0.6), line, size::SMALL);
            paper.put(text.middle().ink(Ink::Soft));
        }
        let high: f64 = self.notes.iter().map(|n| paper.height_of(n, NOTES) - TIGHT).sum();
        let mut y = paper.border_bottom() - title_block::height(paper) - high - 1.0;
        for note in &self.notes {
            y = paper.paragraph(right + 1.2, y, NOTES, note, Ink::Ink) - TIGHT;
        }
    }
}

/// Width of the notes over the title block.
const NOTES: f64 = title_block::WIDTH - 5.0;
/// They stand closer than other paragraphs.
const TIGHT: f64 = 0.5;
/// From one line of the legend to the next.
const LEGEND: f64 = size::SMALL * 1.3;

/// What the signs of the picture mean, as far as they are in it.
fn legend(job: &Job, finding: &PieceFinding) -> String {
    let positions = || finding.features.iter().flat_map(FeatureFinding::positions);
    let measured = |p: &&crate::callout::PositionFinding| p.position.is_some();
    let mut parts = Vec::new();
    if positions().filter(measured).any(|p| p.verdict != Verdict::DoesNotConform) {
        parts.push("dot: measured axis");
    }
    if positions().filter(measured).any(|p| p.verdict == Verdict::DoesNotConform) {
        parts.push("cross: outside its zone");
    }
    if job.drawing.datums.iter().any(|d| d.feature.is_some()) {
        parts.push("letter in a box: datum");
    }
    parts.join("; ")
}

fn notes(job: &Job, ready: &Ready<'_>, finding: &PieceFinding, extent: Extent) -> Vec<String> {
    let plural = match job.drawing.unit {
        Unit::Mm => "millimetres",
        Unit::Inch => "inches",
    };
    let stopped = ready.problems.iter().chain(&finding.problems).count();
    let asked = finding.questions.len();
    let mut positions = finding.features.iter().flat_map(FeatureFinding::positions);
    let shifted = match (positions.any(|p| p.shifted.is_some()), extent) {
        (false, _) => "",
        (true, Extent::Full) => " Shifted: see Patterns.",
        (true, Extent::Short) => " Shifted: moved with its pattern as one body.",
    };
    let at = match extent {
        Extent::Full => "see the last page",
        Extent::Short => "see the full sheet",
    };
    let remarks = match (stopped, asked) {
        (0, 0) => String::new(),
        (0, 1) => format!(" One reading is in question: {at}."),
        (0, n) => format!(" {n} readings are in question: {at}."),
        (_, 0) => format!(" Remarks on drawing and set-up: {at}."),
        (_, 1) => format!(" Remarks on the set-up, and one reading in question: {at}."),
        (_, n) => format!(" Remarks on the set-up, and {n} readings in question: {at}."),
    };
    vec![
        format!(
            "All figures in {plural}. Deviations are measured minus basic; position is a diameter, twice \
             the radius. Verdicts are reached on unrounded values.{shifted}"
        ),
        format!("Decision rule: {}", job.plan.decision_rule.sentence(job.plan.coverage)),
        format!("{}{remarks}", super::uncertainty_page::in_short(job, finding, extent)),
        LIMITS_OF_THIS_SHEET.to_owned(),
    ]
}
