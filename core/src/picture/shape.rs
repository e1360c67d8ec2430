//! What a feature looks like on the paper, to scale and at its true position.

use super::scale::{Extent, Fit, nominal_mm, size_mm};
use crate::job::{Feature, Kind};
use crate::mark::{Circle, Ink, Line, Mark, Path, Point, Rect, Stroke};
use crate::quantity::{Axis, Side, Unit};

/// Smallest radius that is still seen, in millimetres of paper.
const LEAST_RADIUS: f64 = 0.35;
/// Radius of what has no size yet.
const UNSIZED_RADIUS: f64 = 1.6;

/// A feature on the paper.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Shape {
    /// Its true position; the middle of a face.
    pub(super) at: Point,
    pub(super) form: Form,
    pub(super) kind: Kind,
}

/// Its form, in millimetres of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Form {
    /// A circle; dashed where the size is not known.
    Round { radius: f64, known: bool },
    /// Two parallel faces: half of what they take along x and y. Which two sides of the
    /// rectangle are the faces is said by `across`; how long they are is assumed.
    Band { half: (f64, f64), across: Option<Axis>, known: bool },
    /// An edge from one point to the other, looking to `looks`.
    Edge { from: Point, to: Point, looks: Side },
}

impl Shape {
    /// `None` while the drawing does not say where the feature is.
    pub(super) fn of(feature: &Feature, unit: Unit, extent: Extent, fit: &Fit) -> Option<Self> {
        let (x, y) = nominal_mm(feature, unit);
        let size = size_mm(feature, unit);
        let (middle_x, middle_y) = extent.middle();
        if feature.kind == Kind::Face {
            return Self::edge(feature.looks?, x, y, extent, fit);
        }
        if x.is_none() && y.is_none() {
            return None;
        }
        // A slot may lie free along its length.
        let (x, y) = (x.unwrap_or(middle_x), y.unwrap_or(middle_y));
        let at = fit.at(x, y);
        let known = size.is_some();
        let half = size.map_or(UNSIZED_RADIUS, |s| (s / 2.0 * fit.scale).max(LEAST_RADIUS));
        let form = if feature.kind.is_round() {
            Form::Round { radius: half, known }
        } else {
            // Room to the nearer end of the part, so that the assumed length stays inside it.
            let room_x = (x - extent.left).min(extent.right - x) * fit.scale * 0.85;
            let room_y = (y - extent.bottom).min(extent.top - y) * fit.scale * 0.85;
            let long = |room: f64| (2.3 * half).max(2.5).min(room.max(1.3 * half));
            let half = match feature.across {
                Some(Axis::X) => (half, long(room_y)),
                Some(Axis::Y) => (long(room_x), half),
                None => (half, half),
            };
            Form::Band { half, across: feature.across, known }
        };
        Some(Self { at, form, kind: feature.kind })
    }

    fn edge(
        looks: Side,
        x: Option<f64>,
        y: Option<f64>,
        extent: Extent,
        fit: &Fit,
    ) -> Option<Self> {
        let (from, to) = match looks.axis() {
            Axis::X => (fit.at(x?, extent.bottom), fit.at(x?, extent.top)),
            Axis::Y => (fit.at(extent.left, y?), fit.at(extent.right, y?)),
        };
        let at = Point::new((from.x + to.x) / 2.0, (from.y + to.y) / 2.0);
        Some(Self { at, form: Form::Edge { from, to, looks }, kind: Kind::Face })
    }

    /// How far it reaches from its middle in the direction (dx, dy), a unit vector.
    pub(super) fn reach(&self, dx: f64, dy: f64) -> f64 {
        match self.form {
            Form::Round { radius, .. } => radius,
            Form::Band { half, .. } => {
                let along =
                    |half: f64, d: f64| if d.abs() > 1e-9 { half / d.abs() } else { f64::INFINITY };
                along(half.0, dx).min(along(half.1, dy))
            }
            Form::Edge { .. } => 0.0,
        }
    }

