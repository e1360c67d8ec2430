//! From the drawing to the paper: one scale for both axes, Y up in the drawing is up on the
//! paper; and how many times larger deviations are drawn than the part.

use crate::job::{Drawing, Feature, Kind};
use crate::mark::Point;
use crate::quantity::{Axis, Unit};

/// A rectangle of the drawing, in millimetres, Y up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Extent {
    pub(super) left: f64,
    pub(super) bottom: f64,
    pub(super) right: f64,
    pub(super) top: f64,
}

impl Extent {
    /// What holds nothing yet.
    const NOTHING: Self = Self {
        left: f64::INFINITY,
        bottom: f64::INFINITY,
        right: f64::NEG_INFINITY,
        top: f64::NEG_INFINITY,
    };

    fn take(&mut self, x: f64, y: f64) {
        if x.is_finite() && y.is_finite() {
            self.left = self.left.min(x);
            self.right = self.right.max(x);
            self.bottom = self.bottom.min(y);
            self.top = self.top.max(y);
        }
    }

    fn is_something(&self) -> bool {
        self.left <= self.right && self.bottom <= self.top
    }

    /// The rectangle around the part, as the drawing gives it.
    pub(super) fn of_outline(drawing: &Drawing) -> Option<Self> {
        let o = drawing.outline?;
        let mm = |f: crate::quantity::Figure| f.length(drawing.unit).to_mm();
        let mut e = Self::NOTHING;
        e.take(mm(o.left), mm(o.bottom));
        e.take(mm(o.right), mm(o.top));
        e.is_something().then_some(e)
    }

    /// The rectangle that holds everything of the drawing that has a place; `None` when
    /// nothing has.
    pub(super) fn of_drawing(drawing: &Drawing) -> Option<Self> {
        let mut e = Self::of_outline(drawing).unwrap_or(Self::NOTHING);
        for feature in &drawing.features {
            let (x, y) = nominal_mm(feature, drawing.unit);
            let r = size_mm(feature, drawing.unit).unwrap_or(0.0) / 2.0;
            match (feature.kind, x, y) {
                // A face has one coordinate; it says something of one axis only, and where
                // nothing else does, the other is taken as the frame's origin.
                (Kind::Face, Some(x), _) if feature.looks.is_some_and(|s| s.axis() == Axis::X) => {
                    e.take(x, clamp_into(0.0, e.bottom, e.top));
                }
                (Kind::Face, _, Some(y)) if feature.looks.is_some_and(|s| s.axis() == Axis::Y) => {
                    e.take(clamp_into(0.0, e.left, e.right), y);
                }
                (Kind::Face, _, _) | (_, None, None) => {}
                (_, x, y) => {
                    let x = x.unwrap_or_else(|| clamp_into(0.0, e.left, e.right));
                    let y = y.unwrap_or_else(|| clamp_into(0.0, e.bottom, e.top));
                    e.take(x - r, y - r);
                    e.take(x + r, y + r);
                }
            }
        }
        e.is_something().then_some(e)
    }

    pub(super) const fn middle(&self) -> (f64, f64) {
        ((self.left + self.right) / 2.0, (self.bottom + self.top) / 2.0)
    }

    pub(super) const fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(super) const fn height(&self) -> f64 {
        self.top - self.bottom
    }
}

/// `value`, or the nearer of two bounds; `value` itself where the bounds hold nothing.
fn clamp_into(value: f64, low: f64, high: f64) -> f64 {
    if low <= high { value.max(low).min(high) } else { value }
}

/// Basic coordinates in millimetres, each where the drawing gives it.
pub(super) fn nominal_mm(feature: &Feature, unit: Unit) -> (Option<f64>, Option<f64>) {
    let of = |f: Option<crate::quantity::Figure>| {
        f.map(|f| f.length(unit).to_mm()).filter(|v| v.is_finite())
    };
    (of(feature.x), of(feature.y))
}

/// The middle of the limits of size in millimetres.
pub(super) fn size_mm(feature: &Feature, unit: Unit) -> Option<f64> {
    let size = feature.size?.limits(unit)?.middle().to_mm();
    (size.is_finite() && size > 0.0).then_some(size)
}

/// A rectangle of the paper, in millimetres, Y down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Room {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Room {
    /// The place of this room that is nearest to `p`.
    pub(super) const fn nearest(&self, p: Point) -> Point {
        Point::new(p.x.max(self.left).min(self.right), p.y.max(self.top).min(self.bottom))
    }

    pub(super) fn holds(&self, p: Point) -> bool {
        p.x >= self.left && p.x <= self.right && p.y >= self.top && p.y <= self.bottom
    }
}

/// Where a place of the drawing lies on the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fit {
    /// Millimetres of paper for one of the part.
    pub(super) scale: f64,
    from: (f64, f64),
    to: Point,
}

impl Fit {
    /// Puts `extent` into the middle of `room`, as large as it goes. What has no extent is put
    /// there at its own size.
    pub(super) fn new(extent: Extent, room: Room) -> Self {
        let ratio = |paper: f64, part: f64| {
            if part > 1e-9 && paper > 0.0 { paper / part } else { f64::INFINITY }
        };
        let across = ratio(room.right - room.left, extent.width());
        let up = ratio(room.bottom - room.top, extent.height());
        let scale = across.min(up);
        let to = Point::new((room.left + room.right) / 2.0, (room.top + room.bottom) / 2.0);
        let scale = if scale.is_finite() && scale > 0.0 { scale } else { 1.0 };
        Self { scale, from: extent.middle(), to }
    }

    /// The place on the paper of (x, y) of the drawing, in millimetres.
    pub(super) fn at(&self, x: f64, y: f64) -> Point {
        self.to.by((x - self.from.0) * self.scale, (self.from.1 - y) * self.scale)
    }
}

