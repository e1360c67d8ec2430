//! From the drawing frame to the page: the turn, the scale, and what stands where.

use super::shape::{Around, Body, Shape, place_labels};
use super::words::{letter_of, up_words, zero_name};
use super::{Detail, Stand, StandingOptions};
use crate::bench::Setup;
use crate::job::{Feature, Job, Kind, Orientation, Zero};
use crate::mark::Point;
use crate::quantity::{Axis, Direction, Length, Point as Place, Side, Unit};
use crate::show::Figures;

/// A rectangle of the drawing frame in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Extent {
    left: f64,
    bottom: f64,
    right: f64,
    top: f64,
}

impl Extent {
    const NOTHING: Self = Self {
        left: f64::INFINITY,
        bottom: f64::INFINITY,
        right: f64::NEG_INFINITY,
        top: f64::NEG_INFINITY,
    };

    fn add(&mut self, x: f64, y: f64, reach: f64) {
        self.left = self.left.min(x - reach);
        self.right = self.right.max(x + reach);
        self.bottom = self.bottom.min(y - reach);
        self.top = self.top.max(y + reach);
    }

    fn and(self, other: Self) -> Self {
        Self {
            left: self.left.min(other.left),
            bottom: self.bottom.min(other.bottom),
            right: self.right.max(other.right),
            top: self.top.max(other.top),
        }
    }

    fn corners(&self) -> [(f64, f64); 4] {
        [
            (self.left, self.bottom),
            (self.right, self.bottom),
            (self.right, self.top),
            (self.left, self.top),
        ]
    }

    /// Its edge on `side`, along that side's axis.
    const fn edge(&self, side: Side) -> f64 {
        match side {
            Side::PlusX => self.right,
            Side::PlusY => self.top,
            Side::MinusX => self.left,
            Side::MinusY => self.bottom,
        }
    }
}

/// The turn and the scale.
#[derive(Clone, Copy, Debug)]
struct Turned {
    cos: f64,
    sin: f64,
    scale: f64,
    origin: Point,
}

impl Turned {
    fn by(up: Direction) -> Self {
        Self { cos: up.cos(), sin: up.sin(), scale: 1.0, origin: Point::new(0.0, 0.0) }
    }

    /// To the right and up from the frame's origin, in millimetres of the part. The right hand
    /// is the up direction a quarter turn clockwise, as on the drawing: nothing is mirrored.
    fn along(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (x * self.sin - y * self.cos, x * self.cos + y * self.sin)
    }

    fn page(&self, at: (f64, f64)) -> Point {
        let (right, up) = self.along(at);
        self.origin.by(right * self.scale, -up * self.scale)
    }
}

impl Stand {
    /// Fits the part, its plate and its labels into the picture.
    #[must_use]
    pub fn of(job: &Job, orientation: &Orientation, options: &StandingOptions) -> Self {
        let text = options.text;
        let full = options.detail == Detail::Full;
        let unit = job.drawing.unit;
        let (part, outlined) = part_extent(job);
        let around = features_extent(job, part).and(part);

        let up = orientation.up();
        let up_side = orientation.up_side();
        let mut turned = Turned::by(up);
        let turned_corners = around.corners().map(|c| turned.along(c));
        let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for (r, u) in turned_corners {
            left = left.min(r);
            right = right.max(r);
            low = low.min(u);
            high = high.max(u);
        }

        // What carries the part, along up; blocks are drawn no taller than the part.
        let carried = up_side.map_or(low, |up| carried_at(job, orientation, up, &part));
        let known = orientation.rest.blocks.height();
        let blocks_mm = known.map_or(0.15 * (high - low), |height| {
            height.length(job.reading_unit(orientation)).to_mm().max(0.0)
        });
        let drawn_blocks = blocks_mm.min(high - low);
        let plate_at = carried - drawn_blocks;
        let bottom = low.min(plate_at);

        // Datum letters stand off the sides; what runs beside the part keeps clear of them.
        let flag = |sign: f64| {
            faces(&job.drawing.features).any(|(_, looks)| to_the_right(looks, up) * sign > 0.5)
        };
        let (flag_left, flag_right) = (flag(-1.0), flag(1.0));
        let margin = if full {
            Margin {
                left: if flag_left { 7.4 } else { 4.8 } * text,
                right: if flag_right { 12.6 } else { 10.6 } * text,
                top: 3.6 * text,
                bottom: 3.9 * text,
            }
        } else {
            Margin { left: 3.2 * text, right: 3.2 * text, top: 3.0 * text, bottom: 3.0 * text }
        };
        let room = (
            (options.width - margin.left - margin.right).max(1.0),
            (options.height - margin.top - margin.bottom).max(1.0),
        );
        let wanted = (right - left, high - bottom);
        let scale = (room.0 / wanted.0.max(1e-6)).min(room.1 / wanted.1.max(1e-6));
        turned.scale = scale;
        let slack = (room.0 - wanted.0 * scale, room.1 - wanted.1 * scale);
        turned.origin = Point::new(
            margin.left + 0.5 * slack.0 - left * scale,
            options.height - margin.bottom - 0.5 * slack.1 + bottom * scale,
        );
        let height_of = |u: f64| turned.origin.y - u * scale;

        let mut shapes: Vec<Option<Shape>> = job
            .drawing
            .features
            .iter()
            .enumerate()
            .map(|(i, f)| body(job, f, &turned, &part, up, text).map(|b| Shape::new(i, f, b)))
            .collect();
        let page_part = part.corners().map(|c| turned.page(c));
        place_labels(&mut shapes, &page_part, text);

        let sides = (turned.origin.x + left * scale, turned.origin.x + right * scale);
        let plate = height_of(plate_at);
        let blocks = (blocks_mm > 0.0).then(|| {
            let figures = Figures::of_readings(job, orientation);
            let height =
                known.map_or_else(|| "?".to_owned(), |_| figures.plain(Length::mm(blocks_mm)));
            (height_of(carried), height)
        });
        let dimension = sides.1 + if flag_right { 4.4 } else { 2.4 } * text;
        let right_side = up_side.map(|s| Side::from_degrees(s.degrees() - 90.0));
        Self {
            width: options.width,
            text,
            detail: options.detail,
            up,
            up_label: up_words(orientation),
            right_label: right_side.flatten().map(Side::label),
            part: page_part,
            outlined,
            sides,
            top: Around::of(&page_part).top.min(height_of(high)),
            plate,
            blocks,
            leans: up_side.is_none(),
            zero: zero(job, orientation, unit, &shapes, sides.1, plate, height_of),
            dimension,
            shapes,
        }
    }
}