    /// How far `p` is from its edge; negative inside.
    pub(super) fn distance(&self, p: Point) -> f64 {
        let (dx, dy) = (p.x - self.at.x, p.y - self.at.y);
        match self.form {
            Form::Round { radius, .. } => libm::hypot(dx, dy) - radius,
            Form::Band { half, .. } => {
                let (qx, qy) = (dx.abs() - half.0, dy.abs() - half.1);
                libm::hypot(qx.max(0.0), qy.max(0.0)) + qx.max(qy).min(0.0)
            }
            Form::Edge { from, to, .. } => {
                let (along_x, along_y) = ((to.x - from.x).abs() / 2.0, (to.y - from.y).abs() / 2.0);
                libm::hypot((dx.abs() - along_x).max(0.0), (dy.abs() - along_y).max(0.0))
            }
        }
    }

    /// It drawn: `simple` leaves the centre lines out, where there are very many.
    pub(super) fn marks(&self, simple: bool) -> Vec<Mark> {
        let pen = Stroke::new(Ink::Ink, 0.25);
        let assumed = Stroke::new(Ink::Soft, 0.18).dash(Stroke::DASHED);
        let ground = if self.kind.is_internal() { Ink::Paper } else { Ink::Shade };
        let mut marks: Vec<Mark> = Vec::with_capacity(4);
        match self.form {
            Form::Round { radius, known } => {
                let circle = Circle::new(self.at, radius).fill(ground);
                marks.push(circle.stroke(if known { pen } else { assumed }).into());
                if !simple {
                    marks.extend(self.centre(radius * 0.45));
                }
            }
            Form::Band { half: (w, h), across, known } => {
                let corner = self.at.by(-w, -h);
                let ground = Rect::new(corner, 2.0 * w, 2.0 * h).fill(ground);
                let line = |x1: f64, y1: f64, x2: f64, y2: f64, stroke| -> Mark {
                    Line::new(self.at.by(x1, y1), self.at.by(x2, y2), stroke).into()
                };
                let face = if known { pen } else { assumed };
                marks.push(ground.into());
                // The faces in full; the ends, whose place the drawing does not give, dashed.
                let (upright, level) = match across {
                    Some(Axis::X) => (face, assumed),
                    Some(Axis::Y) => (assumed, face),
                    None => (assumed, assumed),
                };
                marks.push(line(-w, -h, w, -h, level));
                marks.push(line(-w, h, w, h, level));
                marks.push(line(-w, -h, -w, h, upright));
                marks.push(line(w, -h, w, h, upright));
                if !simple {
                    marks.extend(self.centre(w.min(h) * 0.6));
                }
            }
            Form::Edge { from, to, .. } => {
                marks.push(Line::new(from, to, Stroke::new(Ink::Ink, 0.45)).into());
            }
        }
        marks
    }

    /// The cross at the true position.
    fn centre(&self, arm: f64) -> [Mark; 2] {
        let arm = arm.clamp(0.8, 2.2);
        [
            Line::new(self.at.by(-arm, 0.0), self.at.by(arm, 0.0), Stroke::HAIR).into(),
            Line::new(self.at.by(0.0, -arm), self.at.by(0.0, arm), Stroke::HAIR).into(),
        ]
    }

    /// Its outline alone, as a hairline: where something else is what counts.
    pub(super) fn faint(&self) -> Mark {
        let pen = Stroke::new(Ink::Soft, 0.13);
        let ground = if self.kind.is_internal() { Ink::Paper } else { Ink::Shade };
        match self.form {
            Form::Round { radius, .. } => {
                Circle::new(self.at, radius).fill(ground).stroke(pen).into()
            }
            Form::Band { half: (w, h), .. } => {
                Rect::new(self.at.by(-w, -h), 2.0 * w, 2.0 * h).fill(ground).stroke(pen).into()
            }
            Form::Edge { from, to, .. } => Line::new(from, to, Stroke::new(Ink::Ink, 0.45)).into(),
        }
    }

    /// Its outline alone in the accent: what lights it up.
    pub(super) fn lit(&self) -> Mark {
        let pen = Stroke::new(Ink::Accent, 0.55);
        match self.form {
            Form::Round { radius, .. } => Circle::new(self.at, radius).stroke(pen).into(),
            Form::Band { half: (w, h), .. } => {
                Rect::new(self.at.by(-w, -h), 2.0 * w, 2.0 * h).stroke(pen).into()
            }
            Form::Edge { from, to, .. } => {
                Path::polyline([from, to]).stroke(Stroke::new(Ink::Accent, 0.9)).into()
            }
        }
    }
}
