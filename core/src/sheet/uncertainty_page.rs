//! How sure the results are: uncertainty and probability of every requirement, the budget of the
//! one that is least sure, and how the readings fit each other.

use super::column::{Align, Column, Columns};
use super::paper::{Paper, size};
use crate::callout::{PositionFinding, Proof, Verdict};
use crate::findings::{Budget, FeatureFinding, Measurement, PieceFinding, Ready};
use crate::job::{Coverage, Feature, Job};
use crate::mark::{Face, Ink, Text};
use crate::quantity::Length;
use crate::show::{Figures, budget_sum, budget_text, feature_name, percent};

/// Height of one line.
const LINE: f64 = 4.4;

/// The sentence for the first page.
pub(super) fn in_short(job: &Job, finding: &PieceFinding) -> String {
    let list = asked(job, finding);
    if list.iter().all(|a| a.proof.is_none()) {
        return "Measurement uncertainty was not evaluated for this sheet: neither an error limit nor a \
                repeatability of the gauge is entered."
            .to_owned();
    }
    let k = match job.plan.coverage {
        Coverage::Two => "with k = 2",
        Coverage::Effective => "to 95.45 %",
    };
    let mut text = format!(
        "Measurement uncertainty: expanded {k}, on its own page; verdicts by the decision rule."
    );
    let mut open = open_names(&list);
    let more = open.len().saturating_sub(NAMED);
    open.truncate(NAMED);
    if !open.is_empty() {
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        text.push_str(&format!(" Not evaluated for {}{more}: see there.", open.join(", ")));
    }
    text
}

/// How many features are named on the first page.
const NAMED: usize = 4;

/// The features with a requirement whose uncertainty was not evaluated.
fn open_names(list: &[Asked<'_>]) -> Vec<String> {
    let open = list.iter().filter(|a| a.proof.is_none());
    let mut names: Vec<String> = open.map(|a| feature_name(a.feature)).collect();
    names.dedup();
    names
}

/// Whose uncertainty was not evaluated, and for want of what; `None` where that of all was.
fn not_evaluated(job: &Job, finding: &PieceFinding, list: &[Asked<'_>]) -> Option<String> {
    let names = open_names(list);
    if names.is_empty() {
        return None;
    }
    let unknown = finding.measurement.touch.iter().filter(|t| !t.known);
    let gauges: Vec<&str> = unknown
        .filter_map(|t| job.plan.instruments.get(t.instrument))
        .map(|i| i.name.as_str())
        .collect();
    Some(format!(
        "The uncertainty was not evaluated for {}, which rest on readings of {}: neither an error limit \
         nor a repeatability of it is entered.",
        names.join(", "),
        if gauges.is_empty() { "an unknown gauge".to_owned() } else { gauges.join(", ") }
    ))
}

/// One requirement that was judged, with its proof where its uncertainty is known.
struct Asked<'a> {
    index: usize,
    feature: &'a Feature,
    finding: &'a FeatureFinding,
    what: &'static str,
    margin: Length,
    proof: Option<Proof>,
    verdict: Verdict,
}

impl Asked<'_> {
    /// Margin in uncertainties: the smaller, the less sure.
    fn sure(&self) -> f64 {
        let expanded = self.proof.map_or(f64::INFINITY, |p| p.expanded.to_mm());
        self.margin.abs().to_mm() / expanded.max(1e-12)
    }
}

fn asked<'a>(job: &'a Job, finding: &'a PieceFinding) -> Vec<Asked<'a>> {
    let mut list = Vec::new();
    let features = job.drawing.features.iter().zip(&finding.features);
    for (index, (feature, found)) in features.enumerate() {
        let position = found.position.as_ref();
        // Of what is shifted with its pattern, the proof is that of the pattern.
        let shared = |p: &PositionFinding| finding.patterns.get(p.shifted?.pattern)?.proof;
        let of_position =
            position.map(|p| ("position", p.margin, p.proof.or_else(|| shared(p)), p.verdict));
        let size = &found.size;
        let of_size = Some(("size", size.margin, size.proof, size.verdict));
        for (what, margin, proof, verdict) in [of_position, of_size].into_iter().flatten() {
            let judged =
                matches!(verdict, Verdict::Conforms | Verdict::DoesNotConform | Verdict::NotProven);
            let Some(margin) = margin.filter(|_| judged) else { continue };
            list.push(Asked { index, feature, finding: found, what, margin, proof, verdict });
        }
    }
    list
}

