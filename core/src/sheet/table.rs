//! A table as wide as its figures need: nothing in it is cut, and nothing reaches into its neighbour.

use super::paper::{Paper, size};
use crate::mark::{Face, Ink, Line, Stroke, Text, width, wrap};

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
}

impl Head {
    pub(super) fn new(text: impl Into<String>, align: Align) -> Self {
        Self { text: text.into(), align, least: 0.0 }
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
}

impl Cell {
    /// Figures under each other.
    pub(super) fn lines(lines: Vec<String>) -> Self {
        Self { lines, face: Face::Sans, ink: Ink::Ink }
    }

    /// Nothing stands in it.
    pub(super) fn is_empty(&self) -> bool {
        self.lines.is_empty()
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
        self.head_height() + self.rows.first().map_or(0.0, |row| self.height(&self.broken(row, &places)))
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
            for line in &cell.lines {
                let text = match head.align {
                    Align::Left => Text::new((place.left + PAD, y), line, size::TEXT),
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
                paper.put(text.face(cell.face).ink(cell.ink));
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
        let of = |((cell, place), head): ((&Cell, &Place), &Head)| {
            if head.align != Align::Left {
                return cell.clone();
            }
            let room = place.width - 2.0 * PAD + 1e-9;
            let lines = cell.lines.iter().flat_map(|l| wrap(cell.face, l, size::TEXT, room));
            Cell { lines: lines.collect(), ..cell.clone() }
        };
        row.iter().zip(places).zip(&self.heads).map(of).collect()
    }

    /// How wide each column is: as its cells need, where there is room; text is broken into lines
    /// where there is not.
    fn places(&self, x: f64, room: f64) -> Vec<Place> {
        let wanted: Vec<(f64, f64)> = (0..self.heads.len()).map(|i| self.wanted(i)).collect();
        let mut widths: Vec<f64> = wanted.iter().map(|w| w.0).collect();
        let over = widths.iter().sum::<f64>() - room;
        if over > 0.0 {
            let give = |i: usize| {
                let text = self.heads.get(i).is_some_and(|h| h.align == Align::Left);
                if text { (widths[i] - LEAST_TEXT).max(0.0) } else { 0.0 }
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

    /// The width that a column wants, and the room behind its decimal points.
    fn wanted(&self, index: usize) -> (f64, f64) {
        let Some(head) = self.heads.get(index) else { return (0.0, 0.0) };
        let heads = head.text.lines().map(|l| width(Face::Sans, l, size::SMALL));
        let least = heads.fold(head.least - 2.0 * PAD, f64::max);
        let cells = self.rows.iter().filter_map(|row| row.get(index));
        let (mut before, mut behind) = (0.0_f64, 0.0_f64);
        for cell in cells {
            for line in &cell.lines {
                let whole = width(cell.face, line, size::TEXT);
                let point = line.find(['.', ',']).filter(|_| head.align == Align::Decimal);
                let front = point.and_then(|p| line.get(..p)).unwrap_or(line);
                let front = width(cell.face, front, size::TEXT);
                before = before.max(front);
                behind = behind.max(whole - front);
            }
        }
        ((before + behind).max(least) + 2.0 * PAD, behind)
    }
}

/// From one line of a head to the next.
const HEAD_STEP: f64 = size::SMALL * 1.25;
/// A column of text is never made narrower than this.
const LEAST_TEXT: f64 = 17.0;

fn ends(places: &[Place]) -> (f64, f64) {
    let first = places.first().map_or(0.0, |p| p.left);
    (first, places.last().map_or(first, |p| p.left + p.width))
}
