//! Marks as the operators of a page's content, written as bytes at once.
//!
//! A page's coordinates are millimetres from its upper left corner; a document's are
//! points from the lower left, so this is where they are turned over. Colours, line
//! widths, dashes and fonts are set only where they change. printpdf would take the
//! operators one by one as values, which for a lot of fifty pieces are a gigabyte.

use super::font::Face;
use super::ink::Ink;
use super::mark::{Group, Mark, Rect, Stroke};
use super::path::Step;
use super::pdf::utf16;
use super::pdf_font::{Codes, resource};
use super::place::{Point, Text, Turn};
use super::text::drawn;
use std::io::Write as _;

/// Millimetres as thousandths of a point: 0.4 micrometres.
fn thousandths(millimetres: f64) -> i64 {
    // What is no number is nowhere: the cast makes it zero.
    #[expect(clippy::cast_possible_truncation, reason = "a page is a few metres at most")]
    let rounded = (millimetres * 72_000.0 / 25.4).round() as i64;
    rounded
}

/// Millimetres as points, to the thousandth.
pub(crate) fn points(millimetres: f64) -> f32 {
    #[expect(clippy::cast_precision_loss, reason = "a page is a few metres at most")]
    let points = thousandths(millimetres) as f32 / 1000.0;
    points
}

/// Where the content stands among the streams of its page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    /// It is the first, and finds the page as new.
    First,
    /// It follows another, which may have left a dashed line.
    Behind,
}

/// The content of a page `height` millimetres high, or what is drawn over it afterwards.
pub(crate) fn content(height: f64, marks: &[Mark], codes: &mut Codes, place: Place) -> Vec<u8> {
    let mut writer = Writer {
        height,
        out: b"1 j\n".to_vec(),
        codes,
        fill: None,
        stroke: None,
        font: None,
        spoken: false,
    };
    if place == Place::Behind {
        writer.out.extend(b"[] 0 d\n");
    }
    writer.marks(marks);
    writer.out
}

struct Writer<'a> {
    height: f64,
    out: Vec<u8>,
    codes: &'a mut Codes,
    /// The colour that fills now, if it was set.
    fill: Option<Ink>,
    /// The line that is drawn now, if it was set.
    stroke: Option<Stroke>,
    /// The font and its size in thousandths of a point, if they were set.
    font: Option<(Face, i64)>,
    /// Whether a group around has said what is to be copied.
    spoken: bool,
}

