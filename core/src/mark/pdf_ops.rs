//! Marks as the operators of a page's content.
//!
//! A page's coordinates are millimetres from its upper left corner; a document's are
//! points from the lower left, so this is where they are turned over. Colours, line
//! widths and dashes are set only where they change.

use super::font::Face;
use super::ink::Ink;
use super::mark::{Group, Mark, Rect, Stroke};
use super::page::Page;
use super::path::Step;
use super::pdf::utf16;
use super::pdf_font::resource;
use super::place::{Point, Text, Turn};
use super::text::drawn;
use printpdf::{
    Color, DictItem, LineDashPattern, LineJoinStyle, Op, PdfFontHandle, Pt, Rgb, TextItem,
    TextMatrix,
};
use std::collections::BTreeMap;

/// Millimetres as points, to the thousandth: 0.4 micrometres.
pub(crate) fn points(millimetres: f64) -> f32 {
    let points = (millimetres * 72.0 / 25.4 * 1000.0).round() / 1000.0;
    #[expect(clippy::cast_possible_truncation, reason = "a page is a few metres at most")]
    let points = points as f32;
    // What is no number is nowhere; and zero has no sign.
    if points.is_finite() { points + 0.0 } else { 0.0 }
}

/// The content of a page.
pub(crate) fn operations(page: &Page) -> Vec<Op> {
    let mut writer = Writer {
        height: page.height,
        ops: vec![Op::SetLineJoinStyle { join: LineJoinStyle::Round }],
        fill: None,
        stroke: None,
        spoken: false,
    };
    writer.marks(&page.marks);
    writer.ops
}

struct Writer {
    height: f64,
    ops: Vec<Op>,
    /// The colour that fills now, if it was set.
    fill: Option<Ink>,
    /// The line that is drawn now, if it was set.
    stroke: Option<Stroke>,
    /// Whether a group around has said what is to be copied.
    spoken: bool,
}

impl Writer {
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
        let text = DictItem::String { data: utf16(&drawn(label)), literal: false };
        self.ops.push(Op::BeginMarkedContentWithProperties {
            tag: "Span".to_owned(),
            properties: DictItem::Dict { map: BTreeMap::from([("ActualText".to_owned(), text)]) },
        });
        self.spoken = true;
        self.marks(&group.marks);
        self.spoken = false;
        self.ops.push(Op::EndMarkedContentWithProperties);
    }

    fn text(&mut self, text: &Text) {
        let said = drawn(&text.text);
        if said.is_empty() {
            return;
        }
        let start = text.start();
        let (x, y) = (points(start.x), points(self.height - start.y));
        let matrix = match text.turn {
            Turn::Level => [1.0, 0.0, 0.0, 1.0, x, y],
            Turn::Up => [0.0, 1.0, -1.0, 0.0, x, y],
        };
        self.set_fill(text.ink);
        self.ops.push(Op::StartTextSection);
        self.ops.push(Op::SetTextMatrix { matrix: TextMatrix::Raw(matrix) });
        for (face, run) in runs(text.face, &said) {
            self.ops.push(Op::SetFont {
                font: PdfFontHandle::External(resource(face)),
                size: Pt(points(text.size)),
            });
            self.ops.push(Op::ShowText { items: vec![TextItem::Text(run)] });
        }
        self.ops.push(Op::EndTextSection);
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
        let corner = rect.at.by(0.0, height);
        let numbers =
            [points(corner.x), points(self.height - corner.y), points(width), points(height)];
        self.operator("re", &numbers);
        self.end_path(rect.stroke, rect.fill);
    }

    /// Draws a path, if it is to be drawn at all. Its operators are written one by
    /// one: printpdf's own polygons are always closed.
    fn paint(&mut self, steps: &[Step], stroke: Option<Stroke>, fill: Option<Ink>) {
        if steps.is_empty() || !self.set_paint(stroke, fill) {
            return;
        }
        for step in steps {
            let (operator, places): (_, &[Point]) = match step {
                Step::Move(to) => ("m", &[*to]),
                Step::Line(to) => ("l", &[*to]),
                Step::Cubic(first, second, to) => ("c", &[*first, *second, *to]),
                Step::Close => ("h", &[]),
            };
            let numbers: Vec<f32> = places
                .iter()
                .flat_map(|place| [points(place.x), points(self.height - place.y)])
                .collect();
            self.operator(operator, &numbers);
        }
        self.end_path(stroke, fill);
    }

    fn end_path(&mut self, stroke: Option<Stroke>, fill: Option<Ink>) {
        let operator = match (stroke.is_some(), fill.is_some()) {
            (true, true) => "B",
            (true, false) => "S",
            (false, true) => "f",
            (false, false) => "n",
        };
        self.operator(operator, &[]);
    }

    fn operator(&mut self, key: &str, numbers: &[f32]) {
        self.ops.push(Op::Unknown {
            key: key.to_owned(),
            value: numbers.iter().copied().map(DictItem::Real).collect(),
        });
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
            self.ops.push(Op::SetFillColor { col: colour(ink) });
        }
    }

    fn set_stroke(&mut self, stroke: Stroke) {
        let before = self.stroke.replace(stroke);
        if before.map(|before| before.ink) != Some(stroke.ink) {
            self.ops.push(Op::SetOutlineColor { col: colour(stroke.ink) });
        }
        if before.map(|before| points(before.width)) != Some(points(stroke.width)) {
            self.ops.push(Op::SetOutlineThickness { pt: Pt(points(stroke.width)) });
        }
        if before.map_or(&[][..], |before| before.dash) != stroke.dash {
            let dash: Vec<f32> = stroke.dash.iter().map(|&length| points(length)).collect();
            self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, &dash) });
        }
    }
}

/// A text in pieces, each of one face.
fn runs(face: Face, said: &str) -> Vec<(Face, String)> {
    let mut runs: Vec<(Face, String)> = Vec::new();
    for (drawing, character) in face.drawing(said) {
        match runs.last_mut() {
            Some((last, run)) if *last == drawing => run.push(character),
            _ => runs.push((drawing, character.to_string())),
        }
    }
    runs
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

fn colour(ink: Ink) -> Color {
    // Three decimals tell 256 steps apart.
    let [r, g, b] = ink.rgb().map(|part| (f32::from(part) / 255.0 * 1000.0).round() / 1000.0);
    Color::Rgb(Rgb { r, g, b, icc_profile: None })
}
