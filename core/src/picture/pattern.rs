//! The pattern: the part as the drawing shows it, its features to scale and numbered, and how
//! far each lies from its true position.
//!
//! [`pattern`] gives the whole picture at once. A screen that redraws parts of it takes the
//! [`Layout`] and its layers, each of which changes for its own reason: the base with the
//! drawing, the vectors with the readings, the light with the selection.

use super::balloon::{self, Balloon, OVER_AXES, OVER_FEATURE, OVER_OUTLINE, OVER_VECTOR};
use super::room::{Ground, Thing};
use super::scale::{Extent, Fit, Room};
use super::shape::{Form, Shape};
use super::vectors::{Vectors, vectors};
use crate::findings::PieceFinding;
use crate::job::{Drawing, Job, Kind};
use crate::mark::{Group, Ink, Line, Mark, Path, Point, Rect, Stroke, Tag, Text, datum_flag};
use crate::quantity::Side;
use crate::show::feature_name;
use std::collections::HashMap;

/// How the picture should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PatternOptions {
    /// Width of the picture in millimetres.
    pub width_mm: f64,
    /// Height of the picture in millimetres.
    pub height_mm: f64,
    /// Size of the letters in the balloons, in millimetres.
    pub text_mm: f64,
    /// Index of the feature that is lit up.
    pub selected: Option<usize>,
}

impl Default for PatternOptions {
    fn default() -> Self {
        Self { width_mm: 132.0, height_mm: 92.0, text_mm: 3.0, selected: None }
    }
}

/// The picture of the pattern.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// Its marks, inside a rectangle of the size asked for.
    pub marks: Vec<Mark>,
    /// How many times larger than the part the deviations are drawn, if any are.
    pub exaggeration: Option<f64>,
    /// What to write under it: "deviations drawn 50 times larger"; empty without a piece.
    pub caption: String,
}

/// The whole picture: `piece`, if given, with its deviations.
///
/// Each feature is a group with the role `feature`, its number one with the role `balloon`, its
/// deviation one with the role `vector`; all are tagged with the feature's index in the drawing.
#[must_use]
pub fn pattern(job: &Job, piece: Option<&PieceFinding>, options: &PatternOptions) -> Pattern {
    let layout = Layout::of(&job.drawing, options);
    let vectors = piece.map(|p| layout.vectors(p));
    let balloons = layout.balloons(vectors.as_ref());
    let mut marks = layout.base();
    let (exaggeration, caption) =
        vectors.as_ref().map_or((None, String::new()), |v| (v.exaggeration, v.caption.clone()));
    marks.extend(vectors.into_iter().flat_map(|v| v.marks));
    marks.extend(balloons.marks());
    if let Some(index) = options.selected {
        marks.extend(layout.light(index, &balloons));
    }
    Pattern { marks, exaggeration, caption }
}

/// Above this many features, groups and centre lines are left out.
const VERY_MANY: usize = 1500;

/// A datum letter on a face.
#[derive(Clone, Debug, PartialEq)]
struct Flag {
    feature: usize,
    at: Point,
    looks: Side,
    letter: String,
}

/// A drawing laid out on the paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    pub(super) options: PatternOptions,
    pub(super) fit: Fit,
    /// The picture itself.
    pub(super) room: Room,
    /// One for each feature that has a place.
    pub(super) shapes: Vec<Option<Shape>>,
    outline: Option<Room>,
    /// Where X and Y are zero, if the drawing has an extent.
    origin: Option<Point>,
    flags: Vec<Flag>,
    names: Vec<String>,
    /// What stands in the balloons: the number, with the datum letter of a feature of size.
    texts: Vec<Option<String>>,
}

