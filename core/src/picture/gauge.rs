//! A pattern as its functional gauge sees it: zones and datum rooms drawn many times larger, each
//! axis before and after the common shift, what holds the pattern, and the gauge itself.

use super::balloon::{OVER_FEATURE, OVER_VECTOR};
use super::pattern::{Layout, PatternOptions};
use super::room::Thing;
use super::scale::{Room as Frame, exaggeration};
use super::shape::{Form, Shape};
use super::vectors::{clipped, end};
use crate::callout::{PositionFinding, Verdict, Zone};
use crate::findings::{PatternFinding, PieceFinding, Room};
use crate::job::{Feature, Job, Kind, Modifier};
use crate::mark::{Circle, Group, Ink, Line, Mark, Path, Point, Rect, Stroke, Tag};
use crate::quantity::{Axis, Length, Unit};

/// How large the largest zone becomes at most, as a share of the picture's longer side.
const REACH: f64 = 0.09;
/// And at least, in millimetres, however close the features stand.
const LEAST: f64 = 2.2;
/// What stays free between two zones, for the wedges, in millimetres.
const FREE: f64 = 2.4;
/// How many times the reach an axis may lie off before it is cut short.
const CUT: f64 = 1.8;
/// Above this many features, how close they stand is taken from the whole picture.
const MANY: usize = 300;

/// The picture of a pattern.
#[derive(Clone, Debug, PartialEq)]
pub struct Gauge {
    /// Its marks, inside a rectangle of the size asked for.
    pub marks: Vec<Mark>,
    /// How many times larger than the part zones and deviations are drawn, if there are any.
    pub exaggeration: Option<f64>,
    /// What to write under it.
    pub caption: String,
}

/// Draws the pattern with this index among those of the piece; nothing where there is none.
///
/// Of every member its zone (tolerance and bonus) is drawn about its true position, of every datum
/// feature of size the room that its clearance leaves, all of them and the deviations in them to
/// one stated scale. A hollow dot is the axis before the shift, a filled one (a cross outside the
/// zone) after it; a wedge stands where the pattern is held; dashed, at the scale of the part, are
/// the pins and rings of the gauge: the virtual condition of a member at MMC, the boundary of a
/// datum feature. Groups are tagged with the index of the feature.
#[must_use]
pub fn gauge(job: &Job, piece: &PieceFinding, index: usize, options: &PatternOptions) -> Gauge {
    let inset = 0.04 * options.width_mm.min(options.height_mm).max(10.0);
    let inset = if inset.is_finite() { inset } else { 1.0 };
    let inner = PatternOptions {
        width_mm: options.width_mm - 2.0 * inset,
        height_mm: options.height_mm - 2.0 * inset,
        ..*options
    };
    let layout = Layout::of(&job.drawing, &inner);
    let Some(pattern) = piece.patterns.get(index) else {
        return Gauge { marks: Vec::new(), exaggeration: None, caption: String::new() };
    };
    let frame = Frame {
        left: layout.room.left - inset,
        top: layout.room.top - inset,
        right: layout.room.right + inset,
        bottom: layout.room.bottom + inset,
    };
    let things = things(job, piece, (index, pattern), &layout);
    let picture = Picture::of(&layout, things, frame);
    let marks = picture.draw(options.selected).into_iter().map(|m| m.moved(inset, inset)).collect();
    Gauge { marks, exaggeration: picture.factor, caption: picture.caption(pattern) }
}

/// The room an axis has.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Space {
    /// A circle.
    Round,
    /// Between planes, across this unit vector of the drawing.
    Across([f64; 2]),
}

/// A member or a datum feature in the picture; lengths in millimetres of the part.
#[derive(Clone, Debug, PartialEq)]
struct Item {
    feature: usize,
    /// Its true position on the paper.
    at: Point,
    space: Space,
    half: f64,
    /// A datum feature regardless of its size: the axis has no room at all.
    fixed: bool,
    before: Option<[f64; 2]>,
    after: Option<[f64; 2]>,
    holds: bool,
    verdict: Verdict,
    /// Size of what the gauge has there.
    pin: Option<f64>,
}

impl Item {
    /// A deviation as far as it counts here.
    fn counting(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        match self.space {
            Space::Round => [x, y],
            Space::Across([a, b]) => {
                let d = x * a + y * b;
                [d * a, d * b]
            }
        }
    }

