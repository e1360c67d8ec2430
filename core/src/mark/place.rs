//! Where text stands: points, anchors, turns, and a line of text itself.

use super::font::{Face, advance};
use super::ink::Ink;
use super::text::drawn;

/// A place on the page in millimetres, from the upper left corner, y down.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl Point {
    /// A place from its two coordinates in millimetres.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The place `dx` to the right and `dy` down from here, in millimetres.
    #[must_use]
    pub const fn by(self, dx: f64, dy: f64) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }

    /// The place at `distance` millimetres from here in the direction `angle`:
    /// radians, counter-clockwise on the page from the right.
    #[must_use]
    pub fn toward(self, angle: f64, distance: f64) -> Self {
        self.by(distance * libm::cos(angle), -distance * libm::sin(angle))
    }
}

impl From<(f64, f64)> for Point {
    fn from((x, y): (f64, f64)) -> Self {
        Self::new(x, y)
    }
}

/// Which part of a line of text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// Its beginning.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
    /// Its decimal point (or comma); the end of a figure that has none. Figures in a
    /// column with this anchor have their decimal points under each other.
    Decimal,
}

/// Which way a line of text runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Turn {
    /// Left to right.
    #[default]
    Level,
    /// Upward: a quarter turn counter-clockwise.
    Up,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where the anchor stands, on the baseline.
    pub at: Point,
    /// What it says. Drawn as [`drawn`] has it.
    pub text: String,
    /// Font size in millimetres (the em; capitals are 0.729 of it high).
    pub size: f64,
    /// The typeface.
    pub face: Face,
    /// What stands at the place.
    pub anchor: Anchor,
    /// The colour.
    pub ink: Ink,
    /// The direction.
    pub turn: Turn,
}

impl Text {
    /// A line of text in the regular face and ink that starts at `at`.
    #[must_use]
    pub fn new(at: impl Into<Point>, text: impl Into<String>, size: f64) -> Self {
        Self {
            at: at.into(),
            text: text.into(),
            size,
            face: Face::Sans,
            anchor: Anchor::Start,
            ink: Ink::Ink,
            turn: Turn::Level,
        }
    }

    /// In the bold face.
    #[must_use]
    pub fn bold(mut self) -> Self {
        self.face = Face::SansBold;
        self
    }

    /// In this face.
    #[must_use]
    pub fn face(mut self, face: Face) -> Self {
        self.face = face;
        self
    }

    /// With this part at its place.
    #[must_use]
    pub fn anchor(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    /// With its middle at its place.
    #[must_use]
    pub fn middle(self) -> Self {
        self.anchor(Anchor::Middle)
    }

    /// With its end at its place.
    #[must_use]
    pub fn end(self) -> Self {
        self.anchor(Anchor::End)
    }

    /// With its decimal point at its place.
    #[must_use]
    pub fn decimal(self) -> Self {
        self.anchor(Anchor::Decimal)
    }

    /// In this colour.
    #[must_use]
    pub fn ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }

    /// Running this way.
    #[must_use]
    pub fn turn(mut self, turn: Turn) -> Self {
        self.turn = turn;
        self
    }

    /// Length in millimetres.
    #[must_use]
    pub fn width(&self) -> f64 {
        advance(self.face, &drawn(&self.text), self.size)
    }

    /// The same line with [`Anchor::Decimal`] resolved to a start, and every other
    /// anchor as it is.
    #[must_use]
    pub fn settled(&self) -> Self {
        let mut settled = self.clone();
        if self.anchor == Anchor::Decimal {
            settled.at = self.start();
            settled.anchor = Anchor::Start;
        }
        settled
    }

    /// Where the line begins, on the baseline, whatever its anchor.
    #[must_use]
    pub fn start(&self) -> Point {
        let text = drawn(&self.text);
        let before = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => advance(self.face, &text, self.size) / 2.0,
            Anchor::End => advance(self.face, &text, self.size),
            Anchor::Decimal => {
                let whole = text.find(['.', ',']).and_then(|point| text.get(..point));
                advance(self.face, whole.unwrap_or(&text), self.size)
            }
        };
        match self.turn {
            Turn::Level => self.at.by(-before, 0.0),
            Turn::Up => self.at.by(0.0, before),
        }
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "the same sum must come out the same")]
mod tests {
    use super::*;
    use crate::mark::width;

    #[test]
    fn decimal_points_stand_under_each_other() {
        for figure in ["−.0042", "+12.5", "0.125", "1,5", ".5"] {
            let text = Text::new((50.0, 10.0), figure, 3.0).decimal();
            let whole = &figure[..figure.find(['.', ',']).unwrap()];
            assert_eq!(text.start().x, 50.0 - width(Face::Sans, whole, 3.0));
            assert_eq!(text.settled().start(), text.start());
            assert_eq!(text.settled().anchor, Anchor::Start);
        }
    }

    #[test]
    fn a_whole_number_ends_where_its_point_would_be() {
        let text = Text::new((50.0, 10.0), "125", 3.0).decimal();
        assert_eq!(text.start().x, 50.0 - text.width());
    }

    #[test]
    fn text_that_runs_upward_starts_lower_down() {
        let text = Text::new((5.0, 40.0), "height", 3.0).turn(Turn::Up).end();
        assert_eq!(text.start(), Point::new(5.0, 40.0 + text.width()));
    }
}
