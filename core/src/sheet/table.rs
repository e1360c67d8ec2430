//! A table as wide as its figures need: nothing in it is cut, and nothing reaches into its neighbour.

use super::paper::{Paper, size};
use crate::mark::{
    self, Face, Ink, Line, Reach, Stroke, Text, VerdictSign, control_frame_width, segment_frame,
    width, wrap,
};

/// How a column's cells stand in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Align {
    /// From its left, broken into lines where there is too little room.
    Left,
    /// To its right.
    Right,
    /// Decimal points under each other.
    Decimal,
}

/// What a column holds.
#[derive(Clone, Debug)]
pub(super) struct Head {
    text: String,
    align: Align,
    /// Narrower than this it never is: room to write in.
    least: f64,
    /// Its text is not broken into lines.
    unbroken: bool,
}

impl Head {
    pub(super) fn new(text: impl Into<String>, align: Align) -> Self {
        Self { text: text.into(), align, least: 0.0, unbroken: false }
    }

    /// With text that is not broken into lines.
    pub(super) fn unbroken(self) -> Self {
        Self { unbroken: true, ..self }
    }

    /// With room to write.
    pub(super) fn least(self, least: f64) -> Self {
        Self { least, ..self }
    }
}

/// What stands in one place of the table: lines under each other.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    lines: Vec<String>,
    face: Face,
    ink: Ink,
    /// So many columns it reaches across.
    across: usize,
    drawn: Drawn,
}

/// Whether further segments of a composite callout stand in the rows above and below.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Segments {
    /// The segment that has the symbol, or one between.
    pub(super) above: bool,
    /// A lower one.
    pub(super) below: bool,
}

/// What is drawn in a cell.
#[derive(Clone, Debug)]
enum Drawn {
    Nothing,
    /// A control frame, instead of text.
    Frame(Vec<mark::Cell>, Segments),
    /// The sign of a verdict before its words, which are the first line.
    Sign(VerdictSign),
}

/// Height of a control frame, and the least at which its letters are not too small.
const FRAME: f64 = 3.9;
const LEAST_FRAME: f64 = 3.52;
/// Room for the sign of a verdict.
const SIGN: f64 = 3.6;

impl Cell {
    /// Figures under each other.
    pub(super) fn lines(lines: Vec<String>) -> Self {
        Self { lines, face: Face::Sans, ink: Ink::Ink, across: 1, drawn: Drawn::Nothing }
    }

    /// A control frame.
    pub(super) fn frame(cells: Vec<mark::Cell>) -> Self {
        Self::segment(cells, Segments::default())
    }

    /// The feature control frame of one segment of a composite callout, whose others stand in the
    /// rows above and below.
    pub(super) fn segment(cells: Vec<mark::Cell>, segments: Segments) -> Self {
        Self { drawn: Drawn::Frame(cells, segments), ..Self::lines(Vec::new()) }
    }

    /// A verdict with its sign, and a note under it.
    pub(super) fn signed(sign: VerdictSign, words: &str, note: &str, face: Face, ink: Ink) -> Self {
        let lines = [words, note].into_iter().filter(|l| !l.is_empty()).map(str::to_owned);
        Self { drawn: Drawn::Sign(sign), face, ink, ..Self::lines(lines.collect()) }
    }

    /// Reaching across so many columns.
    pub(super) fn across(self, across: usize) -> Self {
        Self { across, ..self }
    }

    /// Whether it reaches across further columns.
    pub(super) const fn is_across(&self) -> bool {
        self.across > 1
    }

    /// In soft ink, as labels are; of the size of a label.
    pub(super) fn soft(self) -> Self {
        Self { ink: Ink::Soft, ..self }
    }

    /// Where its text begins, from the left of the cell.
    fn indent(&self) -> f64 {
        if matches!(self.drawn, Drawn::Sign(_)) { SIGN } else { 0.0 }
    }

    /// The face and the ink of a line: notes under a verdict are plain.
    fn style(&self, line: usize) -> (Face, Ink) {
        match self.drawn {
            Drawn::Sign(_) if line > 0 => (Face::Sans, Ink::Ink),
            _ => (self.face, self.ink),
        }
    }

    /// Nothing stands in it.
    pub(super) fn is_empty(&self) -> bool {
        self.lines.is_empty() && matches!(self.drawn, Drawn::Nothing)
    }

