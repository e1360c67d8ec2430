//! The table of what was asked and what was found: a row for each position with the size of its
//! feature beside it, and for each line.

use super::paper::Paper;
use super::table::{Align, Cell, Head, Table};
use crate::callout::{Bonus, PositionFinding, RelationFinding, Segment, Unjudged, Verdict};
use crate::findings::{Coordinate, FeatureFinding, PieceFinding};
use crate::job::{Drawing, Feature, Modifier, Relation};
use crate::mark::{Face, Ink, VerdictSign};
use crate::picture::frame_cells;
use crate::quantity::{Length, NOISE};
use crate::relation::{Basis, Compartments};
use crate::show::{
    Figures, against, fault_words, feature_name, guard_side, limits_text, reason, relation_figures,
    relation_reason, shift_words, unjudged,
};

/// The table, from `paper.y` down, on as many pages as it takes.
pub(super) fn put(paper: &mut Paper<'_>, finding: &PieceFinding) {
    let table = of(paper, finding);
    if !table.is_empty() {
        table.put(paper, paper.left(), paper.room());
    }
}

/// How high the table is in all.
pub(super) fn height(paper: &Paper<'_>, finding: &PieceFinding) -> f64 {
    of(paper, finding).all(paper.room())
}

/// Sizes have columns of their own where the paper is wide enough, else rows.
fn of(paper: &Paper<'_>, finding: &PieceFinding) -> Table {
    let wide = Sheet::of(paper, finding, true).table();
    if wide.least() <= paper.room() { wide } else { Sheet::of(paper, finding, false).table() }
}

/// What the rows are made from.
struct Sheet<'a> {
    drawing: &'a Drawing,
    finding: &'a PieceFinding,
    /// Numbers of the instruments, where there are several.
    instruments: Option<String>,
    /// The instrument of each relation that has heights of its own.
    heights: Vec<Option<usize>>,
    /// Sizes stand in columns of their own.
    wide: bool,
}

impl<'a> Sheet<'a> {
    fn of(paper: &Paper<'a>, finding: &'a PieceFinding, wide: bool) -> Self {
        let job = paper.job;
        let plan = &job.plan;
        let known = plan.orientations.iter().map(|o| o.instrument);
        let mut used: Vec<usize> =
            known.filter(|i| *i < plan.instruments.len()).map(|i| i + 1).collect();
        used.sort_unstable();
        used.dedup();
        let grid = |r: &Relation| Some(paper.piece?.grid(&r.number)?.instrument);
        Self {
            drawing: &job.drawing,
            finding,
            instruments: (plan.instruments.len() > 1)
                .then(|| used.iter().map(usize::to_string).collect::<Vec<_>>().join(" ")),
            heights: job.drawing.relations.iter().map(grid).collect(),
            wide,
        }
    }

    fn figures(&self) -> Figures {
        Figures::of_results(self.drawing)
    }

    fn table(&self) -> Table {
        let decimal = |text: &str| Head::new(text, Align::Decimal);
        let mut heads = vec![
            Head::new("feature,\nline", Align::Left),
            Head::new("requirement", Align::Left),
            decimal("basic\nX"),
            decimal("basic\nY"),
            decimal("measured\nX"),
            decimal("measured\nY"),
            decimal("deviation\ndX"),
            decimal("deviation\ndY"),
            decimal(if self.wide { "position,\nfigure" } else { "position,\nfigure, size" }),
            decimal("bonus"),
            decimal("allowed"),
            decimal("margin"),
        ];
        if self.wide {
            heads.push(Head::new("size\nlimits", Align::Left).unbroken());
            heads.push(decimal("size\nfound"));
            heads.push(decimal("size\nmargin"));
        }
        heads.push(Head::new("verdict", Align::Left));
        if self.instruments.is_some() {
            heads.push(Head::new("instr.", Align::Left));
        }
        let mut table = Table::new(heads);
        // What belongs to one feature stays together.
        table.tied = |row| row.first().is_some_and(Cell::is_empty);
        for (found, feature) in self.finding.features.iter().zip(&self.drawing.features) {
            Rows { sheet: self, found, feature }.put(&mut table);
        }
        let relations = self.finding.relations.iter().zip(&self.drawing.relations);
        for ((found, relation), heights) in relations.zip(&self.heights) {
            table.row(self.relation(found, relation, *heights));
        }
        table
    }

