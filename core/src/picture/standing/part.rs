//! What does not change while readings are taken: plate, blocks, part, features, zero.

use super::shape::{Around, Body, Shape};
use super::{Detail, Stand};
use crate::mark::{
    Circle, Face, Group, Ink, Line, Mark, Path, Point, Rect, Stroke, Tag, Text, datum_flag, width,
};
use crate::quantity::{Axis, Side};

/// Depth of the hatching under the plate, in font sizes.
const HATCH: f64 = 1.2;

/// Written under the plate where it reads zero.
const PLATE_ZERO: &str = "surface plate, zero";

impl Stand {
    /// The still picture.
    #[must_use]
    pub fn still(&self) -> Vec<Mark> {
        let mut marks = Vec::with_capacity(self.shapes.len() + 16);
        self.put_plate(&mut marks);
        self.put_part(&mut marks);
        for shape in self.shapes.iter().flatten() {
            if !matches!(shape.body, Body::Edge { .. }) {
                marks.push(self.feature(shape));
            }
        }
        self.put_faces(&mut marks);
        if self.detail == Detail::Full {
            self.put_up(&mut marks);
            self.put_zero(&mut marks);
        }
        marks
    }

    fn thin(&self) -> f64 {
        0.055 * self.text
    }

    /// Whether a zero at this height is the plate itself.
    fn is_plate(&self, zero: Point) -> bool {
        (zero.y - self.plate).abs() < 1e-9
    }

    fn put_plate(&self, marks: &mut Vec<Mark>) {
        let (text, deep) = (self.text, HATCH * self.text);
        let (left, right) = (0.6 * text, self.width - 0.6 * text);
        let y = self.plate;
        let mut hatch = Path::new();
        let step = 0.75 * text;
        let mut x = left + 0.2 * text;
        while x < right {
            let run = deep.min(right - x);
            hatch = hatch.move_to((x, y + deep)).line_to((x + run, y + deep - run));
            x += step;
        }
        marks.push(hatch.stroke(Stroke::new(Ink::Hair, self.thin())).into());
        marks.push(Line::new((left, y), (right, y), Stroke::new(Ink::Ink, 0.16 * text)).into());
        if self.detail == Detail::Full {
            let under = y + deep + 1.15 * text;
            let zero = self.zero.as_ref().is_some_and(|(at, _)| self.is_plate(*at));
            let says = if zero { PLATE_ZERO } else { "surface plate" };
            marks.push(Text::new((left, under), says, text).ink(Ink::Soft).into());
        }
    }

    fn put_part(&self, marks: &mut Vec<Mark>) {
        let text = self.text;
        if let Some((top, height)) = &self.blocks {
            self.put_blocks(*top, height, marks);
        }
        if self.leans {
            self.put_wedge(marks);
        }
        let mut outline = Stroke::new(Ink::Ink, 0.11 * text);
        if !self.outlined {
            outline = outline.ink(Ink::Soft).dash(Stroke::DASHED);
        }
        marks.push(Path::polygon(self.part).fill(Ink::Paper).stroke(outline).into());
    }

    fn put_blocks(&self, top: f64, height: &str, marks: &mut Vec<Mark>) {
        let (text, tall) = (self.text, self.plate - top);
        let long = self.sides.1 - self.sides.0;
        let wide = (0.2 * long).min(3.0 * text);
        for at in [0.08, 0.92] {
            let middle = self.sides.0 + at * long;
            let left = (middle - 0.5 * wide).clamp(self.sides.0, self.sides.1 - wide);
            marks.push(
                Rect::new((left, top), wide, tall)
                    .fill(Ink::Shade)
                    .stroke(Stroke::new(Ink::Ink, self.thin()))
                    .into(),
            );
        }
        if self.detail == Detail::Full {
            let says = Text::new(
                (self.sides.0 - 0.6 * text, self.plate - 0.5 * text),
                format!("blocks {height}"),
                text,
            )
            .ink(Ink::Soft);
            // Left of the part where there is room beside it and under the axes, otherwise under the
            // plate at its right.
            let axes = 0.5 * (self.top + self.plate) + 3.9 * text;
            let at_left = says.width() + 0.6 * text < self.sides.0
                && axes < self.plate - (0.5 + Face::CAP_HEIGHT) * text;
            marks.push(if at_left {
                says.end().into()
            } else {
                let under = self.plate + (HATCH + 1.15) * text;
                Text { at: Point::new(self.width - 0.6 * text, under), ..says }.end().into()
            });
        }
    }