impl Layout {
    /// Lays the drawing out.
    #[must_use]
    pub fn of(drawing: &Drawing, options: &PatternOptions) -> Self {
        let sane = |mm: f64, least: f64| if mm.is_finite() && mm > least { mm } else { least };
        let options = PatternOptions {
            width_mm: sane(options.width_mm, 10.0),
            height_mm: sane(options.height_mm, 10.0),
            text_mm: sane(options.text_mm, 0.5),
            ..*options
        };
        let room = Room { left: 0.0, top: 0.0, right: options.width_mm, bottom: options.height_mm };
        let letters: HashMap<&str, &str> = drawing
            .datums
            .iter()
            .filter_map(|d| Some((d.feature.as_deref()?, d.letter.as_str())))
            .filter(|(_, letter)| !letter.is_empty())
            .collect();
        let flagged = |side: Side| {
            drawing.features.iter().any(|f| {
                f.kind == Kind::Face
                    && f.looks == Some(side)
                    && letters.contains_key(f.number.as_str())
            })
        };
        let margin = |side: Side| {
            let wide = if flagged(side) { 3.6 * options.text_mm } else { 0.9 * options.text_mm };
            // The axes stand at the lower left.
            let axes = matches!(side, Side::MinusX | Side::MinusY);
            let most = 0.25 * options.width_mm.min(options.height_mm);
            (if axes { wide.max(2.4 * options.text_mm) } else { wide }).min(most)
        };
        let inner = Room {
            left: margin(Side::MinusX),
            right: options.width_mm - margin(Side::PlusX),
            top: margin(Side::PlusY),
            bottom: options.height_mm - margin(Side::MinusY),
        };
        let extent = Extent::of_drawing(drawing);
        let fit = Fit::new(
            extent.unwrap_or(Extent { left: 0.0, bottom: 0.0, right: 0.0, top: 0.0 }),
            inner,
        );
        let shapes: Vec<Option<Shape>> =
            drawing.features.iter().map(|f| Shape::of(f, drawing.unit, extent?, &fit)).collect();
        let outline =
            Extent::of_outline(drawing).filter(|o| o.width() > 0.0 && o.height() > 0.0).map(|o| {
                let (upper, lower) = (fit.at(o.left, o.top), fit.at(o.right, o.bottom));
                Room { left: upper.x, top: upper.y, right: lower.x, bottom: lower.y }
            });
        let flags = flags(drawing, &shapes, &letters);
        let texts = drawing
            .features
            .iter()
            .map(|f| match letters.get(f.number.as_str()) {
                // The flag says it.
                Some(letter) if f.kind == Kind::Face && **letter == f.number => None,
                Some(letter) if f.kind != Kind::Face && **letter != f.number => {
                    Some(format!("{} {letter}", f.number))
                }
                _ => Some(f.number.clone()),
            })
            .collect();
        Self {
            options,
            fit,
            room,
            shapes,
            outline,
            origin: extent.map(|_| fit.at(0.0, 0.0)).filter(|p| room.holds(*p)),
            flags,
            names: drawing.features.iter().map(feature_name).collect(),
            texts,
        }
    }

    /// So many features that each for itself can no longer be made out.
    pub(super) fn simple(&self) -> bool {
        self.shapes.len() > VERY_MANY
    }

    /// What depends on the drawing alone: outline, axes, datums and features.
    #[must_use]
    pub fn base(&self) -> Vec<Mark> {
        let mut marks = self.ground();
        marks.reserve(self.shapes.len());
        // Large ones first, so that a boss in a bore is seen.
        let mut order: Vec<(usize, &Shape)> =
            self.shapes.iter().enumerate().filter_map(|(i, s)| Some((i, s.as_ref()?))).collect();
        order.sort_by(|(_, a), (_, b)| b.reach(1.0, 0.0).total_cmp(&a.reach(1.0, 0.0)));
        let simple = self.simple();
        for (index, shape) in order {
            let body = shape.marks(simple);
            if simple {
                marks.extend(body);
                continue;
            }
            let tag = Tag::new(role(shape.kind)).feature(index.to_string());
            let label = self.names.get(index).cloned().unwrap_or_default();
            marks.push(Group::new(tag.label(label), body).into());
        }
        marks
    }

