//! Room on the paper: what lies where, so that a balloon finds a free place.

use super::scale::Room;
use crate::mark::Point;

/// A balloon: a circle, or a circle drawn out sideways for a long number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pill {
    pub(super) at: Point,
    /// Half of how far it is drawn out.
    pub(super) half: f64,
    pub(super) radius: f64,
}

impl Pill {
    /// How far it reaches from its middle in a direction whose unit vector has `dx` along x.
    pub(super) fn reach(&self, dx: f64) -> f64 {
        self.half * dx.abs() + self.radius
    }

    pub(super) fn distance(&self, p: Point) -> f64 {
        let across = ((p.x - self.at.x).abs() - self.half).max(0.0);
        length(across, p.y - self.at.y) - self.radius
    }
}

/// Something that a balloon should not cover.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Thing {
    Disc(Point, f64),
    Pill(Pill),
    Box(Room),
    Line(Point, Point),
}

impl Thing {
    /// The rectangle around it.
    fn around(&self) -> Room {
        let about = |p: Point, x: f64, y: f64| Room {
            left: p.x - x,
            right: p.x + x,
            top: p.y - y,
            bottom: p.y + y,
        };
        match *self {
            Self::Disc(p, r) => about(p, r, r),
            Self::Pill(p) => about(p.at, p.half + p.radius, p.radius),
            Self::Box(room) => room,
            Self::Line(a, b) => Room {
                left: a.x.min(b.x),
                right: a.x.max(b.x),
                top: a.y.min(b.y),
                bottom: a.y.max(b.y),
            },
        }
    }

    /// How far `pill` and this lie apart; negative where they overlap (at least the depth).
    fn apart(&self, pill: &Pill) -> f64 {
        let spine = |p: Point| ((p.x - pill.at.x).abs() - pill.half).max(0.0);
        let from_spine = |p: Point| length(spine(p), p.y - pill.at.y);
        match *self {
            Self::Disc(p, r) => from_spine(p) - r - pill.radius,
            Self::Pill(other) => {
                let across = ((other.at.x - pill.at.x).abs() - pill.half - other.half).max(0.0);
                length(across, other.at.y - pill.at.y) - other.radius - pill.radius
            }
            Self::Box(room) => {
                let (left, right) = (pill.at.x - pill.half, pill.at.x + pill.half);
                let across = (room.left - right).max(left - room.right);
                let down = (room.top - pill.at.y).max(pill.at.y - room.bottom);
                let outside = length(across.max(0.0), down.max(0.0));
                outside + across.max(down).min(0.0) - pill.radius
            }
            Self::Line(a, b) => {
                // The spine is short or a point: its middle and ends say enough.
                let near = [-pill.half, 0.0, pill.half]
                    .into_iter()
                    .map(|d| to_segment(pill.at.by(d, 0.0), a, b))
                    .fold(f64::INFINITY, f64::min);
                near.min(from_spine(a)).min(from_spine(b)) - pill.radius
            }
        }
    }
}