    /// The support of a part that leans: between the plate and the flatter of the two edges
    /// that meet at the lowest corner.
    fn put_wedge(&self, marks: &mut Vec<Mark>) {
        let lowest = (0..4).max_by(|a, b| self.part[*a].y.total_cmp(&self.part[*b].y)).unwrap_or(0);
        let foot = self.part[lowest];
        let ends = [self.part[(lowest + 1) % 4], self.part[(lowest + 3) % 4]];
        let slope = |end: &Point| (foot.y - end.y) / (end.x - foot.x).abs().max(1e-9);
        let Some(end) = ends.iter().min_by(|a, b| slope(a).total_cmp(&slope(b))) else { return };
        marks.push(
            Path::polygon([
                Point::new(foot.x, self.plate),
                foot,
                *end,
                Point::new(end.x, self.plate),
            ])
            .fill(Ink::Shade)
            .stroke(Stroke::new(Ink::Hair, self.thin()))
            .into(),
        );
        if self.detail == Detail::Full {
            // Right of what is written under the plate.
            let plate = width(Face::Sans, PLATE_ZERO, self.text) + 4.0 * self.text;
            let x = (0.5 * (foot.x + end.x)).max(plate);
            let at = Point::new(x, self.plate + (HATCH + 1.15) * self.text);
            marks.push(Text::new(at, "sine bar", self.text).ink(Ink::Soft).middle().into());
        }
    }

    fn feature(&self, shape: &Shape) -> Mark {
        let line = Stroke::new(Ink::Ink, 1.4 * self.thin());
        let fill = if shape.kind.is_internal() { Ink::Paper } else { Ink::Shade };
        let mut group =
            Group::new(Tag::new("feature").feature(shape.index.to_string()), Vec::new());
        match &shape.body {
            Body::Round { centre, radius, sized } => {
                let line = if *sized { line } else { line.ink(Ink::Soft).dash(Stroke::DASHED) };
                group.put(Circle::new(*centre, *radius).fill(fill).stroke(line));
            }
            Body::Flat { corners, across, .. } => {
                group.put(Path::polygon(*corners).fill(fill));
                // The two faces are on the drawing; where they end is not.
                let ends = line.ink(Ink::Soft).dash(Stroke::DASHED);
                let [along_x, along_y] = match across {
                    Axis::X => [ends, line],
                    Axis::Y => [line, ends],
                };
                let [a, b, c, d] = *corners;
                for (from, to, line) in
                    [(a, b, along_x), (c, d, along_x), (b, c, along_y), (d, a, along_y)]
                {
                    group.put(Line::new(from, to, line));
                }
            }
            Body::Edge { .. } => {}
        }
        if self.detail == Detail::Full
            && let Some(at) = shape.label
        {
            group.put(self.number(shape, at).ink(Ink::Soft));
        }
        group.into()
    }

    /// The number of a feature with its middle at `at`.
    pub(super) fn number(&self, shape: &Shape, at: Point) -> Text {
        let half = 0.5 * width(Face::Sans, &shape.number, self.text);
        // A long number stays in the picture.
        let x = at.x.min(self.width - half).max(half);
        let y = at.y + 0.5 * Face::CAP_HEIGHT * self.text;
        Text::new((x, y), shape.number.clone(), self.text).middle()
    }

    /// Faces: datum letters on their edges, numbers beside the others.
    fn put_faces(&self, marks: &mut Vec<Mark>) {
        let size = if self.detail == Detail::Full { 1.5 } else { 1.25 } * self.text;
        for shape in self.shapes.iter().flatten() {
            let Body::Edge { from, to, outward, letter } = &shape.body else { continue };
            let mut group =
                Group::new(Tag::new("feature face").feature(shape.index.to_string()), Vec::new());
            group.put(Line::new(*from, *to, Stroke::new(Ink::Ink, 0.13 * self.text)));
            let (across, upward) = (libm::cos(*outward), libm::sin(*outward));
            let at = foot_of_letter(*from, *to, *outward);
            match letter {
                Some(letter) => group.put(datum_flag(at, *outward, letter, size)),
                None if self.detail == Detail::Full => {
                    let off = at.by(across * self.text, -upward * self.text);
                    group.put(self.number(shape, off).ink(Ink::Soft));
                }
                None => {}
            }
            marks.push(group.into());
        }
    }

    /// About the box around the letter or the number of a face, with its stem.
    pub(super) fn flag_box(&self, shape: &Shape) -> Option<Around> {
        let Body::Edge { from, to, outward, .. } = &shape.body else { return None };
        let foot = foot_of_letter(*from, *to, *outward);
        let (across, upward) = (libm::cos(*outward), libm::sin(*outward));
        let reach = 4.2 * self.text;
        let (long, wide) = (reach, 2.4 * self.text);
        let middle = foot.by(0.5 * reach * across, -0.5 * reach * upward);
        let lies = across.abs() > upward.abs();
        let (width, height) = if lies { (long, wide) } else { (wide, long) };
        Some(Around::about(middle, width, height))
    }

