//! Feature control frames: a requirement in compartments, as the drawing has it.
//!
//! Proportions after ISO 7083: the frame is twice as high as its letters.

use super::font::{Face, width};
use super::ink::Ink;
use super::mark::{Group, Line, Mark, Rect, Stroke, Tag};
use super::place::{Point, Text};
use super::symbol::{Symbol, line};

/// One piece of what stands in a compartment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// A symbol, drawn.
    Symbol(Symbol),
    /// Text: a figure, a datum letter.
    Text(String),
}

/// One compartment of a control frame.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// What stands in it, from left to right.
    pub pieces: Vec<Piece>,
}

impl Cell {
    /// An empty compartment.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// With a symbol added on the right.
    #[must_use]
    pub fn symbol(mut self, symbol: Symbol) -> Self {
        self.pieces.push(Piece::Symbol(symbol));
        self
    }

    /// With text added on the right.
    #[must_use]
    pub fn text(mut self, text: impl Into<String>) -> Self {
        self.pieces.push(Piece::Text(text.into()));
        self
    }

    /// What it says, in one line.
    fn spoken(&self) -> String {
        let mut said = String::new();
        for piece in &self.pieces {
            match piece {
                // The diameter sign belongs to the figure behind it.
                Piece::Symbol(Symbol::Diameter) => said.push_str(Symbol::Diameter.spoken()),
                Piece::Symbol(symbol) => {
                    if !said.is_empty() {
                        said.push(' ');
                    }
                    said.push_str(symbol.spoken());
                }
                Piece::Text(text) => said.push_str(text),
            }
        }
        said
    }
}

/// Lengths of a frame in units of its height.
mod part {
    use crate::mark::Face;

    /// Height of a capital letter.
    pub(super) const LETTER: f64 = 0.48;
    /// Font size.
    pub(super) const SIZE: f64 = LETTER / Face::CAP_HEIGHT;
    /// Height of a symbol.
    pub(super) const SYMBOL: f64 = 0.66;
    /// Room at both ends of a compartment.
    pub(super) const MARGIN: f64 = 0.2;
    /// Room between two pieces.
    pub(super) const GAP: f64 = 0.13;
}

/// The frame with its upper left corner at `at`, `height` millimetres high, as one
/// group that says what it holds; and its width in millimetres.
#[must_use]
pub fn control_frame(at: impl Into<Point>, height: f64, cells: &[Cell]) -> (Vec<Mark>, f64) {
    let at = at.into();
    let stroke = line(height * part::SYMBOL, Ink::Ink);
    let mut marks = Vec::new();
    let mut left = at.x;
    for (index, cell) in cells.iter().enumerate() {
        if index > 0 {
            let divider = Line::new((left, at.y), (left, at.y + height), stroke);
            marks.push(divider.into());
        }
        let room = cell_width(height, cell);
        let mut pen = left + (room - content_width(height, cell)) / 2.0;
        for piece in &cell.pieces {
            let wide = piece_width(height, piece);
            marks.extend(draw(piece, pen, at.y, height, stroke));
            pen += wide + part::GAP * height;
        }
        left += room;
    }
    let total = left - at.x;
    let border = Rect::new(at, total, height).stroke(stroke);
    marks.push(border.into());

    let said: Vec<String> = cells.iter().map(Cell::spoken).collect();
    let tag = Tag::new("control-frame").label(said.join(" | "));
    (vec![Group::new(tag, marks).into()], total)
}

/// The width in millimetres of the frame that [`control_frame`] draws.
#[must_use]
pub fn control_frame_width(height: f64, cells: &[Cell]) -> f64 {
    cells.iter().map(|cell| cell_width(height, cell)).sum()
}

/// One piece with its left side at `left`, in a frame whose upper side is at `top`.
fn draw(piece: &Piece, left: f64, top: f64, height: f64, stroke: Stroke) -> Vec<Mark> {
    match piece {
        Piece::Symbol(symbol) => {
            let centre = (left + piece_width(height, piece) / 2.0, top + height / 2.0);
            symbol.draw(centre, part::SYMBOL * height, stroke)
        }
        Piece::Text(text) => {
            let baseline = top + height * (1.0 + part::LETTER) / 2.0;
            vec![Text::new((left, baseline), text.as_str(), part::SIZE * height).into()]
        }
    }
}

/// A compartment is at least as wide as high.
fn cell_width(height: f64, cell: &Cell) -> f64 {
    (content_width(height, cell) + 2.0 * part::MARGIN * height).max(height)
}

fn content_width(height: f64, cell: &Cell) -> f64 {
    let pieces: f64 =
        cell.pieces.iter().map(|piece| piece_width(height, piece) + part::GAP * height).sum();
    (pieces - part::GAP * height).max(0.0)
}

fn piece_width(height: f64, piece: &Piece) -> f64 {
    match piece {
        Piece::Symbol(symbol) => symbol.aspect() * part::SYMBOL * height,
        Piece::Text(text) => width(Face::Sans, text, part::SIZE * height),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn position() -> Vec<Cell> {
        vec![
            Cell::new().symbol(Symbol::Position),
            Cell::new().symbol(Symbol::Diameter).text(".010").symbol(Symbol::MaximumMaterial),
            Cell::new().text("A"),
            Cell::new().text("B").symbol(Symbol::MaximumMaterial),
        ]
    }

    #[test]
    fn a_frame_says_what_it_holds() {
        let (marks, _) = control_frame((0.0, 0.0), 6.0, &position());
        let [Mark::Group(group)] = marks.as_slice() else {
            panic!("a frame is one group");
        };
        assert_eq!(group.tag.label.as_deref(), Some("position | ⌀.010 Ⓜ | A | B Ⓜ"));
        let texts: Vec<&str> = group
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Text(text) => Some(text.text.as_str()),
                _ => None,
            })
            .collect();
        assert_eq!(texts, [".010", "A", "B"]);
    }

    #[test]
    fn a_frame_is_as_wide_as_foretold_and_scales() {
        let (_, width) = control_frame((3.0, 4.0), 6.0, &position());
        assert!((width - control_frame_width(6.0, &position())).abs() < 1e-9);
        assert!((width / 2.0 - control_frame_width(3.0, &position())).abs() < 1e-9);
        assert!(width > 4.0 * 6.0);
    }
}
