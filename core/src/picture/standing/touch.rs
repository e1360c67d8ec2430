//! What changes while readings are taken: what was touched, and the touch that comes next.

use super::Stand;
use super::shape::{Around, Body, Shape};
use crate::bench::Contact;
use crate::job::Touch;
use crate::mark::{
    Circle, Face, Group, Ink, Line, Mark, Path, Point, Rect, Stroke, Tag, Text, width,
};

/// The touch that comes next.
#[derive(Clone, Debug, PartialEq)]
pub struct NextTouch {
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// Which touch.
    pub touch: Touch,
    /// How it is touched.
    pub contact: Contact,
    /// What the gauge should show, as it is to be written.
    pub figure: Option<String>,
}

/// Width and height of the badge with the number of a feature.
fn badge_size(shape: &Shape, text: f64) -> (f64, f64) {
    let tall = 1.5 * text;
    ((width(Face::SansBold, &shape.number, text) + 0.9 * text).max(tall), tall)
}

impl Stand {
    /// Where a touch meets its feature; of a centre or a size, the middle.
    fn at(shape: &Shape, touch: Touch) -> Point {
        let half = match touch {
            Touch::Low => shape.half_height(),
            Touch::High => -shape.half_height(),
            Touch::Centre | Touch::Size | Touch::Face => 0.0,
        };
        shape.centre().by(0.0, half)
    }

    fn shape(&self, index: usize) -> Option<&Shape> {
        self.shapes.get(index)?.as_ref()
    }

    /// A short line at every point that was touched.
    #[must_use]
    pub fn taken(&self, taken: &[(usize, Touch)]) -> Vec<Mark> {
        let half = 0.42 * self.text;
        let line = Stroke::new(Ink::Accent, 0.16 * self.text);
        let mut path = Path::new();
        for (index, touch) in taken {
            let Some(shape) = self.shape(*index) else { continue };
            let at = Self::at(shape, *touch);
            match touch {
                Touch::Size => continue,
                Touch::Centre => {
                    path = path.move_to(at.by(0.0, -half)).line_to(at.by(0.0, half));
                    path = path.move_to(at.by(-half, 0.0)).line_to(at.by(half, 0.0));
                }
                Touch::Low | Touch::High | Touch::Face => {
                    path = path.move_to(at.by(-half, 0.0)).line_to(at.by(half, 0.0));
                }
            }
        }
        if path.steps.is_empty() { Vec::new() } else { vec![path.stroke(line).into()] }
    }

    /// The touch that comes next: its feature lit up, an arrow in the direction in which the
    /// probe moves, and its expected height as a dimension from the zero.
    #[must_use]
    pub fn next(&self, next: &NextTouch) -> Vec<Mark> {
        let Some(shape) = self.shape(next.feature) else { return Vec::new() };
        let mut group =
            Group::new(Tag::new("next").feature(shape.index.to_string()), Vec::with_capacity(12));
        self.put_lit(shape, &mut group);
        let at = Self::at(shape, next.touch);
        if next.touch == Touch::Size {
            self.put_size(shape, next.figure.as_deref(), &mut group);
        } else {
            self.put_height(at, next.figure.as_deref(), &mut group);
        }
        match next.contact {
            Contact::FromAbove => self.put_probe(at, -1.0, &mut group),
            Contact::FromBelow => self.put_probe(at, 1.0, &mut group),
            Contact::Centre => self.put_centre(shape, at, &mut group),
        }
        vec![group.into()]
    }