    /// The drawing's axes as they lie now.
    fn put_up(&self, marks: &mut Vec<Mark>) {
        let text = self.text;
        if self.right_label.is_none() {
            self.put_axes(marks);
            return;
        }
        let long = 5.0 * text;
        // Beside the part, and not into what is written under the plate.
        let low = 0.5 * (self.top + self.plate) + 0.5 * long;
        let foot = Point::new(1.5 * text, low.min(self.plate - 1.6 * text));
        let tip = foot.by(0.0, -long);
        let line = Stroke::new(Ink::Ink, 0.09 * text);
        marks.push(arrow(foot, tip, 0.62 * text, line));
        marks.push(
            Text::new(tip.by(0.0, -0.5 * text), self.up_label.clone(), 1.1 * text)
                .bold()
                .middle()
                .into(),
        );
        if let Some(right) = self.right_label {
            let aside = Stroke::new(Ink::Soft, 1.2 * self.thin());
            marks.push(arrow(foot, foot.by(1.9 * text, 0.0), 0.5 * text, aside));
            marks.push(
                Text::new(foot.by(1.0 * text, 1.15 * text), right, 0.9 * text)
                    .ink(Ink::Soft)
                    .middle()
                    .into(),
            );
        }
    }

    /// Both axes of the drawing, turned, for an orientation that is not square.
    fn put_axes(&self, marks: &mut Vec<Mark>) {
        let text = self.text;
        // Clear of the page's edge, whichever way the axes point.
        let middle = Point::new(3.3 * text, 3.3 * text);
        let long = 1.7 * text;
        for (axis, side) in [(Axis::X, Side::PlusX), (Axis::Y, Side::PlusY)] {
            let angle = match axis {
                Axis::X => libm::atan2(self.up.cos(), self.up.sin()),
                Axis::Y => libm::atan2(self.up.sin(), -self.up.cos()),
            };
            let tip = middle.toward(angle, long);
            marks.push(arrow(middle, tip, 0.55 * text, Stroke::new(Ink::Ink, 0.08 * text)));
            let at = middle.toward(angle, long + 0.8 * text).by(0.0, 0.36 * text);
            marks.push(Text::new(at, side.label(), text).bold().middle().into());
        }
        let at = Point::new(0.6 * text, 6.9 * text);
        marks.push(Text::new(at, format!("up {}", self.up_label), text).into());
    }

    fn put_zero(&self, marks: &mut Vec<Mark>) {
        let Some((at, says)) = &self.zero else { return };
        let text = self.text;
        let end = self.dimension + 0.9 * text;
        let line = Stroke::new(Ink::Soft, 1.3 * self.thin());
        let right = self.width - 0.6 * text;
        let words = |words: &str, at: Point| Text::new(at, words, text).ink(Ink::Soft);
        if self.is_plate(*at) {
            return;
        }
        for (from, to) in self.around_numbers(at.y, at.x + 0.3 * text, end) {
            marks.push(Line::new((from, at.y), (to, at.y), line).into());
        }
        let start = Point::new(end + 0.3 * text, at.y + 0.36 * text);
        let zero = words(&format!("zero: {says}"), start);
        // Words longer than the margin stand on two lines.
        if zero.width() <= right - start.x {
            marks.push(zero.into());
        } else {
            marks.push(words("zero:", start.by(0.0, -0.6 * text)).into());
            let room = right - start.x;
            let says = crate::mark::fit(Face::Sans, says, text, room);
            marks.push(words(&says, start.by(0.0, 0.6 * text)).into());
        }
    }
}

/// Where the letter of a face stands on its edge: off the middle, where dimension lines and the
/// plate's name are not.
fn foot_of_letter(from: Point, to: Point, outward: f64) -> Point {
    let (across, upward) = (libm::cos(outward), libm::sin(outward));
    let share = if upward < -0.5 || across > 0.5 { 0.72 } else { 0.3 };
    let (start, end) = if from.x + from.y <= to.x + to.y { (from, to) } else { (to, from) };
    Point::new(start.x + share * (end.x - start.x), start.y + share * (end.y - start.y))
}

/// A line with an open arrowhead at `tip`.
fn arrow(foot: Point, tip: Point, head: f64, line: Stroke) -> Mark {
    let back = libm::atan2(-(foot.y - tip.y), foot.x - tip.x);
    let side = 0.42;
    Path::polyline([foot, tip])
        .move_to(tip.toward(back + side, head))
        .line_to(tip)
        .line_to(tip.toward(back - side, head))
        .stroke(line)
        .into()
}
