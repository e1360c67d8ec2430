//! A line of the table as text, so that only lines that read differently are drawn again.

use crate::desk::View;
use quarterturn_core::callout::{RelationFinding, Segment, SizeFinding, Verdict};
use quarterturn_core::findings::{Coordinate, FeatureFinding};
use quarterturn_core::job::{Drawing, Job, Relation};
use quarterturn_core::quantity::Length;
use quarterturn_core::show::{
    BonusText, Figures, RequirementRow, against, reason, relation_reason, relation_word,
};
use std::sync::Arc;

/// What stands in a cell.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) enum Cell {
    /// The drawing asks for nothing here.
    #[default]
    Empty,
    /// A figure.
    Figure(String),
    /// Something is missing.
    Missing,
}

/// How much of what is allowed is used, in thousandths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Share(pub(super) u32);

/// A line of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    /// Its place in the table: of a feature its index in the drawing; lines come behind all features.
    pub(super) index: usize,
    pub(super) number: String,
    pub(super) kind: &'static str,
    pub(super) x: Cell,
    pub(super) y: Cell,
    pub(super) dx: Cell,
    pub(super) dy: Cell,
    pub(super) size: Cell,
    pub(super) position: Cell,
    pub(super) bonus: Cell,
    pub(super) allowed: Cell,
    pub(super) margin: Cell,
    pub(super) share: Option<Share>,
    pub(super) verdict: Verdict,
    pub(super) reason: String,
}

/// All lines, with what they were made from.
#[derive(Clone)]
pub(super) struct Rows {
    view: Arc<View>,
    pub(super) list: Arc<Vec<Arc<Row>>>,
}

impl PartialEq for Rows {
    fn eq(&self, other: &Self) -> bool {
        self.list == other.list
    }
}

impl Rows {
    /// The lines of the piece at hand; those whose finding is as it was are taken over.
    pub(super) fn of(view: Arc<View>, before: Option<&Self>) -> Self {
        let before = before.filter(|b| b.view.job.drawing == view.job.drawing);
        let was = before.and_then(|b| b.view.piece.as_ref());
        let mut list = Vec::new();
        let mut old = before.map(|b| b.list.iter()).into_iter().flatten().peekable();
        for (index, finding) in view.piece.iter().flat_map(|p| p.features.iter().enumerate()) {
            while old.peek().is_some_and(|row| row.index < index) {
                old.next();
            }
            if !is_listed(finding) {
                continue;
            }
            let same = was.and_then(|p| p.features.get(index)) == Some(finding);
            let kept = old.peek().filter(|row| same && row.index == index);
            list.push(kept.map_or_else(
                || Arc::new(Row::of(index, finding, &view.job)),
                |row| Arc::clone(row),
            ));
        }
        let found = view.piece.iter().flat_map(|p| p.relations.iter());
        let relations = found.zip(&view.job.drawing.relations);
        for (nth, (finding, relation)) in relations.enumerate() {
            let index = view.job.drawing.features.len() + nth;
            while old.peek().is_some_and(|row| row.index < index) {
                old.next();
            }
            let same = was.and_then(|p| p.relations.get(nth)) == Some(finding);
            let kept = old.peek().filter(|row| same && row.index == index);
            list.push(kept.map_or_else(
                || Arc::new(Row::of_relation(index, finding, relation, &view.job.drawing)),
                |row| Arc::clone(row),
            ));
        }
        Self { view, list: Arc::new(list) }
    }
}

/// How much room the figures of the table need, in characters, so that its columns stand
/// still whatever a line says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Room {
    /// From the decimal point on, in all columns.
    pub(super) places: usize,
    /// Whole figures, column by column.
    pub(super) columns: [usize; 9],
}