impl Writer<'_> {
    fn marks(&mut self, marks: &[Mark]) {
        for mark in marks {
            match mark {
                Mark::Text(text) => self.text(text),
                Mark::Line(line) => {
                    let steps = [Step::Move(line.from), Step::Line(line.to)];
                    self.paint(&steps, Some(line.stroke), None);
                }
                Mark::Path(path) => self.paint(&path.steps, path.stroke, path.fill),
                Mark::Rect(rect) => self.rect(rect),
                Mark::Circle(circle) => {
                    let steps = round(circle.centre, circle.radius, circle.radius, circle.radius);
                    self.paint(&steps, circle.stroke, circle.fill);
                }
                Mark::Group(group) => self.group(group),
            }
        }
    }

    /// A group that says something of its own is copied as that (14.9.4), wherever
    /// there is text in it to be copied at all.
    fn group(&mut self, group: &Group) {
        let label = group.tag.label.as_ref().filter(|_| !self.spoken && has_text(&group.marks));
        let Some(label) = label else {
            self.marks(&group.marks);
            return;
        };
        self.out.extend(b"/Span <</ActualText <");
        for byte in utf16(&drawn(label)) {
            let hex = |four: u8| b"0123456789ABCDEF"[usize::from(four)];
            self.out.extend([hex(byte >> 4), hex(byte & 0xF)]);
        }
        self.out.extend(b">>> BDC\n");
        self.spoken = true;
        self.marks(&group.marks);
        self.spoken = false;
        self.out.extend(b"EMC\n");
    }

    fn text(&mut self, text: &Text) {
        let said = drawn(&text.text);
        if said.is_empty() {
            return;
        }
        self.set_fill(text.ink);
        self.out.extend(b"BT\n");
        let at = text.start();
        if text.turn == Turn::Up {
            self.out.extend(b"0 1 -1 0 ");
        } else {
            self.out.extend(b"1 0 0 1 ");
        }
        self.place(at);
        self.out.extend(b"Tm\n");
        let mut drawing: Option<Face> = None;
        for (face, character) in text.face.drawing(&said) {
            if drawing != Some(face) {
                if drawing.is_some() {
                    self.out.extend(b")Tj\n");
                }
                self.set_font(face, text.size);
                self.out.push(b'(');
                drawing = Some(face);
            }
            for byte in self.codes.of(face, character).to_be_bytes() {
                match byte {
                    // 7.3.4.2: a line end in a string would be read as another one.
                    b'(' | b')' | b'\\' => self.out.extend([b'\\', byte]),
                    b'\r' => self.out.extend(b"\\r"),
                    b'\n' => self.out.extend(b"\\n"),
                    _ => self.out.push(byte),
                }
            }
        }
        self.out.extend(b")Tj\nET\n");
    }

    fn set_font(&mut self, face: Face, size: f64) {
        let font = (face, thousandths(size));
        if self.font != Some(font) {
            self.font = Some(font);
            self.out.push(b'/');
            self.out.extend(resource(face).bytes());
            self.out.push(b' ');
            self.number(font.1);
            self.out.extend(b"Tf\n");
        }
    }

    fn rect(&mut self, rect: &Rect) {
        let (width, height) = (rect.width, rect.height);
        let radius = rect.radius.min(width / 2.0).min(height / 2.0);
        if radius > 0.0 {
            let centre = rect.at.by(width / 2.0, height / 2.0);
            let steps = round(centre, width / 2.0, height / 2.0, radius);
            self.paint(&steps, rect.stroke, rect.fill);
            return;
        }
        if !self.set_paint(rect.stroke, rect.fill) {
            return;
        }
        self.place(rect.at.by(0.0, height));
        self.number(thousandths(width));
        self.number(thousandths(height));
        self.out.extend(b"re\n");
        self.end_path(rect.stroke, rect.fill);
    }

    /// Draws a path, if it is to be drawn at all.
    fn paint(&mut self, steps: &[Step], stroke: Option<Stroke>, fill: Option<Ink>) {
        if steps.is_empty() || !self.set_paint(stroke, fill) {
            return;
        }
        for step in steps {
            match step {
                Step::Move(to) => {
                    self.place(*to);
                    self.out.extend(b"m\n");
                }
                Step::Line(to) => {
                    self.place(*to);
                    self.out.extend(b"l\n");
                }
                Step::Cubic(first, second, to) => {
                    [*first, *second, *to].into_iter().for_each(|at| self.place(at));
                    self.out.extend(b"c\n");
                }
                Step::Close => self.out.extend(b"h\n"),
            }
        }
        self.end_path(stroke, fill);
    }

    fn end_path(&mut self, stroke: Option<Stroke>, fill: Option<Ink>) {
        self.out.extend(match (stroke.is_some(), fill.is_some()) {
            (true, true) => b"B\n",
            (true, false) => b"S\n",
            (false, true) => b"f\n",
            (false, false) => b"n\n",
        });
    }

    /// Both coordinates of a place.
    fn place(&mut self, at: Point) {
        self.number(thousandths(at.x));
        self.number(thousandths(self.height - at.y));
    }

    /// A number given in thousandths, as short as it goes, and a space.
    fn number(&mut self, thousandths: i64) {
        if thousandths < 0 {
            self.out.push(b'-');
        }
        let size = thousandths.unsigned_abs();
        let (whole, part) = (size / 1000, size % 1000);
        // Writing to memory does not fail.
        if whole > 0 || part == 0 {
            let _ = write!(self.out, "{whole}");
        }
        if part > 0 {
            let digits = [part / 100, part / 10 % 10, part % 10];
            let count = digits.iter().rposition(|d| *d > 0).map_or(0, |last| last + 1);
            self.out.push(b'.');
            for digit in digits.into_iter().take(count) {
                self.out.push(b'0' + u8::try_from(digit).unwrap_or(0));
            }
        }
        self.out.push(b' ');
    }

    /// Sets colours and line; whether there is anything to draw with.
    fn set_paint(&mut self, stroke: Option<Stroke>, fill: Option<Ink>) -> bool {
        if let Some(ink) = fill {
            self.set_fill(ink);
        }
        if let Some(stroke) = stroke {
            self.set_stroke(stroke);
        }
        stroke.is_some() || fill.is_some()
    }

    fn set_fill(&mut self, ink: Ink) {
        if self.fill != Some(ink) {
            self.fill = Some(ink);
            self.colour(ink);
            self.out.extend(b"rg\n");
        }
    }

    fn set_stroke(&mut self, stroke: Stroke) {
        let before = self.stroke.replace(stroke);
        if before.map(|before| before.ink) != Some(stroke.ink) {
            self.colour(stroke.ink);
            self.out.extend(b"RG\n");
        }
        if before.map(|before| thousandths(before.width)) != Some(thousandths(stroke.width)) {
            self.number(thousandths(stroke.width));
            self.out.extend(b"w\n");
        }
        if before.map_or(&[][..], |before| before.dash) != stroke.dash {
            self.out.push(b'[');
            for length in stroke.dash {
                self.number(thousandths(*length));
            }
            self.out.extend(b"] 0 d\n");
        }
    }

    /// Three numbers; three decimals tell 256 steps apart.
    fn colour(&mut self, ink: Ink) {
        for part in ink.rgb() {
            self.number((i64::from(part) * 1000 + 127) / 255);
        }
    }
}