/// How many times larger than the part its deviations are drawn: 1, 2 or 5 times a power of
/// ten, and at least 1.
///
/// `lengths` are the deviations in millimetres of paper at the scale of the part; the largest
/// of them that belongs to the rest becomes about `reach` millimetres long. One that is more
/// than six times the middle of them (a wrong reading, most likely) does not set the scale for
/// all others. `None` if there is nothing to draw. (The figures are our own choice: a normal
/// scatter of two hundred holes has its largest at four times the middle.)
pub(super) fn exaggeration(lengths: &[f64], reach: f64) -> Option<f64> {
    const WILD: f64 = 6.0;
    const MOST: f64 = 1e6;
    let mut sorted: Vec<f64> =
        lengths.iter().copied().filter(|l| l.is_finite() && *l > 1e-12).collect();
    sorted.sort_by(f64::total_cmp);
    let middle = *sorted.get(sorted.len() / 2)?;
    let largest = sorted.iter().rev().copied().find(|l| *l <= WILD * middle)?;
    // A fifth more than the reach is still readable, and keeps the factor from halving early.
    let most = (1.2 * reach / largest).min(MOST);
    let mut factor = 1.0;
    let mut decade = 1.0;
    while decade <= most {
        for step in [1.0, 2.0, 5.0] {
            if decade * step <= most {
                factor = decade * step;
            }
        }
        decade *= 10.0;
    }
    Some(factor)
}

#[cfg(test)]
#[allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test fails by panicking; the series is exact"
)]
mod tests {
    use super::*;
    use crate::job::Outline;
    use crate::quantity::{Figure, Side};

    #[test]
    fn the_factor_is_of_the_series_and_makes_the_largest_readable() {
        for k in 1..400 {
            let largest = 0.000_3 * f64::from(k) * f64::from(k);
            let lengths = [largest * 0.3, largest * 0.5, largest];
            let factor = exaggeration(&lengths, 10.0).unwrap();
            let drawn = factor * largest;
            assert!(drawn <= 12.0 + 1e-9 || factor == 1.0, "{largest} times {factor}");
            // The series' widest step is 2.5.
            assert!(drawn >= 12.0 / 2.5 - 1e-9, "{largest} times {factor}");
            let mut mantissa = factor;
            while mantissa >= 10.0 {
                mantissa /= 10.0;
            }
            assert!([1.0, 2.0, 5.0].iter().any(|m| (mantissa - m).abs() < 1e-9), "{factor}");
        }
    }

    #[test]
    fn a_wild_one_does_not_dwarf_the_rest() {
        let mut lengths = vec![0.1, 0.12, 0.08, 0.2, 0.15];
        let calm = exaggeration(&lengths, 10.0).unwrap();
        lengths.push(25.0);
        assert_eq!(exaggeration(&lengths, 10.0), Some(calm));
        // Of two, neither is wild: the larger one is shown whole.
        assert_eq!(exaggeration(&[0.01, 1.0], 10.0), Some(10.0));
    }

    #[test]
    fn nothing_to_draw_has_no_factor() {
        assert_eq!(exaggeration(&[], 10.0), None);
        assert_eq!(exaggeration(&[0.0, 0.0], 10.0), None);
        assert_eq!(exaggeration(&[f64::NAN], 10.0), None);
    }

    #[test]
    fn deviations_as_long_as_the_picture_are_not_drawn_smaller_than_they_are() {
        assert_eq!(exaggeration(&[50.0, 60.0], 10.0), Some(1.0));
    }

    #[test]
    fn y_up_in_the_drawing_is_up_on_the_paper() {
        let extent = Extent { left: 0.0, bottom: 0.0, right: 100.0, top: 50.0 };
        let fit = Fit::new(extent, Room { left: 10.0, top: 10.0, right: 60.0, bottom: 60.0 });
        assert!((fit.scale - 0.5).abs() < 1e-12);
        assert_eq!(fit.at(50.0, 25.0), Point::new(35.0, 35.0));
        let upper = fit.at(50.0, 35.0);
        assert!(upper.y < 35.0 && (upper.x - 35.0).abs() < 1e-12);
        assert!(fit.at(60.0, 25.0).x > 35.0);
    }

    #[test]
    fn what_has_no_extent_lies_in_the_middle() {
        let extent = Extent { left: 3.0, bottom: 4.0, right: 3.0, top: 4.0 };
        let fit = Fit::new(extent, Room { left: 0.0, top: 0.0, right: 40.0, bottom: 20.0 });
        assert_eq!(fit.at(3.0, 4.0), Point::new(20.0, 10.0));
        assert_eq!(fit.scale, 1.0);
    }

    #[test]
    fn a_face_without_an_outline_still_has_a_place() {
        let face = Feature {
            kind: Kind::Face,
            looks: Some(Side::MinusX),
            x: Some(Figure(-5.0)),
            ..Feature::default()
        };
        let drawing = Drawing { features: vec![face], ..Drawing::default() };
        let e = Extent::of_drawing(&drawing).unwrap();
        assert_eq!((e.left, e.right, e.bottom, e.top), (-5.0, -5.0, 0.0, 0.0));
        assert_eq!(Extent::of_drawing(&Drawing::default()), None);
        let outline = Outline {
            left: Figure(0.0),
            bottom: Figure(0.0),
            right: Figure(2.0),
            top: Figure(1.0),
        };
        let inch = Drawing { unit: Unit::Inch, outline: Some(outline), ..Drawing::default() };
        assert!((Extent::of_drawing(&inch).unwrap().right - 50.8).abs() < 1e-12);
    }
}
