//! A line of the table as text, so that only lines that read differently are drawn again.

use crate::desk::View;
use quarterturn_core::callout::{Bonus, PositionFinding, SizeFinding, Verdict};
use quarterturn_core::findings::{Coordinate, FeatureFinding};
use quarterturn_core::job::{Drawing, Job};
use quarterturn_core::picture::share_used;
use quarterturn_core::quantity::{Length, NOISE};
use quarterturn_core::show::{Figures, against, reason};
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
    /// Index of the feature in the drawing.
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
        Self { view, list: Arc::new(list) }
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
        if let Some(p) = &finding.position {
            row.take(p, f);
        }
        row
    }

    fn take(&mut self, p: &PositionFinding, f: Figures) {
        let f = f.exact(p.tolerance);
        if let Bonus::Earned { bonus, .. } = p.bonus {
            self.bonus = Cell::Figure(f.plain(bonus));
        }
        let Some(position) = p.position else {
            self.allowed = Cell::Figure(f.plain(p.allowed));
            return;
        };
        let (position, allowed) = against(position, p.allowed, f);
        self.position = Cell::Figure(position);
        self.allowed = Cell::Figure(allowed);
        if let Some(margin) = p.margin {
            self.margin = Cell::Figure(seen(margin, f));
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and saturating is as good as any"
        )]
        let thousandths = |share: f64| Share((share * 1000.0) as u32);
        self.share = share_used(p).map(thousandths);
    }
}

fn coordinate(c: Coordinate, text: impl Fn(Length, Option<Length>) -> Option<String>) -> Cell {
    match c {
        Coordinate::Measured { at, deviation } => text(at, deviation).map_or(Cell::Empty, Cell::Figure),
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

/// A margin with its sign, never shown as nothing while there is some.
fn seen(margin: Length, f: Figures) -> String {
    if margin.abs() <= NOISE {
        return f.plain(Length::ZERO);
    }
    let mut digits = f;
    while digits.decimals < 9 && digits.signed(margin) == digits.plain(Length::ZERO) {
        digits = digits.finer(1);
    }
    digits.signed(margin)
}
