//! The table of what was asked and what was found: a row for each position with the size of its
//! feature beside it, and for each line.

use super::paper::Paper;
use super::table::{Align, Cell, Head, Segments, Table};
use crate::callout::{PositionFinding, RelationFinding, Unjudged, Verdict};
use crate::findings::{Coordinate, FeatureFinding, PieceFinding};
use crate::job::{Drawing, Feature, Relation};
use crate::mark::{Face, Ink};
use crate::picture::{frame_cells, is_composite};
use crate::quantity::{Length, NOISE};
use crate::relation::{Basis, Compartments};
use crate::show::{BonusText, Figures, RequirementRow, feature_name, limits_text};

/// The table. Sizes have columns of their own where the paper is wide enough, else rows; basic coordinates
/// are left to the drawing where many decimals leave no room for them.
pub(super) fn of(paper: &Paper<'_>, finding: &PieceFinding) -> Table {
    let room = paper.room();
    let form = |form| Sheet::of(paper, finding, form).table();
    // The forms that do not fit are the exception: each is made only once the one before it is too wide.
    let wider = [(true, true), (false, true)];
    let fits = wider.into_iter().map(form).find(|table| table.least() <= room);
    fits.unwrap_or_else(|| form((false, false)))
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
    /// Basic coordinates have columns.
    basic: bool,
}

impl<'a> Sheet<'a> {
    fn of(paper: &Paper<'a>, finding: &'a PieceFinding, (wide, basic): (bool, bool)) -> Self {
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
            basic,
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
            decimal("measured\nX"),
            decimal("measured\nY"),
            decimal("deviation\ndX"),
            decimal("deviation\ndY"),
            decimal(if self.wide { "position,\nfigure" } else { "position,\nfigure, size" }),
            decimal("bonus"),
            decimal("allowed"),
            decimal("margin"),
        ];
        if self.basic {
            heads.splice(2..2, [decimal("basic\nX"), decimal("basic\nY")]);
        }
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
        let mut places = row.places.to_vec();
        if !self.basic {
            let first = places.drain(..2).next();
            // The name of a line reaches across all places.
            if let Some(name) = first.filter(Cell::is_across) {
                places[0] = name.across(4);
            }
        }
        cells.extend(places);
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
        let mut figures = RequirementRow::of_relation(found, self.drawing);
        // The margin says by how much.
        if found.measured.is_some() && !found.in_question {
            figures.note.clear();
        }
        row.figures(&figures);
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

    /// The figures and the verdict of a requirement of any kind.
    fn figures(&mut self, of: &RequirementRow) {
        self.found = Cell::from(of.measured.as_str()).bold();
        self.bonus = match &of.bonus {
            BonusText::Empty => "".into(),
            BonusText::None => "none".into(),
            BonusText::Figure(bonus) => bonus.as_str().into(),
        };
        self.allowed = of.allowed.as_str().into();
        self.margin = of.margin.as_str().into();
        self.verdict = verdict(of.verdict, &of.note);
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
            row.asked = Cell::from("reference only").soft();
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
                Coordinate::NotMeasured => row.places[2 + k] = "missing".into(),
                Coordinate::NotRequired => {}
            }
        }
    }

    fn position(&self, p: &PositionFinding, first: bool) -> Row {
        let f = self.sheet.figures();
        let mut row = Row::new();
        let drawing = self.sheet.drawing;
        let callout = self.feature.positions().nth(p.segment.callout);
        let last = callout.map_or(0, |c| c.lower.len());
        let segments = Segments {
            above: is_composite(drawing) && p.segment.number > 0,
            below: is_composite(drawing) && p.segment.number < last,
        };
        row.asked = Cell::segment(frame_cells(self.feature, drawing, p.segment), segments);
        if first {
            self.coordinates(&mut row, Some(p));
        } else {
            for (k, found) in p.deviation.iter().enumerate() {
                row.places[4 + k] = found.map_or_else(String::new, |d| f.signed(d)).into();
            }
        }
        let mut figures = RequirementRow::of_position(self.found, p, self.sheet.drawing);
        // Where the gauge does not go on, it is not the figures that say so.
        if matches!(p.unjudged, Some(Unjudged::GaugeDoesNotFit(_))) {
            (figures.measured, figures.margin) = Default::default();
        }
        row.figures(&figures);
        row
    }

    /// The limits of size as the drawing has them.
    fn limits(&self) -> String {
        let Some(limits) = self.found.size.limits else { return String::new() };
        let sign = if self.feature.kind.is_round() { "⌀ " } else { "" };
        format!("{sign}{}", limits_text(limits, Figures::of_drawing(self.sheet.drawing)))
    }

    /// The size in columns of its own: one verdict for both.
    fn size_beside(&self, row: &mut Row) {
        let size = RequirementRow::of_size(self.found, self.sheet.drawing);
        let Some(position) = &self.found.position else {
            self.alone(row, &size);
            return;
        };
        let position = RequirementRow::of_position(self.found, position, self.sheet.drawing);
        let of_size = match (size.note.as_str(), size.verdict) {
            ("", Verdict::NotMeasured) => "size not measured".to_owned(),
            ("", _) => String::new(),
            (note, _) if note == position.note => String::new(),
            (note, _) => format!("size {note}"),
        };
        let notes = [position.note.as_str(), of_size.as_str()];
        let notes: Vec<&str> = notes.into_iter().filter(|n| !n.is_empty()).collect();
        row.size = [self.limits(), size.measured, size.margin].map(Cell::from);
        row.verdict = verdict(position.verdict.and(size.verdict), &notes.join("; "));
    }

    fn alone(&self, row: &mut Row, size: &RequirementRow) {
        row.size = [self.limits(), size.measured.clone(), size.margin.clone()].map(Cell::from);
        row.verdict = verdict(size.verdict, &size.note);
    }

    fn size_alone(&self) -> Row {
        let size = RequirementRow::of_size(self.found, self.sheet.drawing);
        let mut row = Row::new();
        if self.sheet.wide {
            self.alone(&mut row, &size);
            return row;
        }
        let width = if self.feature.kind.is_round() { "" } else { "width " };
        row.figures(&size);
        row.asked = format!("{width}{}", self.limits()).into();
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

fn verdict(verdict: Verdict, note: &str) -> Cell {
    let Some(sign) = verdict.sign() else { return "".into() };
    let bad = verdict == Verdict::DoesNotConform;
    let (face, ink) = if bad { (Face::SansBold, Ink::Fault) } else { (Face::Sans, Ink::Ink) };
    Cell::signed(sign, verdict.words(), note, face, ink)
}