    fn put_lit(&self, shape: &Shape, group: &mut Group) {
        let text = self.text;
        let line = Stroke::new(Ink::Accent, 0.18 * text);
        match &shape.body {
            Body::Round { centre, radius, .. } => {
                group.put(Circle::new(*centre, *radius).fill(Ink::Wash).stroke(line));
            }
            Body::Flat { corners, .. } => {
                group.put(Path::polygon(*corners).fill(Ink::Wash).stroke(line))
            }
            Body::Edge { from, to, .. } => {
                group.put(Line::new(*from, *to, Stroke::new(Ink::Accent, 0.25 * text)));
                return;
            }
        }
        let (wide, tall) = badge_size(shape, text);
        let middle = self.badge_at(shape);
        group.put(
            Rect::new(middle.by(-0.5 * wide, -0.5 * tall), wide, tall)
                .radius(0.5 * tall)
                .fill(Ink::Accent),
        );
        group.put(self.number(shape, middle).bold().ink(Ink::Paper));
    }

    /// Middle of the badge with the number of the feature that is touched: where it covers no other
    /// feature, number or datum letter, the probe's way is free and the page does not end.
    fn badge_at(&self, shape: &Shape) -> Point {
        let (text, around, centre) = (self.text, shape.around(), shape.centre());
        let (wide, tall) = badge_size(shape, text);
        let (dx, dy) = (0.5 * text + 0.5 * wide, 0.5 * text + 0.5 * tall);
        let (left, right) = (around.left - dx, around.right + dx);
        let (above, below) = (around.top - dy, around.bottom + dy);
        let far = 2.2 * text;
        // First to the left: the dimension goes to the right.
        let places = [
            (left, centre.y),
            (left, above),
            (left, below),
            (right, above),
            (right, below),
            (left - far, centre.y),
            (left - far, above),
            (left - far, below),
            (right + far, above),
            (right + far, below),
        ];
        let places = places.map(|(x, y)| Point::new(x, y));
        // Its number beside it is as good as that of another one.
        let number = shape.number_box(text).filter(|number| !number.meets(&around));
        let others: Vec<Around> = self.covered(shape).collect();
        let free = |at: &Point| {
            let badge = Around::about(*at, wide, tall);
            let on_page = badge.left >= 0.2 * text
                && badge.right <= self.dimension - 0.4 * text
                && badge.top >= 0.2 * text
                && badge.bottom <= self.plate;
            on_page && !others.iter().chain(&number).any(|o| o.meets(&badge))
        };
        // In a crowd over its own feature, which hides no other one.
        places.into_iter().find(free).unwrap_or(centre)
    }

    /// What the badge of `shape` must not cover.
    fn covered<'a>(&'a self, shape: &'a Shape) -> impl Iterator<Item = Around> + 'a {
        let others = self.shapes.iter().flatten().filter(|s| s.index != shape.index);
        others.flat_map(|other| {
            let body = (!matches!(other.body, Body::Edge { .. })).then(|| other.around());
            [body, other.number_box(self.text), self.flag_box(other)].into_iter().flatten()
        })
    }

    /// The probe's way: an arrow whose tip is at `at`, coming from above (−1) or below (+1).
    fn put_probe(&self, at: Point, from: f64, group: &mut Group) {
        let text = self.text;
        let (long, head) = (2.4 * text, 0.95 * text);
        group.put(Line::new(
            at.by(0.0, from * long),
            at.by(0.0, from * 0.8 * head),
            Stroke::new(Ink::Accent, 0.22 * text),
        ));
        group.put(
            Path::polygon([at, at.by(-0.4 * head, from * head), at.by(0.4 * head, from * head)])
                .fill(Ink::Accent),
        );
    }

    /// A centre: touched from both sides, or marked by a cross where the arrows have no room.
    fn put_centre(&self, shape: &Shape, at: Point, group: &mut Group) {
        let half = shape.half_height();
        if half < 3.0 * self.text {
            let reach = half + 0.7 * self.text;
            let line = Stroke::new(Ink::Accent, 0.1 * self.text);
            group.put(Line::new(at.by(0.0, -reach), at.by(0.0, reach), line));
            group.put(Line::new(at.by(-reach, 0.0), at.by(reach, 0.0), line));
            return;
        }
        // An inner feature is touched from within, an outer one from outside.
        let inward = if shape.kind.is_internal() { 1.0 } else { -1.0 };
        self.put_probe(at.by(0.0, -half), inward, group);
        self.put_probe(at.by(0.0, half), -inward, group);
    }

