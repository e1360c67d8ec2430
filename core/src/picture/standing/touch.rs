//! What changes while readings are taken: what was touched, and the touch that comes next.

use super::Stand;
use super::shape::{Body, Shape};
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
        // Its number, in a balloon to the left: the dimension goes to the right.
        let around = shape.around();
        let long = width(Face::SansBold, &shape.number, text) + 0.9 * text;
        let tall = 1.5 * text;
        let middle = Point::new(around.left - 0.5 * text - 0.5 * long.max(tall), shape.centre().y);
        group.put(
            Rect::new(middle.by(-0.5 * long.max(tall), -0.5 * tall), long.max(tall), tall)
                .radius(0.5 * tall)
                .fill(Ink::Accent),
        );
        group.put(self.number(shape, middle).bold().ink(Ink::Paper));
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
        group.put(Line::new(at.by(0.35 * text, 0.0), (x + 0.9 * text, at.y), line));
        let Some((zero, _)) = &self.zero else { return };
        let (from, to) = (Point::new(x, zero.y), Point::new(x, at.y));
        self.put_dimension(from, to, figure, group);
    }

    /// The size as a dimension beside its feature.
    fn put_size(&self, shape: &Shape, figure: Option<&str>, group: &mut Group) {
        let text = self.text;
        let line = Stroke::new(Ink::Accent, 0.075 * text);
        let (centre, half, x) = (shape.centre(), shape.half_height(), self.dimension);
        for y in [centre.y - half, centre.y + half] {
            group.put(Line::new((centre.x + 0.35 * text, y), (x + 0.9 * text, y), line));
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
        let head = 0.8 * text;
        let apart = (to.y - from.y).abs();
        group.put(Line::new(from, to, line));
        // Too short for its arrow: the arrow stands outside and points in.
        let side = if apart < 1.3 * head { -down } else { down };
        group.put(
            Path::polygon([to, to.by(-0.3 * head, -side * head), to.by(0.3 * head, -side * head)])
                .fill(Ink::Accent),
        );
        if (side - down).abs() > f64::EPSILON {
            group.put(Line::new(to, to.by(0.0, -side * 2.0 * head), line));
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
