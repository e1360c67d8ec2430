//! Numbers in balloons, placed so that they cover neither features, nor each other, nor the
//! deviations, and stay inside the picture.

use super::room::{Ground, Pill, Thing};
use super::scale::Room;
use super::shape::{Form, Shape};
use crate::mark::{Face, Ink, Line, Mark, Point, Rect, Stroke, Text, width};
use std::f64::consts::FRAC_1_SQRT_2;

/// Sine of 45°, cosine and sine of 22.5°.
const S: f64 = FRAC_1_SQRT_2;
const C: f64 = 0.923_879_532_511_286_7;
const D: f64 = 0.382_683_432_365_089_8;
/// Directions to look in, in the order in which a draughtsman would: up to the right first.
/// Y counts downwards, as on the paper.
const DIRECTIONS: [(f64, f64); 16] = [
    (S, -S),
    (-S, -S),
    (S, S),
    (-S, S),
    (1.0, 0.0),
    (0.0, -1.0),
    (-1.0, 0.0),
    (0.0, 1.0),
    (C, -D),
    (D, -C),
    (-D, -C),
    (-C, -D),
    (C, D),
    (D, C),
    (-D, C),
    (-C, D),
];
/// How far off the feature's edge; the further ones get a leader.
const GAPS: [f64; 5] = [0.4, 2.0, 4.5, 8.0, 13.0];
/// Places to look at along an edge.
const ALONG: [f64; 9] = [0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88, 0.05, 0.95];

/// What covering costs for each millimetre: a feature or a flag, another balloon, a deviation,
/// the outline, the axes.
pub(super) const OVER_FEATURE: f64 = 3.0;
const OVER_BALLOON: f64 = 5.0;
pub(super) const OVER_VECTOR: f64 = 1.5;
pub(super) const OVER_OUTLINE: f64 = 0.25;
pub(super) const OVER_AXES: f64 = 1.0;

/// Above this many features, numbers without a free place are left out.
const CROWD: usize = 300;

/// A number and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Balloon {
    pub(super) pill: Pill,
    pub(super) leader: Option<(Point, Point)>,
    pub(super) text: String,
    size: f64,
    /// What it covers where it stands.
    covered: f64,
}

impl Balloon {
    /// An unplaced balloon for `text` in letters of `size` millimetres.
    fn of(text: &str, size: f64) -> Self {
        let radius = 0.8 * size;
        let half = ((width(Face::Sans, text, size) - 1.05 * size) / 2.0).max(0.0);
        Self {
            pill: Pill { at: Point::default(), half, radius },
            leader: None,
            text: text.to_owned(),
            size,
            covered: 0.0,
        }
    }

    /// Whether it covers no more than it did.
    fn stays(&self, ground: &mut Ground) -> bool {
        let most = self.covered + 0.02;
        ground.cost(&self.pill, most) <= most
    }

    /// It drawn, quiet or lit up.
    pub(super) fn marks(&self, lit: bool) -> Vec<Mark> {
        let (ground, edge, ink) = if lit {
            (Ink::Accent, Ink::Accent, Ink::Paper)
        } else {
            (Ink::Paper, Ink::Ink, Ink::Ink)
        };
        let Pill { at, half, radius } = self.pill;
        let mut marks: Vec<Mark> = Vec::with_capacity(3);
        if let Some((from, to)) = self.leader {
            marks.push(
                Line::new(from, to, Stroke::new(if lit { Ink::Accent } else { Ink::Soft }, 0.15))
                    .into(),
            );
        }
        let body = Rect::new(at.by(-half - radius, -radius), 2.0 * (half + radius), 2.0 * radius);
        marks.push(body.radius(radius).fill(ground).stroke(Stroke::new(edge, 0.2)).into());
        // Half of a capital's height below the middle.
        let line = at.by(0.0, Face::CAP_HEIGHT * self.size / 2.0);
        marks.push(Text::new(line, self.text.clone(), self.size).middle().ink(ink).into());
        marks
    }
}

/// The nearest place to `at` where `pill` is inside `room`; its middle if it is larger.
fn inside(pill: &Pill, at: Point, room: Room) -> Point {
    let keep = |value: f64, low: f64, high: f64| {
        if low <= high { value.clamp(low, high) } else { f64::midpoint(low, high) }
    };
    let across = pill.half + pill.radius;
    Point::new(
        keep(at.x, room.left + across, room.right - across),
        keep(at.y, room.top + pill.radius, room.bottom - pill.radius),
    )
}