/// Length of a vector on the paper, where nothing overflows.
fn length(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

/// Distance of `p` from the segment between `a` and `b`.
fn to_segment(p: Point, a: Point, b: Point) -> f64 {
    let (ux, uy) = (b.x - a.x, b.y - a.y);
    let (px, py) = (p.x - a.x, p.y - a.y);
    let square = ux * ux + uy * uy;
    let t = if square > 0.0 { ((px * ux + py * uy) / square).clamp(0.0, 1.0) } else { 0.0 };
    length(px - t * ux, py - t * uy)
}

/// What lies where, in squares, so that only neighbours are looked at.
#[derive(Clone, Debug)]
pub(super) struct Ground {
    room: Room,
    across: usize,
    down: usize,
    squares: Vec<Vec<u32>>,
    things: Vec<(Thing, f64)>,
    stamps: Vec<u32>,
    stamp: u32,
}

/// Side of a square in millimetres: about a balloon.
const SQUARE: f64 = 5.0;
/// What stays free around a balloon, in millimetres.
const CLEAR: f64 = 0.35;

impl Ground {
    pub(super) fn new(room: Room) -> Self {
        let count = |length: f64| square((length / SQUARE).ceil()).clamp(1, 400);
        let (across, down) = (count(room.right - room.left), count(room.bottom - room.top));
        Self {
            room,
            across,
            down,
            squares: vec![Vec::new(); across * down],
            things: Vec::new(),
            stamps: Vec::new(),
            stamp: 0,
        }
    }

    fn span(&self, around: Room) -> (usize, usize, usize, usize) {
        let column = |x: f64| square((x - self.room.left) / SQUARE).min(self.across - 1);
        let row = |y: f64| square((y - self.room.top) / SQUARE).min(self.down - 1);
        (column(around.left), column(around.right), row(around.top), row(around.bottom))
    }

    /// Adds a thing; `weight` is what covering it costs for each millimetre.
    pub(super) fn put(&mut self, thing: Thing, weight: f64) {
        let (left, right, top, bottom) = self.span(thing.around());
        let index = u32::try_from(self.things.len()).unwrap_or(u32::MAX);
        self.things.push((thing, weight));
        self.stamps.push(0);
        for row in top..=bottom {
            for column in left..=right {
                self.squares[row * self.across + column].push(index);
            }
        }
    }

    /// What it costs to put `pill` here: nothing where it covers nothing. What costs more than
    /// `most` is not looked at to its end.
    pub(super) fn cost(&mut self, pill: &Pill, most: f64) -> f64 {
        let (x, y) = (pill.half + pill.radius + CLEAR, pill.radius + CLEAR);
        let around = Room {
            left: pill.at.x - x,
            right: pill.at.x + x,
            top: pill.at.y - y,
            bottom: pill.at.y + y,
        };
        let (left, right, top, bottom) = self.span(around);
        self.stamp += 1;
        let mut cost = 0.0;
        for row in top..=bottom {
            for column in left..=right {
                for &index in &self.squares[row * self.across + column] {
                    let index = index as usize;
                    if std::mem::replace(&mut self.stamps[index], self.stamp) == self.stamp {
                        continue;
                    }
                    let (thing, weight) = &self.things[index];
                    cost += weight * (CLEAR - thing.apart(pill)).max(0.0);
                    if cost > most {
                        return cost;
                    }
                }
            }
        }
        cost
    }
}

/// A whole number of squares; nothing for what is negative or not finite.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative, and saturating is as good as any"
)]
fn square(value: f64) -> usize {
    if value > 0.0 { value as usize } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn round(x: f64, y: f64) -> Pill {
        Pill { at: Point::new(x, y), half: 0.0, radius: 2.0 }
    }

    #[test]
    fn only_what_is_covered_costs() {
        let room = Room { left: 0.0, top: 0.0, right: 60.0, bottom: 40.0 };
        let mut ground = Ground::new(room);
        ground.put(Thing::Disc(Point::new(20.0, 20.0), 6.0), 1.0);
        ground.put(Thing::Line(Point::new(0.0, 5.0), Point::new(60.0, 5.0)), 2.0);
        assert!(ground.cost(&round(40.0, 30.0), f64::INFINITY) < 1e-12);
        let near =
            |cost: f64, wanted: f64| assert!((cost - wanted).abs() < 1e-9, "{cost} for {wanted}");
        // Just clear of the disc, then 1 mm too near, then in its middle.
        near(ground.cost(&round(20.0 + 8.0 + CLEAR, 20.0), f64::INFINITY), 0.0);
        near(ground.cost(&round(20.0 + 7.0 + CLEAR, 20.0), f64::INFINITY), 1.0);
        near(ground.cost(&round(20.0, 20.0), f64::INFINITY), 8.0 + CLEAR);
        near(ground.cost(&round(40.0, 6.0), f64::INFINITY), 2.0 * (1.0 + CLEAR));
        ground.put(Thing::Pill(Pill { half: 3.0, ..round(40.0, 30.0) }), 4.0);
        near(ground.cost(&round(46.0, 30.0), f64::INFINITY), 4.0 * (1.0 + CLEAR));
        ground.put(Thing::Box(Room { left: 50.0, top: 34.0, right: 58.0, bottom: 39.0 }), 1.0);
        near(ground.cost(&round(54.0, 33.0), f64::INFINITY), 1.0 + CLEAR);
    }
}