    /// Outline, axes and the letters of datum faces.
    pub(super) fn ground(&self) -> Vec<Mark> {
        let mut marks: Vec<Mark> = Vec::with_capacity(8);
        if let Some(o) = self.outline {
            let body = Rect::new((o.left, o.top), o.right - o.left, o.bottom - o.top)
                .fill(Ink::Paper)
                .stroke(Stroke::OUTLINE);
            marks.push(Group::new(Tag::new("outline"), vec![body.into()]).into());
        }
        marks.extend(self.axes());
        for flag in &self.flags {
            let body = datum_flag(
                flag.at,
                flag.looks.degrees().to_radians(),
                &flag.letter,
                self.flag_size(),
            );
            let tag = Tag::new("feature flag").feature(flag.feature.to_string());
            marks.push(Group::new(tag, vec![body]).into());
        }
        marks
    }

    /// The deviations of a piece.
    #[must_use]
    pub fn vectors(&self, piece: &PieceFinding) -> Vectors {
        vectors(self, piece)
    }

    /// The numbers, clear of the features and, if given, of the deviations.
    #[must_use]
    pub fn balloons(&self, vectors: Option<&Vectors>) -> Balloons {
        self.numbers(vectors, None)
    }

    /// The same after the deviations changed: a number moves only where it now stands on
    /// something, so that an edit moves as little as it can.
    #[must_use]
    pub fn balloons_after(&self, before: &Balloons, vectors: Option<&Vectors>) -> Balloons {
        self.numbers(vectors, Some(&before.list))
    }

    fn numbers(&self, vectors: Option<&Vectors>, before: Option<&[Option<Balloon>]>) -> Balloons {
        let mut ground = self.occupied(self.room);
        for &(from, to) in vectors.map_or(&[][..], |v| &v.drawn) {
            ground.put(Thing::Line(from, to), OVER_VECTOR);
            ground.put(Thing::Disc(to, 0.9), OVER_VECTOR);
        }
        self.placed(&self.shapes, self.room, &mut ground, before)
    }

    /// The numbers of those features only that have a shape here, clear of these things too;
    /// inside `room`.
    pub(super) fn balloons_beside(
        &self,
        shapes: &[Option<Shape>],
        things: &[(Thing, f64)],
        room: Room,
    ) -> Balloons {
        let mut ground = self.occupied(room);
        for (thing, weight) in things {
            ground.put(*thing, *weight);
        }
        self.placed(shapes, room, &mut ground, None)
    }

    fn placed(
        &self,
        shapes: &[Option<Shape>],
        room: Room,
        ground: &mut Ground,
        before: Option<&[Option<Balloon>]>,
    ) -> Balloons {
        let texts: Vec<Option<&str>> = self.texts.iter().map(Option::as_deref).collect();
        let margin = 0.3;
        let room = Room {
            left: room.left + margin,
            top: room.top + margin,
            right: room.right - margin,
            bottom: room.bottom - margin,
        };
        Balloons { list: balloon::place(shapes, &texts, self.balloon_text(), room, ground, before) }
    }

