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
    /// It stands beside the frame and has no box.
    pub beside: bool,
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

    /// The same beside the frame: a word that belongs to the callout and into no compartment.
    #[must_use]
    pub const fn beside(mut self) -> Self {
        self.beside = true;
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

/// How the compartment of the symbol goes on into the segments above and below, of a composite frame:
/// by how many millimetres, `None` where it ends at the border.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reach {
    /// Up, to the segment above, which has the symbol.
    pub above: Option<f64>,
    /// Down, to the segment below.
    pub below: Option<f64>,
}

/// The frame with its upper left corner at `at`, `height` millimetres high, as one
/// group that says what it holds; and its width in millimetres.
#[must_use]
pub fn control_frame(at: impl Into<Point>, height: f64, cells: &[Cell]) -> (Vec<Mark>, f64) {
    segment_frame(at, height, cells, Reach::default())
}

/// A composite frame (ASME Y14.5-2018, 10.5.1): one symbol in a compartment that spans all
/// `segments`, each `height` millimetres high; and its width. Each segment brings the symbol as its
/// first cell.
#[must_use]
pub fn composite_frame(
    at: impl Into<Point>,
    height: f64,
    segments: &[Vec<Cell>],
) -> (Vec<Mark>, f64) {
    let at = at.into();
    let (mut marks, mut wide, mut top) = (Vec::new(), 0.0_f64, at.y);
    for (i, cells) in segments.iter().enumerate() {
        let reach =
            Reach { above: (i > 0).then_some(0.0), below: (i + 1 < segments.len()).then_some(0.0) };
        // The symbol stands in the middle of its compartment.
        let middle = 0.5 * (at.y + top + height) + 0.5 * height * count(segments.len() - 1 - i);
        let (frame, width) = segment((at.x, top).into(), height, cells, reach, middle);
        marks.extend(frame);
        wide = wide.max(width);
        top += height;
    }
    (marks, wide)
}

/// One segment of a composite frame where the segments do not touch each other, as in a table that has
/// a row for each: the compartment of the symbol reaches to those above and below. The upper one has
/// the symbol.
#[must_use]
pub fn segment_frame(
    at: impl Into<Point>,
    height: f64,
    cells: &[Cell],
    reach: Reach,
) -> (Vec<Mark>, f64) {
    let at = at.into();
    segment(at, height, cells, reach, at.y + height / 2.0)
}

#[expect(clippy::cast_precision_loss, reason = "a few segments")]
const fn count(n: usize) -> f64 {
    n as f64
}

/// A segment whose symbol, if it has one, stands at the height `middle`.
fn segment(at: Point, height: f64, cells: &[Cell], reach: Reach, middle: f64) -> (Vec<Mark>, f64) {
    let stroke = line(height * part::SYMBOL, Ink::Ink);
    let alone = reach == Reach::default();
    let mut marks = Vec::new();
    let (mut left, mut boxed, mut first) = (at.x, at.x, at.x);
    for (index, cell) in cells.iter().enumerate() {
        if index > 0 && !cell.beside && (alone || index > 1) {
            let divider = Line::new((left, at.y), (left, at.y + height), stroke);
            marks.push(divider.into());
        }
        let room = cell_width(height, cell);
        let mut pen = left + (room - content_width(height, cell)) / 2.0;
        let shown = index > 0 || reach.above.is_none();
        for piece in cell.pieces.iter().filter(|_| shown) {
            let wide = piece_width(height, piece);
            let top = if index == 0 { middle - height / 2.0 } else { at.y };
            marks.extend(draw(piece, pen, top, height, stroke));
            pen += wide + part::GAP * height;
        }
        left += room;
        if !cell.beside {
            boxed = left;
        }
        if index == 0 {
            first = left;
        }
    }
    if alone {
        let border = Rect::new(at, boxed - at.x, height).stroke(stroke);
        marks.push(border.into());
    } else {
        marks.push(Rect::new((first, at.y), boxed - first, height).stroke(stroke).into());
        marks.extend(open_compartment(at, first, height, reach, stroke));
    }
    let said: Vec<String> = match reach.above {
        None => cells.iter().map(Cell::spoken).collect(),
        Some(_) => std::iter::once("lower segment".to_owned())
            .chain(cells.iter().skip(1).map(Cell::spoken))
            .collect(),
    };
    let tag = Tag::new("control-frame").label(said.join(" | "));
    (vec![Group::new(tag, marks).into()], left - at.x)
}