pub(super) fn put(paper: &mut Paper<'_>, ready: &Ready<'_>, index: usize, finding: &PieceFinding) {
    let list = asked(paper.job, finding);
    if list.iter().all(|a| a.proof.is_none()) {
        return;
    }
    let heading = "Uncertainty of the results";
    paper.begin(heading);
    results(paper, heading, &list);
    if let Some(open) = not_evaluated(paper.job, finding, &list) {
        if paper.y + 3.0 * LINE > paper.bottom() {
            paper.begin(&format!("{heading}, continued"));
        }
        let (x, y, room) = (paper.left(), paper.y + 1.5, paper.room().min(200.0));
        paper.y = paper.paragraph(x, y, room, &open, Ink::Ink);
    }
    let known = list.iter().filter(|a| a.what == "position" && a.proof.is_some());
    let least = known.min_by(|a, b| a.sure().total_cmp(&b.sure()));
    if let Some(least) = least
        && let Some(found) = ready.budget(index, least.index)
    {
        budget(paper, heading, least, &found);
    }
    fit(paper, heading, &finding.measurement);
}

fn results(paper: &mut Paper<'_>, heading: &str, list: &[Asked<'_>]) {
    let f = Figures::of_results(&paper.job.drawing).finer(1);
    let unit = f.unit.word();
    let x = paper.left();
    let effective = paper.job.plan.coverage == Coverage::Effective;
    let figures = |head: String| Column::new(head, 24.0, Align::Decimal(f.decimals));
    let columns = Columns {
        columns: vec![
            Column::new("feature", 26.0, Align::Left),
            Column::new("requirement", 24.0, Align::Left),
            figures(format!("u of x\n{unit}")),
            figures(format!("u of y\n{unit}")),
            figures(format!("margin\n{unit}")),
            if effective {
                Column::new(format!("U = k u (k)\n{unit}"), 34.0, Align::Left)
            } else {
                figures(format!("U, k = 2\n{unit}"))
            },
            Column::new("probability that\nit conforms", 28.0, Align::Right),
            Column::new("verdict by the rule", 46.0, Align::Left),
        ],
        x,
    };
    columns.heads(paper);
    for a in list {
        if paper.y + LINE > paper.bottom() {
            paper.begin(&format!("{heading}, continued"));
            columns.heads(paper);
        }
        let y = paper.y + LINE - 1.3;
        let mut cell = |i, text: &str| columns.cell(paper, i, y, text, Face::Sans, Ink::Ink);
        cell(0, &feature_name(a.feature));
        cell(1, a.what);
        let of_position = a.what == "position";
        if let Some(c) = a.finding.covariance.filter(|_| of_position) {
            if a.finding.x.at().is_some() {
                cell(2, &f.plain(Length::mm(c[0][0].max(0.0).sqrt())));
            }
            if a.finding.y.at().is_some() {
                cell(3, &f.plain(Length::mm(c[1][1].max(0.0).sqrt())));
            }
        }
        cell(4, &f.signed(a.margin));
        match a.proof {
            Some(proof) => {
                let expanded = f.plain(proof.expanded);
                let with_k = format!("{expanded} ({:.2})", proof.coverage);
                cell(5, if effective { &with_k } else { &expanded });
                cell(6, &percent(proof.probability));
            }
            None => cell(6, "not evaluated"),
        }
        cell(7, a.verdict.words());
        paper.y += LINE;
        columns.rule(paper, paper.y);
    }
}

