//! What the sheet says, held against the findings and against itself.

use super::boxes::{Seen, Written};
use quarterturn_core::Job;
use quarterturn_core::callout::Verdict;
use quarterturn_core::findings::{Coordinate, FeatureFinding, PieceFinding};
use quarterturn_core::job::{Drawing, Touch};
use quarterturn_core::mark::{Page, missing};
use quarterturn_core::quantity::{Length, Unit};
use std::collections::BTreeSet;

/// The pages of a sheet as they are read.
pub(super) struct Sheet<'a> {
    pub(super) job: &'a Job,
    pub(super) finding: &'a PieceFinding,
    pages: Vec<Seen>,
    /// All figures on it as they are written.
    figures: BTreeSet<String>,
    says: String,
}

/// Signs that stand beside figures and belong to no number.
const BESIDE: [char; 15] =
    ['(', ')', ';', ':', '⌀', '±', '≤', '≥', '²', '√', '×', '–', '|', '=', '°'];

impl<'a> Sheet<'a> {
    pub(super) fn read(job: &'a Job, finding: &'a PieceFinding, pages: &[Page]) -> Self {
        let pages: Vec<Seen> = pages.iter().map(Seen::of).collect();
        let says = pages.iter().map(Seen::says).collect::<Vec<_>>().join(" ");
        let figures = says
            .split(|c: char| c.is_whitespace() || BESIDE.contains(&c))
            .map(|w| w.trim_end_matches([',', '.']).trim_start_matches('+').to_owned())
            .filter(|w| w.contains(|c: char| c.is_ascii_digit()))
            .collect();
        Self { job, finding, pages, figures, says }
    }

    /// Whether this length stands on the sheet, rounded to the decimals of results at least.
    fn has(&self, length: Length, least: usize) -> bool {
        let unit = self.job.drawing.unit;
        (least..least + 6).any(|decimals| self.figures.contains(&written(length, unit, decimals)))
    }

    /// Everything that is wrong with what it says.
    pub(super) fn faults(&self) -> Vec<String> {
        let mut found = Vec::new();
        self.figures_missing(&mut found);
        self.readings_missing(&mut found);
        self.not_listed(&mut found);
        self.contradictions(&mut found);
        self.sums(&mut found);
        self.uncertainties(&mut found);
        self.glyphs(&mut found);
        found
    }

    fn figures_missing(&self, found: &mut Vec<String>) {
        let drawing = &self.job.drawing;
        let least = decimals_of_results(drawing);
        let mut wanted: Vec<(String, Length)> = Vec::new();
        for (f, feature) in self.finding.features.iter().zip(&drawing.features) {
            let name = feature.name();
            let mut want = |what: &str, length: Option<Length>| {
                wanted.extend(length.map(|l| (format!("{what} of {name}"), l)));
            };
            want("x", f.x.at());
            want("y", f.y.at());
            for p in f.positions() {
                want("position", p.position);
                want("what is allowed for the position", p.position.map(|_| p.allowed));
                want("the margin", p.margin);
            }
            for seen in &f.size.seen {
                want("a size", Some(seen.size));
            }
            want("the margin of the size", f.size.margin);
        }
        for r in &self.finding.relations {
            let mut want = |what: &str, length: Option<Length>| {
                wanted.extend(length.map(|l| (format!("{what} of line {}", r.number), l)));
            };
            want("the figure", r.measured);
            want("the margin", r.margin);
        }
        for (what, length) in wanted {
            if !self.has(length, least) {
                found.push(format!("{what} is not on the sheet: {} mm", length.to_mm()));
            }
        }
    }

    /// Every reading, and every height taken for a relation, stands there as the gauge showed it.
    fn readings_missing(&self, found: &mut Vec<String>) {
        let Some(piece) = self.job.pieces.iter().find(|p| p.serial == self.finding.serial) else {
            return;
        };
        let planned = |number| self.job.plan.orientations.iter().find(|o| o.number == number);
        for reading in &piece.readings {
            let Some(orientation) = planned(reading.orientation) else { continue };
            let unit = self.job.reading_unit(orientation);
            for value in Touch::ALL.iter().flat_map(|t| reading.values(*t)) {
                let length = value.length(unit);
                if !(0..8).any(|d| self.figures.contains(&written(length, unit, d))) {
                    found.push(format!("reading {} of {} is missing", value.0, reading.feature));
                }
            }
        }
        for grid in &piece.grids {
            let asked = self.job.drawing.relations.iter().any(|r| r.number == grid.relation);
            let gauge = self.job.plan.instruments.get(grid.instrument);
            let Some(gauge) = gauge.filter(|_| asked) else { continue };
            for [.., height] in &grid.points {
                let length = height.length(gauge.unit);
                if !(0..8).any(|d| self.figures.contains(&written(length, gauge.unit, d))) {
                    found.push(format!("height {} of {} is missing", height.0, grid.relation));
                }
            }
        }
    }