fn has_text(marks: &[Mark]) -> bool {
    marks.iter().any(|mark| match mark {
        Mark::Text(text) => !text.text.is_empty(),
        Mark::Group(group) => has_text(&group.marks),
        Mark::Line(_) | Mark::Path(_) | Mark::Rect(_) | Mark::Circle(_) => false,
    })
}

/// A closed outline about `centre`, reaching `across` to both sides and `down` up and
/// down, its corners quarter circles of `radius`: a circle where all three are equal.
fn round(centre: Point, across: f64, down: f64, radius: f64) -> Vec<Step> {
    // The cubic that touches a quarter circle at its ends and its middle.
    const REACH: f64 = 0.552_284_749_830_793_4;
    let (inner_x, inner_y) = (across - radius, down - radius);
    let (reach_x, reach_y) = (inner_x + REACH * radius, inner_y + REACH * radius);
    let at = |x: f64, y: f64| centre.by(x, y);
    let corners = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
    let mut steps = vec![Step::Move(at(across, inner_y))];
    for (index, (sx, sy)) in corners.into_iter().enumerate() {
        let side = (at(sx * across, sy * inner_y), at(sx * across, sy * reach_y));
        let end = (at(sx * inner_x, sy * down), at(sx * reach_x, sy * down));
        // Corners are met alternately from the side and from the end.
        let (from, to) = if index % 2 == 0 { (side, end) } else { (end, side) };
        if index > 0 {
            steps.push(Step::Line(from.0));
        }
        steps.push(Step::Cubic(from.1, to.1, to.0));
    }
    if inner_x.abs() < f64::EPSILON && inner_y.abs() < f64::EPSILON {
        steps.retain(|step| !matches!(step, Step::Line(_)));
    }
    steps.push(Step::Close);
    steps
}