fn subhead(paper: &mut Paper<'_>, heading: &str, room: f64, text: &str) {
    if paper.y + room > paper.bottom() {
        paper.begin(&format!("{heading}, continued"));
    }
    paper.y += 7.0;
    let (x, y) = (paper.left(), paper.y);
    paper.put(Text::new((x, y), text, size::TEXT + 0.3).bold());
    paper.y += 1.5;
}

fn budget(paper: &mut Paper<'_>, heading: &str, of: &Asked<'_>, found: &Budget) {
    let lines = &found.lines;
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let room = 27.0 + lines.len() as f64 * LINE;
    let name = feature_name(of.feature);
    subhead(
        paper,
        heading,
        room,
        &format!("Budget of the position of {name}, the one that is least sure"),
    );
    let f = Figures::of_results(&paper.job.drawing).finer(2);
    let unit = f.unit.word();
    let x = paper.left();
    let columns = Columns {
        columns: vec![
            Column::new("source", 62.0, Align::Left),
            Column::new("distribution", 26.0, Align::Left),
            Column::new("divisor", 20.0, Align::Decimal(3)),
            Column::new(format!("u of the source\n{unit}"), 28.0, Align::Decimal(f.decimals)),
            Column::new("degrees of\nfreedom", 24.0, Align::Right),
            Column::new(format!("u in the position\n{unit}"), 30.0, Align::Decimal(f.decimals)),
            Column::new("share", 18.0, Align::Right),
        ],
        x,
    };
    columns.heads(paper);
    for line in lines {
        let y = paper.y + LINE - 1.3;
        let mut cell = |i, text: &str| columns.cell(paper, i, y, text, Face::Sans, Ink::Ink);
        let text = budget_text(line, f);
        cell(0, &text.name);
        cell(1, text.distribution);
        cell(2, &text.divisor);
        cell(3, &text.of_touch);
        cell(4, text.degrees.as_deref().unwrap_or("∞"));
        cell(5, &text.standard);
        cell(6, &text.share);
        paper.y += LINE;
        columns.rule(paper, paper.y);
    }
    let y = paper.y + LINE - 1.3;
    let combined = f.plain(found.standard);
    columns.cell(paper, 0, y, "combined", Face::SansBold, Ink::Ink);
    columns.cell(paper, 5, y, &combined, Face::SansBold, Ink::Ink);
    paper.y += LINE;
    let (x, y, room) = (paper.left(), paper.y + 0.5, paper.room().min(200.0));
    paper.y = paper.paragraph(x, y, room, &budget_sum(found, f), Ink::Ink) - 2.0;
}

fn fit(paper: &mut Paper<'_>, heading: &str, found: &Measurement) {
    let mut text = match (found.degrees, found.probability) {
        (0, _) => "Nothing is measured twice: no reading checks another.".to_owned(),
        (n, Some(p)) => format!(
            "All heights were adjusted together by least squares; {n} of them are more than needed. Sum of \
             weighted squares {:.1} (chi-square, {n} degrees of freedom): good readings fit as badly \
             with a probability of {}.",
            found.chi_square,
            percent(p)
        ),
        (n, None) => format!("All heights were adjusted together; {n} are more than needed."),
    };
    if found.degrees > 0 {
        text.push_str(match found.suspects.len() {
            0 => " No single reading stands out.",
            1 => " One reading stands out: see the remarks.",
            _ => " Readings stand out: see the remarks.",
        });
    }
    for (orientation, error, standard) in &found.angles {
        text.push_str(&format!(
            " Orientation {orientation} was found turned by {:+.2}′ (standard uncertainty {:.2}′, \
             counter-clockwise positive).",
            error.to_degrees() * 60.0,
            standard.to_degrees() * 60.0
        ));
    }
    subhead(paper, heading, 24.0, "How the readings fit each other");
    let (x, y, room) = (paper.left(), paper.y + 0.5, paper.room().min(200.0));
    paper.y = paper.paragraph(x, y, room, &text, Ink::Ink);
}
