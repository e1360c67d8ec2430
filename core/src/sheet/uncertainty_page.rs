//! How sure the results are: uncertainty and probability of every requirement, the budget of the
//! one that is least sure, and how the readings fit each other.

use super::Extent;
use super::paper::{Paper, STEP, size};
use super::table::{Align, Cell, Head, Table};
use crate::callout::{PositionFinding, Proof, Verdict};
use crate::findings::{Budget, FeatureFinding, Measurement, PieceFinding, Ready};
use crate::job::{Coverage, Job};
use crate::mark::Text;
use crate::quantity::Length;
use crate::show::{
    Figures, budget_sum, budget_text, factor, feature_name, percent, relation_word, segment_name,
};

/// The sentence for the first page.
pub(super) fn in_short(job: &Job, finding: &PieceFinding, extent: Extent) -> String {
    let list = asked(job, finding);
    if list.iter().all(|a| a.proof.is_none()) {
        return "Measurement uncertainty was not evaluated for this sheet: neither an error limit nor a \
                repeatability of the gauge is entered."
            .to_owned();
    }
    let k = match job.plan.coverage {
        Coverage::Two => "with k as stated",
        Coverage::Effective => "to 95.45 %, k as stated",
    };
    let place = match extent {
        Extent::Full => "below",
        Extent::Short => "on the full sheet",
    };
    let mut text = format!("Measurement uncertainty: expanded {k}, {place}.");
    let mut open = open_names(&list);
    let more = open.len().saturating_sub(NAMED);
    open.truncate(NAMED);
    if !open.is_empty() {
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        text.push_str(&format!(" Not evaluated for {}{more}.", open.join(", ")));
    }
    text
}

/// How many features are named on the first page.
const NAMED: usize = 4;

/// The features with a requirement whose uncertainty was not evaluated.
fn open_names(list: &[Asked<'_>]) -> Vec<String> {
    let open = list.iter().filter(|a| a.proof.is_none());
    let mut names: Vec<String> = open.map(|a| a.name.clone()).collect();
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
    /// Index of its feature; none of a relation.
    index: Option<usize>,
    /// `hole 3`, `line 20`.
    name: String,
    finding: Option<&'a FeatureFinding>,
    what: String,
    margin: Length,
    proof: Option<Proof>,
}

impl Asked<'_> {
    /// Margin in uncertainties: the smaller, the less sure.
    fn sure(&self) -> f64 {
        let expanded = self.proof.map_or(f64::INFINITY, |p| p.expanded.to_mm());
        self.margin.abs().to_mm() / expanded.max(1e-12)
    }

    /// It is the first position of a feature: what budgets are made of.
    fn is_position(&self) -> bool {
        self.what == POSITION
    }
}

const POSITION: &str = "position";

const fn is_judged(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::Conforms | Verdict::DoesNotConform | Verdict::NotProven)
}

fn asked<'a>(job: &'a Job, finding: &'a PieceFinding) -> Vec<Asked<'a>> {
    let mut list = Vec::new();
    let features = job.drawing.features.iter().zip(&finding.features);
    // Of what is shifted with its pattern, the proof is that of the pattern.
    let shared = |p: &PositionFinding| finding.patterns.get(p.shifted?.pattern)?.proof;
    for (index, (feature, found)) in features.enumerate() {
        let mut add = |what: String, margin: Option<Length>, proof, verdict| {
            let Some(margin) = margin.filter(|_| is_judged(verdict)) else { return };
            let name = feature_name(feature);
            list.push(Asked {
                index: Some(index),
                name,
                finding: Some(found),
                what,
                margin,
                proof,
            });
        };
        for p in found.positions() {
            let what = match segment_name(found, p) {
                _ if found.position.as_ref() == Some(p) => POSITION.to_owned(),
                name if name.is_empty() => "further position".to_owned(),
                name => name,
            };
            add(what, p.margin, p.proof.or_else(|| shared(p)), p.verdict);
        }
        let size = &found.size;
        add("size".to_owned(), size.margin, size.proof, size.verdict);
    }
    let relations = job.drawing.relations.iter().zip(&finding.relations);
    for (relation, found) in relations {
        let Some(margin) = found.margin.filter(|_| is_judged(found.verdict)) else { continue };
        list.push(Asked {
            index: None,
            name: format!("line {}", relation.number),
            finding: None,
            what: relation_word(&relation.kind, &job.drawing).to_owned(),
            margin,
            proof: found.proof,
        });
    }
    list
}

pub(super) fn put(paper: &mut Paper<'_>, ready: &Ready<'_>, index: usize, finding: &PieceFinding) {
    let list = asked(paper.job, finding);
    if list.iter().all(|a| a.proof.is_none()) {
        return;
    }
    paper.section("Uncertainty of the results", 6.0 * STEP);
    results(paper, &list);
    if let Some(open) = not_evaluated(paper.job, finding, &list) {
        paper.y += 1.0;
        paper.columns(&[open]);
    }
    let known = list.iter().filter(|a| a.is_position() && a.proof.is_some());
    let least = known.min_by(|a, b| a.sure().total_cmp(&b.sure()));
    if let Some(least) = least
        && let Some(index_of) = least.index
        && let Some(found) = ready.budget(index, index_of)
    {
        budget(paper, least, &found);
    }
    fit(paper, &finding.measurement);
}