    fn cells(&self, row: Row) -> Vec<Cell> {
        let mut cells = vec![row.name, row.asked];
        cells.extend(row.places);
        cells.extend([row.found, row.bonus, row.allowed, row.margin]);
        if self.wide {
            cells.extend(row.size);
        }
        cells.push(row.verdict);
        if self.instruments.is_some() {
            cells.push(row.instruments.into());
        }
        cells
    }

    fn relation(
        &self,
        found: &RelationFinding,
        relation: &Relation,
        heights: Option<usize>,
    ) -> Vec<Cell> {
        let f = self.figures();
        let word = relation.kind.word(self.drawing);
        let mut name = format!("{word}: {}{}", found.name, relation.kind.detail());
        if !relation.note.is_empty() {
            name.push_str("; ");
            name.push_str(&relation.note);
        }
        let mut row = Row::new();
        row.name = Cell::from(format!("line {}", relation.number)).bold();
        row.asked = match relation.kind.compartments(self.drawing) {
            Compartments::Limits(words) => words.into(),
            Compartments::Frame(cells) => Cell::frame(cells),
        };
        row.places[0] = Cell::from(name).across(6);
        if let Some((measured, limit)) = relation_figures(found, f) {
            row.found = Cell::from(measured).bold();
            // Of two limits the requirement says both.
            if found.allowed.lower.is_none() {
                row.allowed = limit.into();
            }
        }
        if let Some(bonus) = relation_bonus(found, relation, self.drawing) {
            row.bonus = f.plain(bonus).into();
        }
        if let Some(margin) = found.margin {
            row.margin = signed_visible(margin, f).into();
        }
        let note = relation_reason(found, self.drawing);
        // The margin says by how much.
        let note =
            if found.measured.is_some() && !found.in_question { String::new() } else { note };
        row.verdict = verdict(found.verdict, &note);
        row.instruments = match relation.kind.basis() {
            _ if found.measured.is_none() => String::new(),
            Basis::Stated => String::new(),
            Basis::Heights(_) => heights.map_or_else(String::new, |i| (i + 1).to_string()),
            Basis::Readings => self.instruments.clone().unwrap_or_default(),
        };
        self.cells(row)
    }
}

/// One row, cell by cell.
struct Row {
    name: Cell,
    asked: Cell,
    /// Basic, measured, deviation, each along X and Y.
    places: [Cell; 6],
    found: Cell,
    bonus: Cell,
    allowed: Cell,
    margin: Cell,
    /// Limits, size and margin.
    size: [Cell; 3],
    verdict: Cell,
    instruments: String,
}

impl Row {
    fn new() -> Self {
        let none = || Cell::from("");
        Self {
            name: none(),
            asked: none(),
            places: std::array::from_fn(|_| none()),
            found: none(),
            bonus: none(),
            allowed: none(),
            margin: none(),
            size: std::array::from_fn(|_| none()),
            verdict: none(),
            instruments: String::new(),
        }
    }
}

/// The rows of one feature.
struct Rows<'a> {
    sheet: &'a Sheet<'a>,
    found: &'a FeatureFinding,
    feature: &'a Feature,
}