    /// What the drawing itself puts on the paper.
    fn occupied(&self, room: Room) -> Ground {
        let mut ground = Ground::new(room);
        for shape in self.shapes.iter().flatten() {
            match shape.form {
                Form::Round { radius, .. } => {
                    ground.put(Thing::Disc(shape.at, radius), OVER_FEATURE)
                }
                Form::Band { half: (w, h), .. } => ground.put(
                    Thing::Box(Room {
                        left: shape.at.x - w,
                        right: shape.at.x + w,
                        top: shape.at.y - h,
                        bottom: shape.at.y + h,
                    }),
                    OVER_FEATURE,
                ),
                Form::Edge { from, to, .. } => ground.put(Thing::Line(from, to), OVER_OUTLINE),
            }
        }
        if let Some(o) = self.outline {
            let corner = |x: f64, y: f64| Point::new(x, y);
            let (a, b) = (corner(o.left, o.top), corner(o.right, o.top));
            let (c, d) = (corner(o.right, o.bottom), corner(o.left, o.bottom));
            for (from, to) in [(a, b), (b, c), (c, d), (d, a)] {
                ground.put(Thing::Line(from, to), OVER_OUTLINE);
            }
        }
        for flag in &self.flags {
            let (dx, dy) = (flag.looks.direction().cos(), -flag.looks.direction().sin());
            let (out, half) = (2.2 * self.flag_size(), 0.6 * self.flag_size());
            let far = flag.at.by(out * dx, out * dy);
            let (wide, high) = (half * dy.abs(), half * dx.abs());
            let thing = Room {
                left: flag.at.x.min(far.x) - wide,
                right: flag.at.x.max(far.x) + wide,
                top: flag.at.y.min(far.y) - high,
                bottom: flag.at.y.max(far.y) + high,
            };
            ground.put(Thing::Box(thing), OVER_FEATURE);
        }
        if let Some((corner, right, up)) = self.axis_ends() {
            ground.put(Thing::Line(corner, right.by(2.0, 0.0)), OVER_AXES);
            ground.put(Thing::Line(corner, up.by(0.0, -2.0)), OVER_AXES);
        }
        ground
    }

    /// What lights a feature up, to be drawn over everything else: nothing where the drawing
    /// does not say where the feature is.
    #[must_use]
    pub fn light(&self, index: usize, balloons: &Balloons) -> Vec<Mark> {
        let Some(Some(shape)) = self.shapes.get(index) else { return Vec::new() };
        let mut body = vec![shape.lit()];
        if let Some(Some(balloon)) = balloons.list.get(index) {
            body.extend(balloon.marks(true));
        }
        vec![Group::new(Tag::new("light").feature(index.to_string()), body).into()]
    }

    /// The feature that someone means who points at (x, y), in millimetres of the picture: the
    /// smallest one there, or the nearest within 3 mm, its number counting as part of it.
    #[must_use]
    pub fn nearest(&self, x: f64, y: f64, balloons: &Balloons) -> Option<usize> {
        let p = Point::new(x, y);
        let mut best: Option<(f64, f64, usize)> = None;
        for (index, shape) in self.shapes.iter().enumerate() {
            let Some(shape) = shape else { continue };
            let balloon = balloons.list.get(index).and_then(Option::as_ref);
            let on_balloon = balloon.map_or(f64::INFINITY, |b| b.pill.distance(p));
            let flag =
                self.flags.iter().filter(|f| f.feature == index).map(|f| self.flag_distance(f, p));
            let off =
                shape.distance(p).min(on_balloon).min(flag.fold(f64::INFINITY, f64::min)).max(0.0);
            // A balloon or flag is meant before what lies under it, a small feature before a
            // large one.
            let size = if on_balloon <= 0.0 { 0.0 } else { shape.reach(1.0, 0.0) };
            if off <= 3.0 && best.is_none_or(|(o, s, _)| (off, size) < (o, s)) {
                best = Some((off, size, index));
            }
        }
        best.map(|(_, _, index)| index)
    }

    fn flag_distance(&self, flag: &Flag, p: Point) -> f64 {
        let size = self.flag_size();
        let middle = flag.at.toward(flag.looks.degrees().to_radians(), 1.6 * size);
        libm::hypot(p.x - middle.x, p.y - middle.y) - 0.7 * size
    }

    fn flag_size(&self) -> f64 {
        1.45 * self.options.text_mm
    }

    /// Letters in the balloons: smaller where there are many, as long as they can be read.
    fn balloon_text(&self) -> f64 {
        (0.3 * self.spacing()).clamp(0.6 * self.options.text_mm, self.options.text_mm)
    }

    /// How far apart the features of size would be if they were spread evenly over the picture,
    /// in millimetres.
    pub(super) fn spacing(&self) -> f64 {
        let sized = |s: &&Shape| !matches!(s.form, Form::Edge { .. });
        #[expect(clippy::cast_precision_loss, reason = "a count of features")]
        let count = self.shapes.iter().flatten().filter(sized).count().max(1) as f64;
        let (wide, high) =
            self.outline.map_or((self.options.width_mm, self.options.height_mm), |o| {
                (o.right - o.left, o.bottom - o.top)
            });
        (wide * high / count).sqrt()
    }