/// Places the balloons of all shapes that have a text, in their order. `ground` holds what
/// they should not cover, their own features included. Those of `before`, the same shapes' with
/// other things on the ground, stay where they cover no more than they did.
pub(super) fn place(
    shapes: &[Option<Shape>],
    texts: &[Option<&str>],
    size: f64,
    room: Room,
    ground: &mut Ground,
    before: Option<&[Option<Balloon>]>,
) -> Vec<Option<Balloon>> {
    let count = texts.iter().flatten().count();
    let crowded = count > CROWD;
    // In a crowd a number is near its feature or nowhere.
    let (gaps, directions) =
        if count > 1000 { (&GAPS[..1], &DIRECTIONS[..4]) } else { (&GAPS[..], &DIRECTIONS[..]) };
    let mut placed = Vec::with_capacity(shapes.len());
    for (index, (shape, text)) in shapes.iter().zip(texts).enumerate() {
        let was = before.and_then(|b| b.get(index));
        let balloon = match (shape, text) {
            // A number without a place does not look for one at every step.
            _ if matches!(was, Some(None)) => None,
            (Some(_), Some(_))
                if was.is_some_and(|b| b.as_ref().is_some_and(|b| b.stays(ground))) =>
            {
                was.cloned().flatten()
            }
            (Some(shape), Some(text)) if !text.is_empty() => {
                let mut balloon = Balloon::of(text, size);
                // In a crowd a number that stands on something is left out, so a place that covers
                // more is looked at no further.
                let most = if crowded { 0.5 * balloon.pill.radius } else { f64::INFINITY };
                let free = free_place(shape, &mut balloon, (gaps, directions), room, ground, most);
                (free || !crowded).then_some(balloon)
            }
            _ => None,
        };
        if let Some(balloon) = &balloon {
            ground.put(Thing::Pill(balloon.pill), OVER_BALLOON);
        }
        placed.push(balloon);
    }
    placed
}

/// A place for a balloon, and what it costs.
struct Place {
    /// What it covers there.
    covered: f64,
    /// That, and how far down the list of places it comes.
    cost: f64,
    at: Point,
    leader: Option<(Point, Point)>,
}

/// Puts the balloon at the best place; whether it covers next to nothing there.
fn free_place(
    shape: &Shape,
    balloon: &mut Balloon,
    (gaps, directions): (&[f64], &[(f64, f64)]),
    room: Room,
    ground: &mut Ground,
    most: f64,
) -> bool {
    let mut best: Option<Place> = None;
    let mut order = 0.0;
    let mut look = |at: Point, leader: Option<(Point, Point)>, pill: &Pill, ground: &mut Ground| {
        // A leader is worth it where else a number would stand on something, not where it would
        // touch the end of a deviation.
        order += if leader.is_some() { 0.03 } else { 0.004 };
        let kept = inside(pill, at, room);
        // Pushed back into the picture it no longer stands where it was meant to.
        let pushed = libm::hypot(kept.x - at.x, kept.y - at.y);
        let left = best.as_ref().map_or(f64::INFINITY, |b| b.cost) - order;
        if left <= 0.0 {
            // The further down the list, the dearer: nothing that follows can be better.
            return true;
        }
        let most = left.min(most) - 4.0 * pushed;
        if most <= 0.0 {
            return false;
        }
        let covered = ground.cost(&Pill { at: kept, ..*pill }, most) + 4.0 * pushed;
        let cost = covered + order;
        if best.as_ref().is_none_or(|b| cost < b.cost) {
            best = Some(Place { covered, cost, at: kept, leader });
        }
        covered <= 1e-9
    };
    let pill = balloon.pill;
    if let Form::Edge { from, to, looks } = shape.form {
        let (dx, dy) = (looks.direction().cos(), -looks.direction().sin());
        'edge: for side in [1.0, -1.0] {
            for t in ALONG {
                let on = Point::new(from.x + t * (to.x - from.x), from.y + t * (to.y - from.y));
                let off = side * (pill.reach(dx) + 0.6);
                if look(on.by(off * dx, off * dy), None, &pill, ground) {
                    break 'edge;
                }
            }
        }
    } else {
        'round: for &gap in gaps {
            for &(dx, dy) in directions {
                let edge = shape.reach(dx, dy);
                let off = edge + gap + pill.reach(dx);
                let leader = (gap > 1.0).then(|| {
                    let end = edge + gap + 0.05;
                    (shape.at.by(edge * dx, edge * dy), shape.at.by(end * dx, end * dy))
                });
                if look(shape.at.by(off * dx, off * dy), leader, &pill, ground) {
                    break 'round;
                }
            }
        }
    }
    let Some(Place { covered, at, leader, .. }) = best else { return false };
    balloon.pill.at = at;
    balloon.leader = leader;
    balloon.covered = covered;
    covered < 0.5 * pill.radius
}