impl Rows<'_> {
    fn put(&self, table: &mut Table) {
        let found = self.found;
        let size = found.size.limits.is_some();
        let placed = found.x.at().is_some() || found.y.at().is_some();
        // Measured without a requirement: reported, on a line of its own.
        let reported = found.position.is_none() && (placed || !size && !found.size.seen.is_empty());
        let mut rows: Vec<Row> = Vec::new();
        if let Some(p) = &found.position {
            rows.push(self.position(p, true));
        } else if reported {
            let mut row = Row::new();
            row.asked = Cell::from("reported, no limit").soft();
            self.coordinates(&mut row, None);
            rows.push(row);
        }
        if size {
            match rows.first_mut().filter(|_| self.sheet.wide) {
                Some(row) => self.size_beside(row),
                None => rows.push(self.size_alone()),
            }
        }
        rows.extend(found.further.iter().map(|p| self.position(p, false)));
        for (n, mut row) in rows.into_iter().enumerate() {
            if n == 0 {
                row.name = Cell::from(feature_name(self.feature)).bold();
            }
            row.instruments = self.sheet.instruments.clone().unwrap_or_default();
            table.row(self.sheet.cells(row));
        }
    }

    /// The verdict of a row and its note, unless the feature as a whole cannot be judged or a reading
    /// of it is in question.
    fn judged(&self, of: Verdict, note: &str) -> Cell {
        match self.found.fault {
            Some(fault) => verdict(Verdict::CannotBeJudged, fault_words(fault)),
            None if self.found.in_question && note.is_empty() => verdict(of, "reading in question"),
            None if self.found.in_question => verdict(of, &format!("in question; {note}")),
            None => verdict(of, note),
        }
    }

    fn coordinates(&self, row: &mut Row, p: Option<&PositionFinding>) {
        let (f, drawing) = (self.sheet.figures(), self.sheet.drawing);
        // Shifted with its pattern, it is the deviation after the shift that is judged.
        let shifted = p.filter(|p| p.shifted.is_some());
        let axes = [(self.feature.x, self.found.x), (self.feature.y, self.found.y)];
        for (k, (basic, found)) in axes.into_iter().enumerate() {
            if let Some(basic) = basic.filter(|_| found != Coordinate::NotRequired) {
                let length = basic.length(drawing.unit);
                row.places[k] = Figures::of_drawing(drawing).exact(length).plain(length).into();
            }
            match found {
                Coordinate::Measured { at, deviation } => {
                    row.places[2 + k] = f.plain(at).into();
                    let deviation = shifted.map_or(deviation, |p| p.deviation[k]);
                    row.places[4 + k] = deviation.map_or_else(String::new, |d| f.signed(d)).into();
                }
                Coordinate::NotMeasured => row.places[2 + k] = "open".into(),
                Coordinate::NotRequired => {}
            }
        }
    }

    fn position(&self, p: &PositionFinding, first: bool) -> Row {
        let f = self.sheet.figures();
        let mut row = Row::new();
        row.asked = Cell::frame(frame_cells(self.feature, self.sheet.drawing, p.segment));
        if first {
            self.coordinates(&mut row, Some(p));
        } else {
            for (k, found) in p.deviation.iter().enumerate() {
                row.places[4 + k] = found.map_or_else(String::new, |d| f.signed(d)).into();
            }
        }
        // Where the gauge does not go on, no figure says so.
        let stopped = matches!(p.unjudged, Some(Unjudged::GaugeDoesNotFit(_)));
        let (position, allowed) = match p.position {
            Some(position) => against(position, p.allowed, f),
            None => (String::new(), f.plain(p.allowed)),
        };
        if !stopped {
            row.found = Cell::from(position).bold();
            row.allowed = allowed.into();
            row.margin = p.margin.map_or_else(String::new, |m| signed_visible(m, f)).into();
        }
        if p.modifier != Modifier::None {
            row.bonus = match p.bonus {
                Bonus::Earned { bonus, .. } => f.plain(bonus),
                Bonus::None(_) => "none".to_owned(),
                Bonus::NotAsked => String::new(),
            }
            .into();
        }
        row.verdict = self.judged(p.verdict, &self.note(p));
        row
    }

    /// What is said beside the verdict of a position.
    fn note(&self, p: &PositionFinding) -> String {
        let (found, drawing) = (self.found, self.sheet.drawing);
        match (&p.unjudged, p.verdict) {
            (Some(why), _) => unjudged(why),
            (None, Verdict::NotProven) => match (p.proof, p.margin) {
                (Some(_), Some(margin)) if margin < Length::ZERO => "outside its zone".to_owned(),
                (Some(_), _) => "inside its zone".to_owned(),
                (None, _) => "uncertainty not known".to_owned(),
            },
            (None, Verdict::DoesNotConform)
                if found.size.verdict != Verdict::DoesNotConform
                    && p.segment == Segment::default() =>
            {
                let text = reason(found, drawing);
                // The margin says by how much; what is needed is the size.
                match text.split_once(" saves it") {
                    Some((needed, _)) if p.shifted.is_some() => format!("{needed}; shifted"),
                    Some((needed, _)) => needed.to_owned(),
                    None => shift_words(p).to_owned(),
                }
            }
            _ => shift_words(p).to_owned(),
        }
    }

    /// Limits, the size that is nearest to one of them, its margin, and the note on it.
    fn sized(&self) -> ([String; 3], String) {
        let found = &self.found.size;
        let f = self.sheet.figures();
        let Some(limits) = found.limits else { return (Default::default(), String::new()) };
        let sign = if self.feature.kind.is_round() { "⌀ " } else { "" };
        let asked =
            format!("{sign}{}", limits_text(limits, Figures::of_drawing(self.sheet.drawing)));
        let f_size = f.exact(limits.lower).exact(limits.upper);
        let nearest = |size: Length| {
            if (limits.upper - size) < (size - limits.lower) { limits.upper } else { limits.lower }
        };
        // The worst size against the limit it is nearest to, so that figure and verdict agree.
        let worst = found.margin.and_then(|margin| {
            let all = found.seen.iter().map(|s| s.size);
            all.into_iter().find(|s| {
                ((limits.upper - *s) - margin).abs() <= NOISE
                    || ((*s - limits.lower) - margin).abs() <= NOISE
            })
        });
        let size = worst.map_or_else(String::new, |s| against(s, nearest(s), f_size).0);
        let margin = found.margin.map_or_else(String::new, |m| signed_visible(m, f));
        let note = match (found.verdict, found.above, found.below) {
            (Verdict::NotProven, ..) if found.proof.is_some() => guard_side(found),
            (Verdict::NotProven, ..) => "uncertainty not known".to_owned(),
            (_, Some(_), _) => "above its limit".to_owned(),
            (_, None, Some(_)) => "below its limit".to_owned(),
            (Verdict::NotMeasured, ..) => "size not measured".to_owned(),
            (_, None, None) => String::new(),
        };
        ([asked, size, margin], note)
    }

    /// The size in columns of its own: one verdict for both.
    fn size_beside(&self, row: &mut Row) {
        let (cells, note) = self.sized();
        row.size = cells.map(Cell::from);
        let size = &self.found.size;
        let position = self.found.position.as_ref();
        let both = position.map_or(size.verdict, |p| p.verdict.and(size.verdict));
        let of_position = position.map(|p| self.note(p)).unwrap_or_default();
        let of_size = match (note.is_empty(), note.starts_with("size")) {
            (true, _) | (_, true) => note,
            _ => format!("size {note}"),
        };
        let notes: Vec<&str> = [of_position.as_str(), of_size.as_str()]
            .into_iter()
            .filter(|n| !n.is_empty())
            .collect();
        row.verdict = self.judged(both, &notes.join("; "));
    }

    fn size_alone(&self) -> Row {
        let ([asked, size, margin], note) = self.sized();
        let mut row = Row::new();
        let width = if self.feature.kind.is_round() { "" } else { "width " };
        if self.sheet.wide {
            row.size = [asked, size, margin].map(Cell::from);
        } else {
            row.asked = format!("{width}{asked}").into();
            row.found = Cell::from(size).bold();
            row.margin = margin.into();
        }
        row.verdict = self.judged(self.found.size.verdict, &note);
        row
    }
}