    fn off(&self, d: [f64; 2]) -> f64 {
        let [x, y] = self.counting(d);
        libm::hypot(x, y)
    }
}

fn both(d: [Option<Length>; 2]) -> Option<[f64; 2]> {
    let mm = d.map(|d| d.map_or(0.0, Length::to_mm));
    (d.iter().any(Option::is_some) && mm.iter().all(|v| v.is_finite())).then_some(mm)
}

fn things(
    job: &Job,
    piece: &PieceFinding,
    (index, pattern): (usize, &PatternFinding),
    layout: &Layout,
) -> Vec<Item> {
    let unit = job.drawing.unit;
    let at = |feature: usize| Some(layout.shapes.get(feature)?.as_ref()?.at);
    let room = |room: &Room| {
        let feature = job.drawing.features.get(room.feature)?;
        Some(Item {
            feature: room.feature,
            at: at(room.feature)?,
            space: room.across.map_or(Space::Round, Space::Across),
            half: 0.5 * room.clearance.to_mm(),
            fixed: room.limit.is_none(),
            before: both(room.before.map(Some)),
            after: pattern.margin.and_then(|_| both(room.after.map(Some))),
            holds: room.holds,
            verdict: Verdict::Conforms,
            pin: room.limit.map(|l| l.0.to_mm()).filter(|_| feature.kind.is_sized()),
        })
    };
    let mut items: Vec<Item> = pattern.rooms.iter().filter_map(room).collect();
    let mut once = pattern.members.clone();
    once.sort_unstable();
    once.dedup();
    for feature in once {
        let (Some(one), Some(finding), Some(at)) =
            (job.drawing.features.get(feature), piece.features.get(feature), at(feature))
        else {
            continue;
        };
        let missing = pattern.missing.contains(&feature);
        for p in pattern.segments(index, finding) {
            let moved = p.shifted.is_some() && !missing;
            items.push(Item {
                feature,
                at,
                space: match p.zone {
                    Zone::Round => Space::Round,
                    Zone::Planes(axis) => Space::Across(axis.unit()),
                },
                half: 0.5 * p.allowed.to_mm().max(0.0),
                fixed: false,
                before: both(p.before()).filter(|_| !missing),
                after: both(p.deviation).filter(|_| moved),
                holds: pattern.is_held_by(feature, p),
                verdict: match p.margin {
                    _ if missing => Verdict::NotMeasured,
                    Some(m) if m.at_least(Length::ZERO) => Verdict::Conforms,
                    Some(_) => Verdict::DoesNotConform,
                    None => Verdict::NotMeasured,
                },
                pin: virtual_size(one, p, unit).map(Length::to_mm),
            });
        }
    }
    items
}

/// Size of what a functional gauge has for a member at MMC: its virtual condition, MMC less the
/// tolerance for an inner feature, plus it for an outer one (ASME Y14.5-2018 and ISO 2692, virtual
/// condition). Regardless of size, and at LMC, there is no such fixed gauge.
fn virtual_size(feature: &Feature, p: &PositionFinding, unit: Unit) -> Option<Length> {
    let limits = feature.size?.limits(unit)?;
    if p.modifier != Modifier::Mmc {
        return None;
    }
    let mmc = limits.mmc(feature.kind);
    Some(if feature.kind.is_internal() { mmc - p.tolerance } else { mmc + p.tolerance })
}

struct Picture<'a> {
    layout: &'a Layout,
    items: Vec<Item>,
    frame: Frame,
    /// How long the largest zone may become, in millimetres of paper.
    reach: f64,
    factor: Option<f64>,
    cut: usize,
}

impl<'a> Picture<'a> {
    fn of(layout: &'a Layout, items: Vec<Item>, frame: Frame) -> Self {
        let scale = layout.fit.scale;
        let zones = items.iter().map(|i| i.half * scale).fold(0.0, f64::max);
        let largest = if zones > 1e-12 {
            zones
        } else {
            let all = items.iter().flat_map(|i| [i.before, i.after].map(|d| d.map(|d| i.off(d))));
            all.flatten().fold(0.0, f64::max) * scale
        };
        // The series takes a fifth more than it is given.
        let factor = exaggeration(&[largest], reach(layout, &items, frame, largest) / 1.2);
        let reach = factor.unwrap_or(1.0) * largest;
        let mut picture = Self { layout, items, frame, reach, factor, cut: 0 };
        let is_cut = |i: &&Item| {
            [i.before, i.after].into_iter().flatten().any(|d| {
                let (to, whole) = picture.place(i, d);
                libm::hypot(to.x - whole.x, to.y - whole.y) > 1e-6
            })
        };
        picture.cut = picture.items.iter().filter(is_cut).count();
        picture
    }