    pub(super) fn bold(self) -> Self {
        Self { face: Face::SansBold, ..self }
    }
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Self {
        let text = text.into();
        Self::lines(if text.is_empty() { Vec::new() } else { vec![text] })
    }
}

/// A table that goes on to further pages.
#[derive(Clone, Debug)]
pub(super) struct Table {
    heads: Vec<Head>,
    rows: Vec<Vec<Cell>>,
    /// From one line to the next.
    step: f64,
    /// A row that begins a page needs the one before it: it says what the row is of.
    pub(super) tied: fn(&[Cell]) -> bool,
}

/// Room left of and right of a cell's text.
const PAD: f64 = 1.1;
/// Room above and below the lines of a row.
const AROUND: f64 = 1.0;

/// Where one column stands.
#[derive(Clone, Copy, Debug)]
struct Place {
    left: f64,
    width: f64,
    /// Of decimal columns: from its right end to the decimal point.
    behind: f64,
}

impl Table {
    pub(super) fn new(heads: Vec<Head>) -> Self {
        Self { heads, rows: Vec::new(), step: size::TEXT * 1.26, tied: |_| false }
    }

    /// With lines so far apart: room for a pen.
    pub(super) fn step(self, step: f64) -> Self {
        Self { step, ..self }
    }

    pub(super) fn row(&mut self, cells: Vec<Cell>) {
        self.rows.push(cells);
    }

    pub(super) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Heads and the first row, so that neither stands alone.
    pub(super) fn first(&self, room: f64) -> f64 {
        let places = self.places(0.0, room);
        self.head_height()
            + self.rows.first().map_or(0.0, |row| self.height(&self.broken(row, &places)))
    }

    /// How high it is on one page, from `x` and so wide at most.
    pub(super) fn all(&self, room: f64) -> f64 {
        let places = self.places(0.0, room);
        let rows = self.rows.iter().map(|row| self.height(&self.broken(row, &places)));
        self.head_height() + rows.sum::<f64>()
    }