/// A margin with its sign, and with more digits where it would look like nothing.
pub(super) fn signed_visible(margin: Length, f: Figures) -> String {
    let mut f = f;
    while margin.abs() > NOISE && f.signed(margin).trim_start_matches(['.', '0']).is_empty() {
        let finer = f.finer(1);
        if finer == f {
            break;
        }
        f = finer;
    }
    f.signed(margin)
}

/// What is allowed beyond a single tolerance.
fn relation_bonus(
    found: &RelationFinding,
    relation: &Relation,
    drawing: &Drawing,
) -> Option<Length> {
    let [tolerance] = relation.kind.tolerances()[..] else { return None };
    let bonus = found.allowed.upper? - tolerance.length(drawing.unit);
    (bonus > NOISE).then_some(bonus)
}

fn verdict(verdict: Verdict, note: &str) -> Cell {
    let sign = match verdict {
        Verdict::Conforms => VerdictSign::Conforms,
        Verdict::DoesNotConform => VerdictSign::DoesNotConform,
        Verdict::NotMeasured => VerdictSign::NotMeasured,
        Verdict::NotProven => VerdictSign::NotProven,
        Verdict::CannotBeJudged => VerdictSign::CannotBeJudged,
        Verdict::NothingAsked => return "".into(),
    };
    let bad = verdict == Verdict::DoesNotConform;
    let (face, ink) = if bad { (Face::SansBold, Ink::Fault) } else { (Face::Sans, Ink::Ink) };
    Cell::signed(sign, verdict.words(), note, face, ink)
}