    /// Millimetres of paper for one of a deviation.
    fn scale(&self) -> f64 {
        self.layout.fit.scale * self.factor.unwrap_or(1.0)
    }

    /// Where an axis is drawn, and where it would be drawn if nothing were cut short.
    fn place(&self, item: &Item, deviation: [f64; 2]) -> (Point, Point) {
        let [x, y] = item.counting(deviation);
        let (dx, dy) = (x * self.scale(), -y * self.scale());
        let whole = item.at.by(dx, dy);
        let most = CUT * self.reach;
        let keep = (most / libm::hypot(dx, dy).max(1e-12)).min(1.0);
        let inner = Frame {
            left: self.frame.left + 1.2,
            top: self.frame.top + 1.2,
            right: self.frame.right - 1.2,
            bottom: self.frame.bottom - 1.2,
        };
        (clipped(item.at, item.at.by(dx * keep, dy * keep), inner), whole)
    }

    /// Half the zone on the paper.
    fn half(&self, item: &Item) -> f64 {
        item.half * self.scale()
    }

    /// Dots are smaller in a small room.
    fn weight(&self, item: &Item) -> f64 {
        (0.28 * self.half(item)).clamp(0.22, 0.75)
    }

    fn draw(&self, selected: Option<usize>) -> Vec<Mark> {
        let mut marks = self.layout.ground();
        let mut order: Vec<(usize, &Shape)> = self
            .layout
            .shapes
            .iter()
            .enumerate()
            .filter_map(|(i, s)| Some((i, s.as_ref()?)))
            .collect();
        order.sort_by(|(_, a), (_, b)| b.reach(1.0, 0.0).total_cmp(&a.reach(1.0, 0.0)));
        for (index, shape) in order {
            let tag = Tag::new("feature").feature(index.to_string());
            marks.push(Group::new(tag, vec![shape.faint()]).into());
        }
        let group = |role: &'static str, item: &Item, body: Vec<Mark>| -> Option<Mark> {
            let tag = Tag::new(role).feature(item.feature.to_string());
            (!body.is_empty()).then(|| Group::new(tag, body).into())
        };
        for item in &self.items {
            marks.extend(group("gauge-pin", item, self.pin(item)));
        }
        for item in &self.items {
            marks.extend(group("gauge-zone", item, self.zone(item)));
            marks.extend(group("gauge-hold", item, self.wedge(item).into_iter().collect()));
        }
        for item in &self.items {
            marks.extend(group("gauge-move", item, self.moved(item)));
        }
        marks.extend(self.numbers(selected));
        marks
    }

    /// What the gauge has there, at the scale of the part.
    fn pin(&self, item: &Item) -> Vec<Mark> {
        let Some(size) = item.pin.filter(|s| s.is_finite() && *s > 0.0) else { return Vec::new() };
        let half = 0.5 * size * self.layout.fit.scale;
        let pen = Stroke::THIN.dash(Stroke::DASHED);
        match self.layout.shapes.get(item.feature).and_then(Option::as_ref).map(|s| s.form) {
            Some(Form::Round { .. }) => vec![Circle::new(item.at, half).stroke(pen).into()],
            Some(Form::Band { half: (w, h), across: Some(axis), .. }) => {
                let (w, h) = if axis == Axis::X { (half, h) } else { (w, half) };
                vec![Rect::new(item.at.by(-w, -h), 2.0 * w, 2.0 * h).stroke(pen).into()]
            }
            _ => Vec::new(),
        }
    }

    /// How long the planes of a zone are drawn, to either side.
    fn along(&self, item: &Item) -> f64 {
        (1.3 * self.half(item)).clamp(LEAST.min(self.reach), self.reach)
    }

    fn zone(&self, item: &Item) -> Vec<Mark> {
        let half = self.half(item);
        let pen = Stroke::new(Ink::Accent, if item.holds { 0.5 } else { 0.3 });
        let arm = 0.9;
        // The true position itself.
        let mut marks: Vec<Mark> = vec![
            Line::new(item.at.by(-arm, 0.0), item.at.by(arm, 0.0), Stroke::HAIR).into(),
            Line::new(item.at.by(0.0, -arm), item.at.by(0.0, arm), Stroke::HAIR).into(),
        ];
        match item.space {
            _ if half <= 1e-9 && !item.fixed => {}
            // Regardless of its size its own axis is the datum: a ring of no size.
            Space::Round if item.fixed => {
                marks.push(Circle::new(item.at, 0.3).fill(Ink::Ink).into());
            }
            Space::Round => marks.push(Circle::new(item.at, half).stroke(pen).into()),
            Space::Across([a, b]) => {
                let along = self.along(item);
                for side in [-1.0, 1.0] {
                    let middle = item.at.by(side * half * a, -side * half * b);
                    let (dx, dy) = (-b * along, -a * along);
                    marks.push(Line::new(middle.by(-dx, -dy), middle.by(dx, dy), pen).into());
                }
            }
        }
        marks
    }

    /// The sign of what holds the pattern: a wedge that points to where the axis leans on its zone.
    fn wedge(&self, item: &Item) -> Option<Mark> {
        if !item.holds {
            return None;
        }
        let [x, y] = item.counting(item.after.or(item.before).unwrap_or_default());
        let length = libm::hypot(x, y);
        let (ux, uy) = match item.space {
            _ if length > 1e-12 => (x / length, -y / length),
            Space::Round => (0.0, -1.0),
            Space::Across([a, b]) => (a, -b),
        };
        // Beside the mark of the axis where that stands on the edge of the zone. An axis outside its
        // zone leaves no room there: then on the other side of the zone.
        let half = self.half(item);
        let off = item.after.map_or(0.0, |d| {
            let (to, _) = self.place(item, d);
            libm::hypot(to.x - item.at.x, to.y - item.at.y)
        });
        let inside = off <= half + 0.02;
        let beside = if inside { half.max(off + self.weight(item) + 0.2) } else { half };
        let from = beside + 0.25;
        let (long, wide) = (1.9, 0.85);
        let tip = item.at.by(from * ux, from * uy);
        let back = tip.by(long * ux, long * uy);
        // At the edge of the picture it stands on the other side.
        let outside = back.x < self.frame.left + 1.0
            || back.x > self.frame.right - 1.0
            || back.y < self.frame.top + 1.0
            || back.y > self.frame.bottom - 1.0;
        let side = if outside || !inside { -1.0 } else { 1.0 };
        let tip = item.at.by(side * from * ux, side * from * uy);
        let back = tip.by(side * long * ux, side * long * uy);
        let corners = [tip, back.by(-wide * uy, wide * ux), back.by(wide * uy, -wide * ux)];
        Some(Path::polygon(corners).fill(Ink::Ink).into())
    }

    /// The axis before the shift, the way, and the axis after it.
    fn moved(&self, item: &Item) -> Vec<Mark> {
        let weight = self.weight(item);
        let hollow = |at: Point| -> Mark {
            let rim = Stroke::new(Ink::Ink, 0.25 * weight.max(0.6));
            Circle::new(at, 0.8 * weight).fill(Ink::Paper).stroke(rim).into()
        };
        let mut marks = Vec::new();
        match (item.before, item.after) {
            (Some(before), Some(after)) => {
                let ((from, _), (to, _)) = (self.place(item, before), self.place(item, after));
                let ink = match item.verdict {
                    Verdict::DoesNotConform => Ink::Fault,
                    _ => Ink::Accent,
                };
                // From the true position: what is compared with the zone.
                marks.push(Line::new(item.at, to, Stroke::new(Ink::Soft, 0.13)).into());
                marks.push(Line::new(from, to, Stroke::new(ink, 0.3)).into());
                marks.extend(head(from, to, weight, ink));
                marks.push(hollow(from));
                marks.extend(end(to, item.verdict, 0.9 * weight));
            }
            (Some(before), None) => marks.push(hollow(self.place(item, before).0)),
            _ if item.verdict == Verdict::NotMeasured => {
                marks.extend(end(item.at, Verdict::NotMeasured, 1.0));
            }
            _ => {}
        }
        marks
    }

    fn numbers(&self, selected: Option<usize>) -> Vec<Mark> {
        let mut shapes: Vec<Option<Shape>> = vec![None; self.layout.shapes.len()];
        let mut things = Vec::new();
        for item in &self.items {
            let Some(shape) = self.layout.shapes.get(item.feature).and_then(Option::as_ref) else {
                continue;
            };
            let round = match item.space {
                Space::Round => self.half(item),
                Space::Across(_) => libm::hypot(self.half(item), self.along(item)),
            };
            let mut radius = round.max(shape.reach(1.0, 0.0));
            for d in [item.before, item.after].into_iter().flatten() {
                let (to, _) = self.place(item, d);
                things.push((Thing::Line(item.at, to), OVER_VECTOR));
                things.push((Thing::Disc(to, 0.9), OVER_VECTOR));
            }
            things.push((Thing::Disc(item.at, round), OVER_FEATURE));
            if item.holds {
                radius += 0.3;
                if let Some(Mark::Path(wedge)) = self.wedge(item) {
                    things.extend(wedge.steps.first().and_then(|step| match step {
                        crate::mark::Step::Move(tip) => {
                            Some((Thing::Disc(*tip, 2.2), OVER_FEATURE))
                        }
                        _ => None,
                    }));
                }
            }
            let form = Form::Round { radius, known: true };
            if let Some(slot) = shapes.get_mut(item.feature) {
                let larger = slot.as_ref().is_none_or(|s| s.reach(1.0, 0.0) < radius);
                if larger {
                    *slot = Some(Shape { at: item.at, form, kind: Kind::Hole });
                }
            }
        }
        self.layout.balloons_beside(&shapes, &things, self.frame).marks_lit(selected)
    }

    /// `zones and deviations drawn 200 times larger than the part; ...`.
    fn caption(&self, pattern: &PatternFinding) -> String {
        let scale = match self.factor {
            None => return "nothing of this pattern is measured".to_owned(),
            Some(k) if k <= 1.0 => "zones and deviations at the scale of the part".to_owned(),
            Some(k) if pattern.rooms.is_empty() => {
                format!("zones and deviations drawn {k:.0} times larger than the part")
            }
            Some(k) => {
                format!("zones, clearances and deviations drawn {k:.0} times larger than the part")
            }
        };
        let mut text = scale;
        text.push_str(if pattern.margin.is_some() {
            "; hollow before the shift, filled after it"
        } else {
            "; hollow: as measured, not shifted"
        });
        if self.items.iter().any(|i| i.holds) {
            text.push_str("; a wedge: here it is held");
        }
        if self.items.iter().any(|i| i.pin.is_some()) {
            text.push_str("; dashed: the gauge, at the scale of the part");
        }
        if self.cut > 0 {
            text.push_str(&format!("; {} cut short", self.cut));
        }
        text
    }
}