    /// The dimension line from the zero to the height of `at`.
    fn put_height(&self, at: Point, figure: Option<&str>, group: &mut Group) {
        let text = self.text;
        let line = Stroke::new(Ink::Accent, 0.075 * text);
        let x = self.dimension;
        self.put_extension(at, line, group);
        let Some((zero, _)) = &self.zero else { return };
        let (from, to) = (Point::new(x, zero.y), Point::new(x, at.y));
        self.put_dimension(from, to, figure, group);
    }

    /// The line from a point to its dimension.
    fn put_extension(&self, at: Point, line: Stroke, group: &mut Group) {
        let text = self.text;
        let (from, end) = (at.x + 0.35 * text, self.dimension + 0.9 * text);
        for (from, to) in self.around_numbers(at.y, from, end) {
            group.put(Line::new((from, at.y), (to, at.y), line));
        }
    }

    /// The parts of a level line at `y` that cross no number and no letter.
    pub(super) fn around_numbers(&self, y: f64, from: f64, end: f64) -> Vec<(f64, f64)> {
        let (text, room) = (self.text, 0.2 * self.text);
        let shapes = self.shapes.iter().flatten();
        let mut gaps: Vec<Around> = shapes
            .flat_map(|s| [s.number_box(text), self.flag_box(s)])
            .flatten()
            .filter(|b| b.top - room < y && y < b.bottom + room)
            .collect();
        gaps.sort_by(|a, b| a.left.total_cmp(&b.left));
        let (mut from, mut parts) = (from, Vec::new());
        for gap in gaps {
            let to = (gap.left - room).min(end);
            if to > from {
                parts.push((from, to));
            }
            from = from.max(gap.right + room);
        }
        if end > from {
            parts.push((from, end));
        }
        parts
    }

    /// The size as a dimension beside its feature.
    fn put_size(&self, shape: &Shape, figure: Option<&str>, group: &mut Group) {
        let text = self.text;
        let line = Stroke::new(Ink::Accent, 0.075 * text);
        let (centre, half, x) = (shape.centre(), shape.half_height(), self.dimension);
        for y in [centre.y - half, centre.y + half] {
            self.put_extension(Point::new(centre.x, y), line, group);
        }
        self.put_dimension(
            Point::new(x, centre.y + half),
            Point::new(x, centre.y - half),
            figure,
            group,
        );
    }

    /// A vertical dimension line with its arrow at `to`, and what it says beside it.
    fn put_dimension(&self, from: Point, to: Point, figure: Option<&str>, group: &mut Group) {
        let text = self.text;
        let line = Stroke::new(Ink::Accent, 0.1 * text);
        let down = if to.y >= from.y { 1.0 } else { -1.0 };
        let apart = (to.y - from.y).abs();
        // From the zero to the touch, however short: an arrow that stood outside and pointed back would
        // be read as the other direction.
        let head = (0.8 * text).min(0.75 * apart);
        group.put(Line::new(from, to, line));
        if head > 0.0 {
            let (left, right) = (to.by(-0.3 * head, -down * head), to.by(0.3 * head, -down * head));
            group.put(Path::polygon([to, left, right]).fill(Ink::Accent));
        }
        let Some(figure) = figure else { return };
        let mut y = 0.5 * (from.y + to.y) + 0.36 * text;
        if apart < 2.4 * text {
            // Beside the arrow, on the far side of the zero, away from the zero's words.
            y = to.y + down * 1.6 * text + 0.36 * text;
        }
        group.put(
            Text::new((from.x + 0.7 * text, y), figure, 1.15 * text)
                .face(Face::Mono)
                .ink(Ink::Accent),
        );
    }
}