impl Rows {
    /// The room for all lines. Most figures have the decimals of the drawing, and some one
    /// more where a verdict hangs on it; beyond three more, such a figure stands out rather
    /// than widening every column.
    pub(super) fn room(&self) -> Room {
        let usual = Figures::of_results(&self.view.job.drawing).decimals + 1;
        let (mut places, mut columns) = (usual, [0; 9]);
        for row in self.list.iter() {
            for (cell, before) in row.figures().into_iter().zip(&mut columns) {
                let Cell::Figure(text) = cell else { continue };
                let whole = text.chars().count();
                let rest = text.find(['.', ',']).map_or(0, |at| text.len() - at);
                places = places.max(rest.min(usual + 3));
                *before = (*before).max(whole - rest);
            }
        }
        Room { places, columns: columns.map(|before| before + places) }
    }
}

impl Row {
    /// Its figures in the order of the columns.
    pub(super) const fn figures(&self) -> [&Cell; 9] {
        [
            &self.x,
            &self.y,
            &self.dx,
            &self.dy,
            &self.size,
            &self.position,
            &self.bonus,
            &self.allowed,
            &self.margin,
        ]
    }
}

/// A feature of which nothing is asked is listed when something was measured of it.
fn is_listed(finding: &FeatureFinding) -> bool {
    finding.verdict != Verdict::NothingAsked
        || finding.x.at().is_some()
        || finding.y.at().is_some()
        || !finding.size.seen.is_empty()
}

impl Row {
    fn of(index: usize, finding: &FeatureFinding, job: &Job) -> Self {
        let drawing: &Drawing = &job.drawing;
        let f = Figures::of_results(drawing);
        let mut row = Self {
            index,
            number: finding.number.clone(),
            kind: finding.kind.word(),
            x: coordinate(finding.x, |at, _| Some(f.plain(at))),
            y: coordinate(finding.y, |at, _| Some(f.plain(at))),
            dx: coordinate(finding.x, |_, d| d.map(|d| f.signed(d))),
            dy: coordinate(finding.y, |_, d| d.map(|d| f.signed(d))),
            size: size(&finding.size, f),
            position: Cell::Empty,
            bonus: Cell::Empty,
            allowed: Cell::Empty,
            margin: Cell::Empty,
            share: None,
            verdict: finding.verdict,
            reason: reason(finding, drawing),
        };
        // Of several segments the row shows the one that decides; the others are in the sum.
        if let Some(p) = finding.deciding() {
            row.take(RequirementRow::of_position(finding, p, drawing));
            if p.shifted.is_some() || p.segment != Segment::default() {
                for (cell, d) in [&mut row.dx, &mut row.dy].into_iter().zip(p.deviation) {
                    if let Some(d) = d {
                        *cell = Cell::Figure(f.signed(d));
                    }
                }
            }
        }
        row
    }

    /// The figures of a requirement.
    fn take(&mut self, found: RequirementRow) {
        let cell = |text: String| if text.is_empty() { Cell::Empty } else { Cell::Figure(text) };
        self.position = cell(found.measured);
        self.allowed = cell(found.allowed);
        self.margin = cell(found.margin);
        self.bonus = match found.bonus {
            BonusText::Figure(text) => Cell::Figure(text),
            BonusText::Empty | BonusText::None => Cell::Empty,
        };
        self.share = found.share.map(Share::of);
    }

    /// The row of a relation: its figure stands where that of a position does.
    fn of_relation(
        index: usize,
        finding: &RelationFinding,
        relation: &Relation,
        drawing: &Drawing,
    ) -> Self {
        let why = relation_reason(finding, drawing);
        let mut row = Self {
            index,
            number: finding.number.clone(),
            kind: relation_word(&relation.kind, drawing),
            x: Cell::Empty,
            y: Cell::Empty,
            dx: Cell::Empty,
            dy: Cell::Empty,
            size: Cell::Empty,
            position: Cell::Empty,
            bonus: Cell::Empty,
            allowed: Cell::Empty,
            margin: Cell::Empty,
            share: None,
            verdict: finding.verdict,
            reason: match why.is_empty() {
                true => finding.name.clone(),
                false => format!("{}; {why}", finding.name),
            },
        };
        row.take(RequirementRow::of_relation(finding, drawing));
        row
    }
}