struct Margin {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

/// Faces that say where they look.
fn faces(features: &[Feature]) -> impl Iterator<Item = (&Feature, Side)> {
    features.iter().filter_map(|f| (f.kind == Kind::Face).then_some((f, f.looks?)))
}

/// How far a side looks to the right on the page (−1 to the left), seen with `up` upwards.
fn to_the_right(looks: Side, up: Direction) -> f64 {
    let n = looks.direction();
    n.cos() * up.sin() - n.sin() * up.cos()
}

/// The outline, or a guess at it from the features, and whether it is the outline.
fn part_extent(job: &Job) -> (Extent, bool) {
    let unit = job.drawing.unit;
    if let Some(o) = &job.drawing.outline {
        let mm = |f: crate::quantity::Figure| f.length(unit).to_mm();
        let extent =
            Extent { left: mm(o.left), bottom: mm(o.bottom), right: mm(o.right), top: mm(o.top) };
        if extent.right > extent.left && extent.top > extent.bottom {
            return (extent, true);
        }
    }
    let mut found = features_extent(job, Extent::NOTHING);
    if !(found.right >= found.left && found.top >= found.bottom) {
        found = Extent { left: 0.0, bottom: 0.0, right: 100.0, top: 75.0 };
    }
    // A rim around the features, except where a face says where the part ends.
    let rim = (0.12 * (found.right - found.left).max(found.top - found.bottom)).max(5.0);
    found = Extent {
        left: found.left - rim,
        bottom: found.bottom - rim,
        right: found.right + rim,
        top: found.top + rim,
    };
    for (face, looks) in faces(&job.drawing.features) {
        let Some(at) = along(face, looks.axis(), unit) else { continue };
        match looks {
            Side::PlusX if at > found.left => found.right = at,
            Side::PlusY if at > found.bottom => found.top = at,
            Side::MinusX if at < found.right => found.left = at,
            Side::MinusY if at < found.top => found.bottom = at,
            _ => {}
        }
    }
    (found, false)
}

/// The box around all features of size; `part` lends the coordinate that one may lack.
fn features_extent(job: &Job, part: Extent) -> Extent {
    let unit = job.drawing.unit;
    let mut found = Extent::NOTHING;
    for f in &job.drawing.features {
        if !f.kind.is_sized() {
            continue;
        }
        let reach = radius_mm(f, unit).unwrap_or(0.0);
        match (along(f, Axis::X, unit), along(f, Axis::Y, unit)) {
            (Some(x), Some(y)) => found.add(x, y, reach),
            (Some(x), None) if part.top.is_finite() => {
                found.add(x, middle(part.bottom, part.top), reach)
            }
            (None, Some(y)) if part.right.is_finite() => {
                found.add(middle(part.left, part.right), y, reach)
            }
            _ => {}
        }
    }
    found
}

fn middle(a: f64, b: f64) -> f64 {
    0.5 * (a + b)
}

fn along(feature: &Feature, axis: Axis, unit: Unit) -> Option<f64> {
    feature.basic(axis, unit).map(Length::to_mm)
}

fn radius_mm(feature: &Feature, unit: Unit) -> Option<f64> {
    Some(feature.size?.limits(unit)?.middle().to_mm() * 0.5)
}

/// Coordinate along up of what carries the part.
fn carried_at(job: &Job, orientation: &Orientation, up: Side, part: &Extent) -> f64 {
    let down = up.opposite();
    let face = orientation.rest.face.as_ref().and_then(|n| job.feature(n));
    let at = face
        .filter(|f| f.kind == Kind::Face && f.looks == Some(down))
        .and_then(|f| along(f, down.axis(), job.drawing.unit))
        .unwrap_or_else(|| part.edge(down));
    at * up.sign()
}

/// Where a feature is on the page; `None` while the drawing does not say.
fn body(
    job: &Job,
    f: &Feature,
    turned: &Turned,
    part: &Extent,
    up: Direction,
    text: f64,
) -> Option<Body> {
    let unit = job.drawing.unit;
    let (x, y) = (along(f, Axis::X, unit), along(f, Axis::Y, unit));
    match f.kind {
        Kind::Hole | Kind::Boss => {
            let radius = radius_mm(f, unit);
            Some(Body::Round {
                centre: turned.page((x?, y?)),
                radius: radius.map_or(0.4 * text, |r| r * turned.scale),
                sized: radius.is_some(),
            })
        }
        Kind::Slot | Kind::Tab => {
            let across = f.across?;
            let half = radius_mm(f, unit).unwrap_or(0.4 * text / turned.scale.max(1e-9));
            let at = match across {
                Axis::X => (x?, y.unwrap_or(middle(part.bottom, part.top))),
                Axis::Y => (x.unwrap_or(middle(part.left, part.right)), y?),
            };
            // Its length is not on the drawing as far as this program knows: long enough to
            // look like one, and inside the part.
            let room = match across {
                Axis::X => (part.top - at.1).min(at.1 - part.bottom),
                Axis::Y => (part.right - at.0).min(at.0 - part.left),
            };
            let long =
                (2.3 * half).max(2.5 / turned.scale.max(1e-9)).min((0.85 * room).max(1.3 * half));
            let (dx, dy) = if across == Axis::X { (half, long) } else { (long, half) };
            let corners = [(-dx, -dy), (dx, -dy), (dx, dy), (-dx, dy)]
                .map(|(sx, sy)| turned.page((at.0 + sx, at.1 + sy)));
            let upward = up.square_axis() == Some(across);
            Some(Body::Flat {
                centre: turned.page(at),
                corners,
                across,
                half: upward.then_some(half * turned.scale),
            })
        }
        Kind::Face => {
            let looks = f.looks?;
            let at = along(f, looks.axis(), unit)?;
            let (from, to) = match looks.axis() {
                Axis::X => ((at, part.bottom), (at, part.top)),
                Axis::Y => ((part.left, at), (part.right, at)),
            };
            let n = looks.direction();
            let (right, upward) = turned.along((n.cos(), n.sin()));
            Some(Body::Edge {
                from: turned.page(from),
                to: turned.page(to),
                outward: libm::atan2(upward, right),
                letter: letter_of(&job.drawing, &f.number).map(str::to_owned),
            })
        }
    }
}

/// Where the zero is and what it says. A zero at the plate is the plate itself.
fn zero(
    job: &Job,
    orientation: &Orientation,
    unit: Unit,
    shapes: &[Option<Shape>],
    right: f64,
    plate: f64,
    height_of: impl Fn(f64) -> f64,
) -> Option<(Point, String)> {
    let says = zero_name(job, orientation);
    match &orientation.zero {
        Zero::Plate => Some((Point::new(right, plate), says)),
        Zero::Feature(number) => {
            let index = job.drawing.features.iter().position(|f| f.number == *number)?;
            let feature = job.drawing.features.get(index)?;
            let shape = shapes.get(index)?.as_ref()?;
            let y = match Setup::of(job, orientation) {
                Ok(setup) => height_of(setup.base.to_mm()),
                Err(_) => {
                    let p = Place::new(
                        feature.x.map(|f| f.length(unit)).unwrap_or_default(),
                        feature.y.map(|f| f.length(unit)).unwrap_or_default(),
                    );
                    height_of(p.along(orientation.up()).to_mm())
                }
            };
            let x = match &shape.body {
                Body::Edge { from, to, .. } => from.x.max(to.x),
                _ => shape.around().right,
            };
            Some((Point::new(x, y), says))
        }
    }
}
