//! Columns of a table: heads, and cells whose decimal points stand under each other.

use super::paper::{Paper, size};
use crate::mark::{Face, Ink, Line, Stroke, Text, fit, width};

/// How a column's cells stand in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Align {
    /// From its left.
    Left,
    /// To its right.
    Right,
    /// Decimal points under each other, with room for this many decimals behind them.
    Decimal(usize),
}

/// One column.
#[derive(Clone, Debug)]
pub(super) struct Column {
    /// What it holds.
    pub(super) head: String,
    /// Width in millimetres.
    pub(super) width: f64,
    /// How its cells stand.
    pub(super) align: Align,
}

impl Column {
    pub(super) fn new(head: impl Into<String>, width: f64, align: Align) -> Self {
        Self { head: head.into(), width, align }
    }
}

/// A table's columns, placed from `x`.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    pub(super) columns: Vec<Column>,
    pub(super) x: f64,
}

/// Room left of and right of a cell's text.
const PAD: f64 = 1.1;

impl Columns {
    /// Left end of a column.
    pub(super) fn left(&self, index: usize) -> f64 {
        self.x + self.columns.iter().take(index).map(|c| c.width).sum::<f64>()
    }

    /// Width of all of them.
    pub(super) fn width(&self) -> f64 {
        self.columns.iter().map(|c| c.width).sum()
    }

    /// The heads, with a line under them; moves `paper.y` below it.
    pub(super) fn heads(&self, paper: &mut Paper<'_>) {
        let lines = self.columns.iter().map(|c| c.head.lines().count()).max().unwrap_or(1);
        let step = size::SMALL * 1.25;
        #[allow(clippy::cast_precision_loss, reason = "a few lines")]
        let height = lines as f64 * step + 1.2;
        for (i, column) in self.columns.iter().enumerate() {
            let count = column.head.lines().count();
            for (n, line) in column.head.lines().enumerate() {
                #[allow(clippy::cast_precision_loss, reason = "a few lines")]
                let up = (count - 1 - n) as f64 * step;
                let y = paper.y + height - 1.4 - up;
                let text = match column.align {
                    Align::Left => Text::new((self.left(i) + PAD, y), line, size::SMALL),
                    Align::Right | Align::Decimal(_) => {
                        Text::new((self.left(i) + column.width - PAD, y), line, size::SMALL).end()
                    }
                };
                paper.put(text.ink(Ink::Soft));
            }
        }
        paper.y += height;
        let y = paper.y;
        paper.put(Line::new((self.x, y), (self.x + self.width(), y), Stroke::OUTLINE));
    }

    /// A cell on the baseline `y`.
    pub(super) fn cell(
        &self,
        paper: &mut Paper<'_>,
        index: usize,
        y: f64,
        text: &str,
        face: Face,
        ink: Ink,
    ) {
        let Some(column) = self.columns.get(index) else { return };
        if text.is_empty() {
            return;
        }
        let left = self.left(index);
        let room = column.width - 2.0 * PAD;
        let mark = match column.align {
            Align::Left => {
                Text::new((left + PAD, y), fit(face, text, size::TEXT, room), size::TEXT)
            }
            Align::Right => Text::new(
                (left + column.width - PAD, y),
                fit(face, text, size::TEXT, room),
                size::TEXT,
            )
            .end(),
            Align::Decimal(decimals) => {
                let right = left + column.width - PAD;
                let behind =
                    width(face, ".", size::TEXT) + width(face, &"0".repeat(decimals), size::TEXT);
                let (wide, at) = (width(face, text, size::TEXT), text.find('.'));
                let tail = at.map_or(0.0, |at| width(face, &text[at..], size::TEXT));
                let before = wide - tail;
                if tail <= behind + 0.01 && before + behind <= room + PAD {
                    Text::new((right - behind, y), text, size::TEXT).decimal()
                } else {
                    // A figure is never cut and never stands in the next column: it ends where the
                    // column does, in smaller type where it must.
                    let em = size::TEXT * (room / wide).min(1.0);
                    Text::new((right, y), text, em).end()
                }
            }
        };
        paper.put(mark.face(face).ink(ink));
    }

    /// A hairline across the table at `y`.
    pub(super) fn rule(&self, paper: &mut Paper<'_>, y: f64) {
        paper.put(Line::new((self.x, y), (self.x + self.width(), y), Stroke::HAIR));
    }
}