impl Share {
    fn of(share: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and saturating is as good as any"
        )]
        let thousandths = (share * 1000.0) as u32;
        Self(thousandths)
    }
}

fn coordinate(c: Coordinate, text: impl Fn(Length, Option<Length>) -> Option<String>) -> Cell {
    match c {
        Coordinate::Measured { at, deviation } => {
            text(at, deviation).map_or(Cell::Empty, Cell::Figure)
        }
        Coordinate::NotMeasured => Cell::Missing,
        Coordinate::NotRequired => Cell::Empty,
    }
}

/// The size that counts, with digits that show on which side of its limit it is.
fn size(size: &SizeFinding, f: Figures) -> Cell {
    match (size.counts, size.limits) {
        (Some(counts), Some(limits)) => {
            let beyond = if size.above.is_some() { limits.upper } else { limits.lower };
            Cell::Figure(against(counts, beyond, f).0)
        }
        (Some(counts), None) => Cell::Figure(f.plain(counts)),
        (None, Some(_)) => Cell::Missing,
        (None, None) => Cell::Empty,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use quarterturn_core::findings::Ready;
    use quarterturn_core::job::{
        Callout, DatumRef, Feature, Modifier, Position, SizeLimits, Touch,
    };
    use quarterturn_core::quantity::{Figure, Unit};

    /// Three holes in inches, measured: in place, by its bonus, out by a hair; faces B and C.
    fn job() -> Job {
        let mut job = Job::empty(Unit::Inch);
        for (i, off) in [0.001, 0.0055, 0.006_000_2].into_iter().enumerate() {
            let number = (i + 1).to_string();
            job.drawing.features.push(Feature {
                number: number.clone(),
                x: Some(Figure(1.0)),
                y: Some(Figure(2.0)),
                size: Some(SizeLimits::Limits { lower: Figure(0.375), upper: Figure(0.378) }),
                callouts: vec![Callout::Position(Position {
                    tolerance: Figure(0.01),
                    modifier: Modifier::Mmc,
                    datums: DatumRef::all(&["A", "B", "C"]),
                    ..Position::default()
                })],
                ..Feature::default()
            });
            let (r, piece) = (0.377 / 2.0, &mut job.pieces[0]);
            for (orientation, at) in [(1, 2.0), (2, 1.0 + off)] {
                piece.set_values(orientation, &number, Touch::Low, vec![Figure(at - r)]);
                piece.set_values(orientation, &number, Touch::High, vec![Figure(at + r)]);
            }
        }
        job
    }

    fn view(job: &Arc<Job>) -> Arc<View> {
        let ready = Ready::of(job);
        let piece = ready.piece(0);
        let (problems, planned) = (ready.problems, ready.orientations);
        Arc::new(View { job: Arc::clone(job), problems, planned, piece, index: 0 })
    }

    fn text(cell: &Cell) -> &str {
        match cell {
            Cell::Empty => "",
            Cell::Missing => "not measured",
            Cell::Figure(text) => text,
        }
    }

    #[test]
    fn a_line_says_what_was_found_and_never_contradicts_its_verdict() {
        let rows = Rows::of(view(&Arc::new(job())), None);
        // `.0120004` has three places more than the drawing; a sign or a whole inch stands before.
        assert_eq!(rows.room(), Room { places: 8, columns: [9, 9, 9, 8, 8, 8, 8, 8, 9] });
        // Of the faces nothing is asked and nothing was measured.
        assert_eq!(
            rows.list.iter().map(|r| r.number.as_str()).collect::<Vec<_>>(),
            ["1", "2", "3"]
        );
        let row = &rows.list[1];
        assert_eq!(
            [&row.dx, &row.dy, &row.size, &row.position, &row.bonus, &row.allowed, &row.margin]
                .map(text),
            ["+.0055", ".0000", ".3770", ".0110", ".0020", ".0120", "+.0010"]
        );
        assert_eq!((row.verdict, row.reason.as_str()), (Verdict::Conforms, "with bonus"));
        assert_eq!(row.share, Some(Share(916)));
        // .0120004 of .0120: another digit, until it shows.
        let row = &rows.list[2];
        assert_eq!(row.verdict, Verdict::DoesNotConform);
        assert_eq!([&row.position, &row.allowed].map(text), [".0120004", ".0120000"]);
        assert_eq!(text(&row.margin), "−.0000004");
    }

    /// Hole 2 of the manifold cover conforms by the shift of its pattern only, and its row shows the
    /// deviations that its position follows from.
    #[test]
    fn a_shifted_line_shows_what_its_position_follows_from() {
        let text = include_str!("../../../../tests/notebooks/2-manifold-cover.json");
        let job = Arc::new(quarterturn_core::job::read(text).unwrap());
        let rows = Rows::of(view(&job), None);
        let row = rows.list.iter().find(|r| r.number == "2").unwrap();
        assert_eq!(row.verdict, Verdict::Conforms);
        assert_eq!(row.reason, "with bonus and datum shift");
        let figure = |cell: &Cell| -> f64 {
            let Cell::Figure(text) = cell else { panic!("{cell:?}") };
            text.replace('−', "-").parse().unwrap()
        };
        let (dx, dy) = (figure(&row.dx), figure(&row.dy));
        assert!((2.0 * (dx * dx + dy * dy).sqrt() - figure(&row.position)).abs() < 0.0016);
        // Before the shift it would have been 0.159 of 0.155.
        assert!(figure(&row.position) < figure(&row.allowed));
    }

    #[test]
    fn lines_between_features_come_behind_them() {
        let mut job = job();
        let unit = job.drawing.unit;
        for text in ["centres 1 2 max .02", "distance 1 B along y 2 ±.001", "wall 1 9 min .1"] {
            let kind = quarterturn_core::entry::relation(text, unit).unwrap();
            let number = job.free_relation_number();
            job.drawing.relations.push(Relation { number, kind, note: String::new() });
        }
        let first = Rows::of(view(&Arc::new(job.clone())), None);
        let lines = &first.list[3..];
        assert_eq!(lines.iter().map(|r| r.index).collect::<Vec<_>>(), [5, 6, 7]);
        assert_eq!([&lines[0].position, &lines[0].allowed].map(text), [".0045", ".0200"]);
        assert_eq!((lines[0].share, lines[1].share), (None, Some(Share(0))));
        assert_eq!(lines[1].reason, "hole 1, face B");
        assert_eq!(lines[2].reason, "hole 1, feature 9; feature 9 is not on the drawing");
        job.pieces[0].set_values(2, "2", Touch::High, Vec::new());
        let second = Rows::of(view(&Arc::new(job)), Some(&first));
        assert!(!Arc::ptr_eq(&first.list[3], &second.list[3]));
        assert!(Arc::ptr_eq(&first.list[4], &second.list[4]));
    }

    #[test]
    fn only_what_changed_is_written_again() {
        let mut changed = job();
        let first = Rows::of(view(&Arc::new(changed.clone())), None);
        changed.pieces[0].set_values(2, "2", Touch::High, Vec::new());
        let second = Rows::of(view(&Arc::new(changed.clone())), Some(&first));
        assert!(Arc::ptr_eq(&first.list[0], &second.list[0]));
        assert!(!Arc::ptr_eq(&first.list[1], &second.list[1]));
        assert!(Arc::ptr_eq(&first.list[2], &second.list[2]));
        assert_eq!(second.list[1].dx, Cell::Missing);
        assert_eq!(second.list[1].position, Cell::Empty);
        // Another number of decimals writes every figure anew.
        changed.drawing.decimals = 5;
        let third = Rows::of(view(&Arc::new(changed)), Some(&second));
        assert_eq!(text(&third.list[0].dx), "+.00100");
    }
}