    /// What is not measured is listed as left unmeasured.
    fn not_listed(&self, found: &mut Vec<String>) {
        let Some((_, list)) = self
            .says
            .split_once("Remarks and records")
            .and_then(|(_, rest)| rest.split_once("Not measured"))
        else {
            found.push("there is no list of what is left unmeasured".to_owned());
            return;
        };
        let list = list.split("Corrected readings").next().unwrap_or_default();
        let all = "None.";
        let mut open = Vec::new();
        for (f, feature) in self.finding.features.iter().zip(&self.job.drawing.features) {
            if is_open(f) {
                open.push(feature.name());
            }
        }
        for r in &self.finding.relations {
            if r.verdict == Verdict::NotMeasured {
                open.push(format!("line {}", r.number));
            }
        }
        if open.is_empty() != list.contains(all) {
            found.push(format!("unmeasured are {open:?}, and the list says: {list}"));
        }
        for name in open {
            if !list.contains(&name) {
                found.push(format!("{name} is not listed as left unmeasured"));
            }
        }
    }

    /// In the table of findings figures and verdicts say the same.
    fn contradictions(&self, found: &mut Vec<String>) {
        let verdicts = ["conforms", "does not conform"];
        for page in &self.pages {
            let head = |what: &str| page.text.iter().find(|w| w.says == what);
            let (Some(margin), Some(allowed), Some(verdict)) =
                (head("margin"), head("allowed"), head("verdict"))
            else {
                continue;
            };
            let words = page.text.iter().filter(|w| {
                verdicts.contains(&w.says.as_str()) && w.bounds.x[0] >= verdict.bounds.x[0] - 1.0
            });
            for w in words {
                let fails = w.says == verdicts[1];
                let cell = |head: &Written| cell_under(page, head, w);
                if let Some(m) = cell(margin)
                    && let Some(value) = number(&m)
                    && (value < 0.0) != fails
                {
                    found.push(format!("margin {m}, {}", w.says));
                }
                if let (Some(a), Some(p)) = (cell(allowed), left_of_allowed(page, allowed, w))
                    && let (Some(allowed), Some(position)) = (number(&a), number(&p))
                    && (position > allowed) != fails
                {
                    found.push(format!("{p} of {a} allowed, {}", w.says));
                }
            }
        }
    }

    /// Every sum that is written out adds up as it is printed.
    fn sums(&self, found: &mut Vec<String>) {
        for page in &self.pages {
            for how in &page.text {
                let Some(range) = evaluate(&whole(page, how)) else { continue };
                let mut before: Vec<&Written> = page
                    .text
                    .iter()
                    .filter(|w| same_line(w, how) && w.bounds.x[1] <= how.bounds.x[0] + 0.01)
                    .collect();
                before.sort_by(|a, b| a.bounds.x[1].total_cmp(&b.bounds.x[1]));
                // A line that an expression goes on in has no figure beside it.
                let beside = |v: &&&Written| how.bounds.x[0] - v.bounds.x[1] < 3.0;
                let Some(value) = before.last().filter(beside) else { continue };
                let Some(is) = number(&value.says) else { continue };
                let half = 0.5 * step(&value.says) + 1e-9;
                if is < range[0] - half || is > range[1] + half {
                    found.push(format!("{} = {} does not add up", value.says, whole(page, how)));
                }
            }
        }
    }

    /// Every relation whose uncertainty is known is listed with it.
    fn uncertainties(&self, found: &mut Vec<String>) {
        let least = decimals_of_results(&self.job.drawing);
        for r in &self.finding.relations {
            let Some(proof) = r.proof else { continue };
            if !self.says.contains("Uncertainty of the results") || !self.has(proof.expanded, least)
            {
                found.push(format!("the uncertainty of line {} is missing", r.number));
            }
        }
    }

    /// Characters that cannot be drawn are named.
    fn glyphs(&self, found: &mut Vec<String>) {
        for character in missing(&self.says) {
            let code = format!("U+{:04X}", u32::from(character));
            if !self.says.contains(&code) {
                found.push(format!("{character} ({code}) cannot be drawn, and nothing says so"));
            }
        }
    }
}

fn is_open(f: &FeatureFinding) -> bool {
    if f.verdict == Verdict::NothingAsked {
        return false;
    }
    [f.x, f.y].contains(&Coordinate::NotMeasured)
        || f.size.verdict == Verdict::NotMeasured
        || f.positions().any(|p| p.verdict == Verdict::NotMeasured)
}