    /// Corner, end of X and end of Y of the axes.
    fn axis_ends(&self) -> Option<(Point, Point, Point)> {
        let origin = self.origin?;
        let long = 3.0 * self.options.text_mm;
        // At a corner or an edge of the part they stand outside it.
        let off = 0.8 * self.options.text_mm;
        let on = |a: f64, b: f64| (a - b).abs() < 0.5;
        let corner = match self.outline {
            Some(o) => origin.by(
                if on(origin.x, o.left) { -off } else { 0.0 },
                if on(origin.y, o.bottom) { off } else { 0.0 },
            ),
            None => origin,
        };
        Some((corner, corner.by(long, 0.0), corner.by(0.0, -long)))
    }

    fn axes(&self) -> Option<Mark> {
        let (corner, right, up) = self.axis_ends()?;
        let pen = Stroke::new(Ink::Soft, 0.18);
        let text = 0.8 * self.options.text_mm;
        let head = |tip: Point, dx: f64, dy: f64| -> Mark {
            let (long, wide) = (1.6, 0.5);
            Path::polygon([
                tip,
                tip.by(-long * dx + wide * dy, -long * dy + wide * dx),
                tip.by(-long * dx - wide * dy, -long * dy - wide * dx),
            ])
            .fill(Ink::Soft)
            .into()
        };
        let label = |at: Point, letter: &str| {
            Mark::from(Text::new(at, letter, text).middle().ink(Ink::Soft))
        };
        let marks = vec![
            Line::new(corner, right, pen).into(),
            Line::new(corner, up, pen).into(),
            head(right, 1.0, 0.0),
            head(up, 0.0, -1.0),
            label(right.by(0.65 * text, 0.36 * text), "X"),
            label(up.by(0.0, -0.4 * text), "Y"),
        ];
        Some(Group::new(Tag::new("axes"), marks).into())
    }
}

/// The numbers of a layout, each where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Balloons {
    list: Vec<Option<Balloon>>,
}

impl Balloons {
    /// Them drawn.
    #[must_use]
    pub fn marks(&self) -> Vec<Mark> {
        self.marks_lit(None)
    }

    /// Them drawn, that of one feature lit up.
    pub(super) fn marks_lit(&self, lit: Option<usize>) -> Vec<Mark> {
        self.list
            .iter()
            .enumerate()
            .filter_map(|(index, balloon)| {
                let tag = Tag::new("balloon").feature(index.to_string());
                Some(Group::new(tag, balloon.as_ref()?.marks(lit == Some(index))).into())
            })
            .collect()
    }
}

const fn role(kind: Kind) -> &'static str {
    match kind {
        Kind::Hole => "feature hole",
        Kind::Boss => "feature boss",
        Kind::Slot => "feature slot",
        Kind::Tab => "feature tab",
        Kind::Face => "feature face",
    }
}

/// Letters of the datum faces, spread along their edges, away from the frame's origin.
fn flags(drawing: &Drawing, shapes: &[Option<Shape>], letters: &HashMap<&str, &str>) -> Vec<Flag> {
    let mut flags: Vec<Flag> = Vec::new();
    for (feature, (f, shape)) in drawing.features.iter().zip(shapes).enumerate() {
        let Some(Shape { form: Form::Edge { from, to, looks }, .. }) = shape else { continue };
        let Some(letter) = letters.get(f.number.as_str()) else { continue };
        let before = flags.iter().filter(|g| g.looks == *looks).count();
        let t = [0.7, 0.5, 0.85, 0.3].get(before % 4).copied().unwrap_or(0.7);
        let at = Point::new(from.x + t * (to.x - from.x), from.y + t * (to.y - from.y));
        flags.push(Flag { feature, at, looks: *looks, letter: (*letter).to_owned() });
    }
    flags
}