/// How large the largest zone may become, which is `largest` at the scale of the part: zones do not
/// overlap and stay inside the picture, as far as they can be made out at all.
fn reach(layout: &Layout, items: &[Item], frame: Frame, largest: f64) -> f64 {
    let most = REACH * layout.options.width_mm.max(layout.options.height_mm);
    if largest <= 1e-12 {
        return most;
    }
    // In units of the largest zone.
    let share = |item: &Item| (item.half * layout.fit.scale / largest).max(0.05);
    let mut inside = most;
    for item in items {
        let p = item.at;
        let edge =
            (p.x - frame.left).min(frame.right - p.x).min(p.y - frame.top).min(frame.bottom - p.y);
        inside = inside.min((edge - 0.8).max(0.2) / share(item));
    }
    let mut fits = inside;
    if items.len() > MANY {
        return fits.min(0.45 * layout.spacing()).max(0.3);
    }
    for (i, a) in items.iter().enumerate() {
        for b in items.iter().take(i).filter(|b| b.feature != a.feature) {
            let apart = libm::hypot(a.at.x - b.at.x, a.at.y - b.at.y);
            // What lies one in the other cannot be drawn apart.
            if apart > 1e-6 {
                fits = fits.min((apart - FREE) / (share(a) + share(b)));
            }
        }
    }
    fits.max(LEAST.min(inside))
}

/// The head of an arrow that ends at the mark of the axis.
fn head(from: Point, to: Point, weight: f64, ink: Ink) -> Option<Mark> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = libm::hypot(dx, dy);
    let (long, wide) = (1.5 * weight, 0.55 * weight);
    if length < 1.7 * weight + long {
        return None;
    }
    let (ux, uy) = (dx / length, dy / length);
    let tip = to.by(-0.8 * weight * ux, -0.8 * weight * uy);
    let back = tip.by(-long * ux, -long * uy);
    let corners = [tip, back.by(-wide * uy, wide * ux), back.by(wide * uy, -wide * ux)];
    Some(Path::polygon(corners).fill(ink).into())
}