fn decimals_of_results(drawing: &Drawing) -> usize {
    let enough = if drawing.unit == Unit::Mm { 3 } else { 4 };
    let decimals = usize::from(drawing.decimals);
    if decimals < enough { decimals + 1 } else { decimals }
}

/// A length as it is written: a true minus sign, no zero before the point of an inch.
fn written(length: Length, unit: Unit, decimals: usize) -> String {
    let value = length.to_mm() / unit.in_mm();
    let text = format!("{:.decimals$}", value.abs() * (1.0 + 1e-14) + 1e-12);
    let zero = text.bytes().all(|b| b == b'0' || b == b'.');
    let text = match text.strip_prefix("0.") {
        Some(rest) if unit == Unit::Inch => format!(".{rest}"),
        _ => text,
    };
    if value < 0.0 && !zero { format!("−{text}") } else { text }
}

fn same_line(a: &Written, b: &Written) -> bool {
    (a.bounds.y[1] - b.bounds.y[1]).abs() < 0.05
}

/// An expression with the lines that it goes on in: below it, from the same left, without a figure that they
/// lead to.
fn whole(page: &Seen, how: &Written) -> String {
    let mut says = how.says.clone();
    let mut last = how;
    loop {
        let below = page.text.iter().find(|w| {
            let down = w.bounds.y[1] - last.bounds.y[1];
            let figure =
                |v: &Written| same_line(v, w) && (w.bounds.x[0] - 1.5 - v.bounds.x[1]).abs() < 0.3;
            (w.bounds.x[0] - how.bounds.x[0]).abs() < 0.02
                && down > 0.05
                && down < 1.6 * how.size
                && !page.text.iter().any(figure)
        });
        let Some(below) = below else { return says };
        says = format!("{says} {}", below.says);
        last = below;
    }
}

/// The figure on the line of `row` under a head that stands at the right of its column.
fn cell_under(page: &Seen, head: &Written, row: &Written) -> Option<String> {
    let under = page.text.iter().filter(|w| {
        same_line(w, row)
            && w.bounds.x[1] <= head.bounds.x[1] + 6.0
            && w.bounds.x[1] > head.bounds.x[0].min(head.bounds.x[1] - 4.0)
    });
    under.map(|w| w.says.clone()).find(|s| number(s).is_some())
}

/// The bold figure next to what is allowed, or next but one where there is a bonus: the position.
fn left_of_allowed(page: &Seen, allowed: &Written, row: &Written) -> Option<String> {
    let head = page.text.iter().find(|w| w.says == "or size" || w.says == "or figure")?;
    let _ = allowed;
    cell_under(page, head, row)
}

fn number(text: &str) -> Option<f64> {
    let text = text.trim().trim_start_matches('+').replace('−', "-");
    let digits = text.trim_start_matches('-');
    let figures = digits.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    (figures && !digits.is_empty()).then(|| text.parse().ok()).flatten()
}

/// One unit of the last place of a figure.
fn step(text: &str) -> f64 {
    let decimals = text.split_once('.').map_or(0, |(_, rest)| rest.len());
    0.1_f64.powi(i32::try_from(decimals).unwrap())
}

/// The least and the largest that an expression of a sum may come to, its figures being rounded:
/// `2 × 0.01`, `√(0.01² + 0.02²)`, `0.1 + 0.02 − 0.03`; `None` for anything else.
///
/// What is printed is meant to add up exactly, but for a root, which is rounded itself.
fn evaluate(text: &str) -> Option<[f64; 2]> {
    if let Some(inside) = text.strip_prefix("√(").and_then(|t| t.strip_suffix(')')) {
        let (a, b) = inside.split_once(" + ")?;
        let square = |t: &str| number(t.strip_suffix('²')?);
        let root = libm::hypot(square(a)?, square(b)?);
        return Some([root, root]);
    }
    if let Some((factor, rest)) = text.split_once(" × ") {
        let rest = rest.split(" across").next()?.trim_matches(['(', ')']);
        let value = number(factor)? * number(rest)?;
        return Some([value, value]);
    }
    let words: Vec<&str> =
        text.split(" from ").next()?.split(' ').filter(|w| *w != "at" && *w != "most").collect();
    let (first, rest) = words.split_first()?;
    let mut sum = number(first)?;
    if rest.is_empty() || rest.len() % 2 != 0 {
        return None;
    }
    for pair in rest.chunks(2) {
        let value = number(pair[1])?;
        match pair[0] {
            "+" => sum += value,
            "−" => sum -= value,
            _ => return None,
        }
    }
    Some([sum, sum])
}