/// The compartment of the symbol of one segment, from `at` to `right`, open where it goes on.
fn open_compartment(at: Point, right: f64, height: f64, reach: Reach, stroke: Stroke) -> Vec<Mark> {
    let (top, bottom) = (at.y, at.y + height);
    let (up, down) = (top - reach.above.unwrap_or(0.0), bottom + reach.below.unwrap_or(0.0));
    let mut lines = vec![Line::new((at.x, up), (at.x, down), stroke)];
    if up < top {
        lines.push(Line::new((right, up), (right, top), stroke));
    }
    if down > bottom {
        lines.push(Line::new((right, bottom), (right, down), stroke));
    }
    if reach.above.is_none() {
        lines.push(Line::new((at.x, top), (right, top), stroke));
    }
    if reach.below.is_none() {
        lines.push(Line::new((at.x, bottom), (right, bottom), stroke));
    }
    lines.into_iter().map(Into::into).collect()
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

    /// The symbols of position in a group, by their places: each is one group of strokes.
    fn symbols(marks: &[Mark]) -> usize {
        let bare = control_frame((0.0, 0.0), 6.0, &position()[1..]).0;
        let strokes = |marks: &[Mark]| {
            let groups = marks.iter().filter_map(|m| match m {
                Mark::Group(g) => Some(&g.marks),
                _ => None,
            });
            groups.flatten().filter(|m| matches!(m, Mark::Circle(_))).count()
        };
        // A frame without the symbol has the circles of the diameter and of two modifiers.
        let segments = marks.len();
        strokes(marks) - segments * strokes(&bare)
    }

    #[test]
    fn a_composite_frame_has_one_symbol_and_one_compartment_for_it() {
        let segments = [position(), position(), position()];
        let (marks, width) = composite_frame((0.0, 0.0), 6.0, &segments);
        assert!((width - control_frame_width(6.0, &position())).abs() < 1e-9);
        assert_eq!(symbols(&marks), 1);
        assert_eq!(symbols(&control_frame((0.0, 0.0), 6.0, &position()).0), 1);
        // No line crosses the compartment of the symbol between the segments.
        let inside = cell_width(6.0, &position()[0]) / 2.0;
        let crossing = |y: f64| {
            let lines = marks.iter().filter_map(|m| match m {
                Mark::Group(g) => Some(g.marks.iter()),
                _ => None,
            });
            lines.flatten().any(|m| match m {
                Mark::Line(l) => {
                    (l.from.y - y).abs() < 1e-9
                        && (l.to.y - y).abs() < 1e-9
                        && l.from.x.min(l.to.x) < inside
                }
                Mark::Rect(r) => r.at.x < inside,
                _ => false,
            })
        };
        assert!(crossing(0.0) && crossing(18.0));
        assert!(!crossing(6.0) && !crossing(12.0));
    }

    #[test]
    fn what_stands_beside_a_frame_has_no_box() {
        let mut cells = position();
        let (_, bare) = control_frame((0.0, 0.0), 6.0, &cells);
        cells.push(Cell::new().text("along X").beside());
        let (marks, wide) = control_frame((0.0, 0.0), 6.0, &cells);
        assert!(wide > bare);
        let [Mark::Group(group)] = marks.as_slice() else { panic!("a frame is one group") };
        let border = group.marks.iter().find_map(|m| match m {
            Mark::Rect(r) => Some(r.width),
            _ => None,
        });
        assert!((border.unwrap() - bare).abs() < 1e-9);
    }
}
