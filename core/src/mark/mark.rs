//! A mark: one thing on the page.

use super::ink::Ink;
use super::path::Path;
use super::place::{Point, Text};

/// One thing on the page.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A line of text.
    Text(Text),
    /// A straight line.
    Line(Line),
    /// Lines and curves.
    Path(Path),
    /// A rectangle, its corners rounded or not.
    Rect(Rect),
    /// A circle.
    Circle(Circle),
    /// Marks that stand for one thing.
    Group(Group),
}

/// How a line is drawn. Corners are round, ends are cut off square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// The colour.
    pub ink: Ink,
    /// Width in millimetres.
    pub width: f64,
    /// Lengths of dashes and gaps in turn, in millimetres; none for an unbroken line.
    pub dash: &'static [f64],
}

impl Stroke {
    /// A hairline for rules and centre lines.
    pub const HAIR: Self = Self::new(Ink::Hair, 0.13);
    /// A thin line for dimensions and symbols (line widths of ISO 128-2).
    pub const THIN: Self = Self::new(Ink::Ink, 0.18);
    /// The line of an outline.
    pub const OUTLINE: Self = Self::new(Ink::Ink, 0.35);
    /// The heaviest line: a border.
    pub const BORDER: Self = Self::new(Ink::Ink, 0.5);

    /// Dashes for what is not there, or is there by the bonus only.
    pub const DASHED: &'static [f64] = &[1.6, 0.9];
    /// Long and short dashes in turn: a centre line.
    pub const CHAIN: &'static [f64] = &[6.0, 1.0, 1.0, 1.0];

    /// An unbroken line of `width` millimetres.
    #[must_use]
    pub const fn new(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: &[] }
    }

    /// The same line, dashed.
    #[must_use]
    pub const fn dash(mut self, dash: &'static [f64]) -> Self {
        self.dash = dash;
        self
    }

    /// The same line in another colour.
    #[must_use]
    pub const fn ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
}

/// A straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// How it is drawn.
    pub stroke: Stroke,
}

impl Line {
    /// A line from one place to another.
    #[must_use]
    pub fn new(from: impl Into<Point>, to: impl Into<Point>, stroke: Stroke) -> Self {
        Self { from: from.into(), to: to.into(), stroke }
    }
}

/// A rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Its upper left corner.
    pub at: Point,
    /// Width in millimetres.
    pub width: f64,
    /// Height in millimetres.
    pub height: f64,
    /// Radius of its corners in millimetres; half its shorter side makes it a slot.
    pub radius: f64,
    /// How its outline is drawn.
    pub stroke: Option<Stroke>,
    /// What it is filled with.
    pub fill: Option<Ink>,
}

impl Rect {
    /// A rectangle with sharp corners, neither stroked nor filled yet.
    #[must_use]
    pub fn new(at: impl Into<Point>, width: f64, height: f64) -> Self {
        Self { at: at.into(), width, height, radius: 0.0, stroke: None, fill: None }
    }

    /// With round corners.
    #[must_use]
    pub fn radius(mut self, radius: f64) -> Self {
        self.radius = radius;
        self
    }

    /// Drawn with this line.
    #[must_use]
    pub fn stroke(mut self, stroke: Stroke) -> Self {
        self.stroke = Some(stroke);
        self
    }

    /// Filled with this.
    #[must_use]
    pub fn fill(mut self, ink: Ink) -> Self {
        self.fill = Some(ink);
        self
    }
}

/// A circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Its centre.
    pub centre: Point,
    /// Radius in millimetres.
    pub radius: f64,
    /// How its outline is drawn.
    pub stroke: Option<Stroke>,
    /// What it is filled with.
    pub fill: Option<Ink>,
}

impl Circle {
    /// A circle, neither stroked nor filled yet.
    #[must_use]
    pub fn new(centre: impl Into<Point>, radius: f64) -> Self {
        Self { centre: centre.into(), radius, stroke: None, fill: None }
    }

    /// Drawn with this line.
    #[must_use]
    pub fn stroke(mut self, stroke: Stroke) -> Self {
        self.stroke = Some(stroke);
        self
    }

    /// Filled with this.
    #[must_use]
    pub fn fill(mut self, ink: Ink) -> Self {
        self.fill = Some(ink);
        self
    }
}

/// What a group of marks stands for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tag {
    /// The part it plays: the group's class in a picture.
    pub role: &'static str,
    /// The feature it belongs to: the group's `data-feature` in a picture.
    pub feature: Option<String>,
    /// What it says, for those who hear it or copy it: the group's title in a
    /// picture; in a document it is copied in place of the group's own text.
    pub label: Option<String>,
}

impl Tag {
    /// A tag with a role alone.
    #[must_use]
    pub fn new(role: &'static str) -> Self {
        Self { role, ..Self::default() }
    }

    /// Of this feature.
    #[must_use]
    pub fn feature(mut self, feature: impl Into<String>) -> Self {
        self.feature = Some(feature.into());
        self
    }

    /// Saying this.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }
}

/// Marks that stand for one thing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// What they stand for.
    pub tag: Tag,
    /// The marks, each drawn over those before it.
    pub marks: Vec<Mark>,
}

impl Group {
    /// Marks under a tag.
    #[must_use]
    pub fn new(tag: Tag, marks: Vec<Mark>) -> Self {
        Self { tag, marks }
    }

    /// Adds a mark over those that are there.
    pub fn put(&mut self, mark: impl Into<Mark>) {
        self.marks.push(mark.into());
    }
}

impl From<Text> for Mark {
    fn from(text: Text) -> Self {
        Self::Text(text)
    }
}

impl From<Line> for Mark {
    fn from(line: Line) -> Self {
        Self::Line(line)
    }
}

impl From<Path> for Mark {
    fn from(path: Path) -> Self {
        Self::Path(path)
    }
}

impl From<Rect> for Mark {
    fn from(rect: Rect) -> Self {
        Self::Rect(rect)
    }
}

impl From<Circle> for Mark {
    fn from(circle: Circle) -> Self {
        Self::Circle(circle)
    }
}

impl From<Group> for Mark {
    fn from(group: Group) -> Self {
        Self::Group(group)
    }
}