    /// Puts it from `x` and `paper.y`, `room` wide at most; on further pages from the left.
    pub(super) fn put(&self, paper: &mut Paper<'_>, x: f64, room: f64) {
        let mut places = self.places(x, room);
        self.put_heads(paper, &places);
        let rows: Vec<Vec<Cell>> = self.rows.iter().map(|row| self.broken(row, &places)).collect();
        let mut fresh = true;
        for (i, row) in rows.iter().enumerate() {
            let mut row = row.clone();
            // What goes with this row stays with it.
            let tail = rows.iter().skip(i + 1).take_while(|r| (self.tied)(r)).take(3);
            let need = self.height(&row) + tail.map(|r| self.height(r)).sum::<f64>();
            let again = |paper: &mut Paper<'_>, places: &mut Vec<Place>| {
                paper.resume();
                *places = self.places(paper.left(), room);
                self.put_heads(paper, places);
            };
            if paper.y + need > paper.bottom() && !fresh && !(self.tied)(&row) {
                again(paper, &mut places);
            }
            // A row that is higher than a page is broken where it must be.
            loop {
                let lines = row.iter().map(|c| c.lines.len()).max().unwrap_or(0);
                let left = paper.bottom() - paper.y - AROUND;
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a page of lines"
                )]
                let fit = (left / self.step).max(0.0) as usize;
                if lines <= fit {
                    break;
                }
                if fit > 0 {
                    let rest = row.iter_mut().map(|c| c.lines.split_off(fit.min(c.lines.len())));
                    let rest: Vec<Vec<String>> = rest.collect();
                    self.put_row(paper, &places, &row);
                    for (i, (cell, lines)) in row.iter_mut().zip(rest).enumerate() {
                        // The first column says what it is, on every page.
                        if i > 0 {
                            cell.lines = lines;
                        }
                    }
                }
                again(paper, &mut places);
            }
            self.put_row(paper, &places, &row);
            fresh = false;
        }
    }

    fn put_heads(&self, paper: &mut Paper<'_>, places: &[Place]) {
        let height = self.head_height();
        for (head, place) in self.heads.iter().zip(places) {
            let count = head.text.lines().count();
            for (n, line) in head.text.lines().enumerate() {
                #[expect(clippy::cast_precision_loss, reason = "a few lines")]
                let up = (count - 1 - n) as f64 * HEAD_STEP;
                let y = paper.y + height - 1.4 - up;
                let text = match head.align {
                    Align::Left => Text::new((place.left + PAD, y), line, size::SMALL),
                    Align::Right | Align::Decimal => {
                        Text::new((place.left + place.width - PAD, y), line, size::SMALL).end()
                    }
                };
                paper.put(text.ink(Ink::Soft));
            }
        }
        paper.y += height;
        let (from, to) = ends(places);
        let y = paper.y;
        paper.put(Line::new((from, y), (to, y), Stroke::OUTLINE));
    }

    fn head_height(&self) -> f64 {
        let lines = self.heads.iter().map(|h| h.text.lines().count()).max().unwrap_or(1);
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let lines = lines as f64;
        lines * HEAD_STEP + 1.2
    }

    fn put_row(&self, paper: &mut Paper<'_>, places: &[Place], row: &[Cell]) {
        for ((cell, place), head) in row.iter().zip(places).zip(&self.heads) {
            let mut y = paper.y + AROUND / 2.0 + self.step - 0.27 * size::TEXT;
            match &cell.drawn {
                Drawn::Nothing => {}
                Drawn::Frame(cells, segments) => {
                    let wide = control_frame_width(FRAME, cells);
                    let high = (FRAME * (place.width - 2.0 * PAD) / wide).clamp(LEAST_FRAME, FRAME);
                    let gap = (self.height(&[]) - high) / 2.0;
                    let corner = (place.left + PAD, paper.y + gap);
                    // To the borders of the row, where the rows above and below take it over.
                    let reach = Reach {
                        above: segments.above.then_some(gap),
                        below: segments.below.then_some(self.height(row) - gap - high),
                    };
                    let (marks, _) = segment_frame(corner, high, cells, reach);
                    marks.into_iter().for_each(|mark| paper.put(mark));
                }
                Drawn::Sign(sign) => {
                    paper.put(sign.draw((place.left + PAD + 1.2, y - 0.95), 2.4));
                }
            }
            for (n, line) in cell.lines.iter().enumerate() {
                let (face, ink) = cell.style(n);
                let left = place.left + PAD + if n == 0 { cell.indent() } else { 0.0 };
                let text = match head.align {
                    _ if cell.across > 1 => Text::new((left, y), line, size::TEXT),
                    Align::Left => Text::new((left, y), line, size::TEXT),
                    Align::Right => {
                        Text::new((place.left + place.width - PAD, y), line, size::TEXT).end()
                    }
                    Align::Decimal => Text::new(
                        (place.left + place.width - PAD - place.behind, y),
                        line,
                        size::TEXT,
                    )
                    .decimal(),
                };
                paper.put(text.face(face).ink(ink));
                y += self.step;
            }
        }
        paper.y += self.height(row);
        let (from, to) = ends(places);
        let y = paper.y;
        paper.put(Line::new((from, y), (to, y), Stroke::HAIR));
    }

    /// Height of a row whose cells are broken into their lines.
    fn height(&self, row: &[Cell]) -> f64 {
        let lines = row.iter().map(|c| c.lines.len()).max().unwrap_or(0).max(1);
        #[expect(clippy::cast_precision_loss, reason = "a page of lines")]
        let lines = lines as f64;
        lines * self.step + AROUND
    }

    /// The cells of a row, their text broken to the width of its column.
    fn broken(&self, row: &[Cell], places: &[Place]) -> Vec<Cell> {
        let of = |(i, ((cell, place), head)): (usize, ((&Cell, &Place), &Head))| {
            if head.align != Align::Left && cell.across == 1 {
                return cell.clone();
            }
            let across = places.iter().skip(i).take(cell.across).map(|p| p.width).sum::<f64>();
            let room = across.max(place.width) - 2.0 * PAD + 1e-9;
            let lines = cell.lines.iter().enumerate().flat_map(|(n, l)| {
                let indent = if n == 0 { cell.indent() } else { 0.0 };
                wrap(cell.style(n).0, l, size::TEXT, room - indent)
            });
            Cell { lines: lines.collect(), ..cell.clone() }
        };
        row.iter().zip(places).zip(&self.heads).enumerate().map(of).collect()
    }

    /// How wide each column is: as its cells need, where there is room; text is broken into lines
    /// where there is not.
    fn places(&self, x: f64, room: f64) -> Vec<Place> {
        let wanted: Vec<(f64, f64)> = (0..self.heads.len()).map(|i| self.wanted(i)).collect();
        let mut widths: Vec<f64> = wanted.iter().map(|w| w.0).collect();
        let over = widths.iter().sum::<f64>() - room;
        if over > 0.0 {
            let give = |i: usize| {
                let text = self.heads.get(i).is_some_and(|h| h.align == Align::Left && !h.unbroken);
                if text { (widths[i] - self.narrowest(i)).max(0.0) } else { 0.0 }
            };
            let gives: Vec<f64> = (0..widths.len()).map(give).collect();
            let all = gives.iter().sum::<f64>().max(1e-9);
            let share = (over / all).min(1.0);
            for (width, give) in widths.iter_mut().zip(gives) {
                *width -= give * share;
            }
        }
        let mut left = x;
        let mut places = Vec::new();
        for (width, (_, behind)) in widths.into_iter().zip(wanted) {
            places.push(Place { left, width, behind });
            left += width;
        }
        places
    }

    /// The least width of a column of text: that of its longest word, of its narrowest frame, of a
    /// verdict.
    fn narrowest(&self, index: usize) -> f64 {
        let cells = self.rows.iter().filter_map(|row| row.get(index)).filter(|c| c.across == 1);
        let of = |cell: &Cell| {
            if let Drawn::Frame(cells, _) = &cell.drawn {
                return control_frame_width(LEAST_FRAME, cells);
            }
            let lines = cell.lines.iter().enumerate().map(|(n, line)| {
                let (face, _) = cell.style(n);
                // A verdict stays in one line.
                let whole = n == 0 && matches!(cell.drawn, Drawn::Sign(_));
                let words: Vec<&str> = if whole { vec![line] } else { line.split(' ').collect() };
                let wide = words.into_iter().map(|w| width(face, w, size::TEXT));
                wide.fold(0.0, f64::max) + if n == 0 { cell.indent() } else { 0.0 }
            });
            lines.fold(0.0, f64::max)
        };
        let heads = self.heads.get(index).map_or(0.0, |h| {
            h.text.lines().map(|l| width(Face::Sans, l, size::SMALL)).fold(h.least, f64::max)
        });
        cells.map(of).fold(heads, f64::max) + 2.0 * PAD
    }

    /// How wide it is at least, with text broken into lines.
    pub(super) fn least(&self) -> f64 {
        (0..self.heads.len())
            .map(|i| match self.heads.get(i) {
                Some(h) if h.align == Align::Left && !h.unbroken => self.narrowest(i),
                _ => self.wanted(i).0,
            })
            .sum()
    }

    /// The width that a column wants, and the room behind its decimal points.
    fn wanted(&self, index: usize) -> (f64, f64) {
        let Some(head) = self.heads.get(index) else { return (0.0, 0.0) };
        let heads = head.text.lines().map(|l| width(Face::Sans, l, size::SMALL));
        let least = heads.fold(head.least - 2.0 * PAD, f64::max);
        let cells = self.rows.iter().filter_map(|row| row.get(index));
        let (mut before, mut behind) = (0.0_f64, 0.0_f64);
        for cell in cells.filter(|c| c.across == 1) {
            if let Drawn::Frame(cells, _) = &cell.drawn {
                before = before.max(control_frame_width(FRAME, cells));
            }
            for (n, line) in cell.lines.iter().enumerate() {
                // A note is as wide as the verdict over it.
                if n > 0 && matches!(cell.drawn, Drawn::Sign(_)) {
                    continue;
                }
                let whole = width(cell.face, line, size::TEXT) + cell.indent();
                let point = line.find(['.', ',']).filter(|_| head.align == Align::Decimal);
                let front = point.and_then(|p| line.get(..p)).unwrap_or(line);
                let front = width(cell.face, front, size::TEXT) + cell.indent();
                before = before.max(front);
                behind = behind.max(whole - front);
            }
        }
        ((before + behind).max(least) + 2.0 * PAD, behind)
    }
}

/// From one line of a head to the next.
const HEAD_STEP: f64 = size::SMALL * 1.25;

fn ends(places: &[Place]) -> (f64, f64) {
    let first = places.first().map_or(0.0, |p| p.left);
    (first, places.last().map_or(first, |p| p.left + p.width))
}