/// The results in two tables beside each other: each figure with its uncertainty.
fn results(paper: &mut Paper<'_>, list: &[Asked<'_>]) {
    let f = Figures::of_results(&paper.job.drawing).finer(1);
    let unit = f.unit.word();
    let heads = || {
        vec![
            Head::new("feature, line", Align::Left),
            Head::new("requirement", Align::Left),
            Head::new(format!("u of x\n{unit}"), Align::Decimal),
            Head::new(format!("u of y\n{unit}"), Align::Decimal),
            Head::new(format!("margin\n{unit}"), Align::Decimal),
            Head::new(format!("U = k u\n{unit}"), Align::Decimal),
            Head::new("k", Align::Decimal),
            Head::new("probability\nit conforms", Align::Right),
        ]
    };
    let half = list.len().div_ceil(2).max(LEAST_ROWS);
    let tables: Vec<Table> = list
        .chunks(half)
        .map(|part| {
            let mut table = Table::new(heads());
            part.iter().for_each(|a| table.row(result(a, f)));
            table
        })
        .collect();
    let room = (paper.room() - 4.0) / 2.0;
    let needs = tables.iter().map(|t| t.all(room)).fold(0.0, f64::max);
    if paper.y + needs > paper.bottom() {
        // Under each other, each as long as it takes.
        let mut table = Table::new(heads());
        list.iter().for_each(|a| table.row(result(a, f)));
        paper.make_room(table.first(paper.room()));
        table.put(paper, paper.left(), paper.room());
        return;
    }
    let (top, mut bottom, mut x) = (paper.y, paper.y, paper.left());
    for table in tables {
        paper.y = top;
        table.put(paper, x, room);
        bottom = bottom.max(paper.y);
        x += room + 4.0;
    }
    paper.y = bottom;
}

/// Fewer results than this stand in one table.
const LEAST_ROWS: usize = 4;

fn result(a: &Asked<'_>, f: Figures) -> Vec<Cell> {
    let mut u = [String::new(), String::new()];
    if let Some(found) = a.finding.filter(|_| a.is_position())
        && let Some(c) = found.covariance
    {
        for (k, at) in [found.x, found.y].into_iter().enumerate() {
            if at.at().is_some() {
                u[k] = f.plain(Length::mm(c[k][k].max(0.0).sqrt()));
            }
        }
    }
    let [u_x, u_y] = u;
    let (expanded, k, chance) = match a.proof {
        Some(p) => (f.plain(p.expanded), factor(p.coverage), percent(p.probability)),
        None => (String::new(), String::new(), "not evaluated".to_owned()),
    };
    vec![
        a.name.clone().into(),
        a.what.as_str().into(),
        u_x.into(),
        u_y.into(),
        signed_apart(a.margin, f).into(),
        expanded.into(),
        k.into(),
        chance.into(),
    ]
}

/// A margin with its sign, and with more digits where it would look like nothing.
fn signed_apart(margin: Length, f: Figures) -> String {
    super::results_table::signed_visible(margin, f)
}

fn subhead(paper: &mut Paper<'_>, need: f64, text: &str) {
    paper.make_room(need + 6.0);
    paper.y += STEP + 1.0;
    let (x, y) = (paper.left(), paper.y);
    paper.put(Text::new((x, y), text, size::TEXT).bold());
    paper.y += 1.0;
}

fn budget(paper: &mut Paper<'_>, of: &Asked<'_>, found: &Budget) {
    let f = Figures::of_results(&paper.job.drawing).finer(2);
    let unit = f.unit.word();
    let mut table = Table::new(vec![
        Head::new("source", Align::Left),
        Head::new("distribution", Align::Left),
        Head::new("divisor", Align::Decimal),
        Head::new(format!("u of the source\n{unit}"), Align::Decimal),
        Head::new("degrees of\nfreedom", Align::Right),
        Head::new(format!("u in the position\n{unit}"), Align::Decimal),
        Head::new("share", Align::Right),
    ]);
    for line in &found.lines {
        let text = budget_text(line, f);
        table.row(vec![
            text.name.into(),
            text.distribution.into(),
            text.divisor.into(),
            text.of_touch.into(),
            text.degrees.unwrap_or_else(|| "∞".to_owned()).into(),
            text.standard.into(),
            text.share.into(),
        ]);
    }
    let none = || Cell::from("");
    table.row(vec![
        Cell::from("combined").bold(),
        none(),
        none(),
        none(),
        none(),
        Cell::from(f.plain(found.standard)).bold(),
        none(),
    ]);
    let heading = format!("Budget of the position of {}, smallest margin relative to U", of.name);
    let room = paper.room();
    subhead(paper, table.all(room).min(60.0), &heading);
    table.put(paper, paper.left(), room);
    paper.columns(&[budget_sum(found, f)]);
}

fn fit(paper: &mut Paper<'_>, found: &Measurement) {
    let mut text = match (found.degrees, found.probability) {
        (0, _) => "No redundant readings: no reading checks another.".to_owned(),
        (n, Some(p)) => format!(
            "All heights were adjusted together by least squares; {n} redundant readings. Sum of \
             weighted squares {:.1} (chi-square, {n} degrees of freedom): p-value {}.",
            found.chi_square,
            percent(p)
        ),
        (n, None) => format!("All heights were adjusted together; {n} redundant readings."),
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
    subhead(paper, 2.0 * STEP, "Consistency of readings");
    paper.columns(&[text]);
}
