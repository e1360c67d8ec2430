//! Paths: lines and curves, open or closed.

use super::ink::Ink;
use super::mark::Stroke;
use super::place::Point;
use std::f64::consts::FRAC_PI_2;

/// One step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Lifts the pen and puts it down here.
    Move(Point),
    /// A straight line to here.
    Line(Point),
    /// A cubic Bézier curve by two control points to the last point.
    Cubic(Point, Point, Point),
    /// A straight line back to where the pen was put down last.
    Close,
}

/// Lines and curves drawn as one, filled (non-zero winding), stroked, or both.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Path {
    /// Its steps, the first of them a [`Step::Move`].
    pub steps: Vec<Step>,
    /// How its line is drawn.
    pub stroke: Option<Stroke>,
    /// What it is filled with.
    pub fill: Option<Ink>,
}

impl Path {
    /// A path with nothing in it.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Straight lines through `points`, left open.
    #[must_use]
    pub fn polyline(points: impl IntoIterator<Item = Point>) -> Self {
        let mut path = Self::new();
        for point in points {
            path.steps.push(if path.steps.is_empty() {
                Step::Move(point)
            } else {
                Step::Line(point)
            });
        }
        path
    }

    /// Straight lines through `points` and back to the first.
    #[must_use]
    pub fn polygon(points: impl IntoIterator<Item = Point>) -> Self {
        Self::polyline(points).close()
    }

    /// Lifts the pen and puts it down at `to`.
    #[must_use]
    pub fn move_to(mut self, to: impl Into<Point>) -> Self {
        self.steps.push(Step::Move(to.into()));
        self
    }

    /// A straight line to `to`.
    #[must_use]
    pub fn line_to(mut self, to: impl Into<Point>) -> Self {
        self.steps.push(Step::Line(to.into()));
        self
    }

    /// A cubic Bézier curve to `to`.
    #[must_use]
    pub fn cubic_to(
        mut self,
        first: impl Into<Point>,
        second: impl Into<Point>,
        to: impl Into<Point>,
    ) -> Self {
        self.steps.push(Step::Cubic(first.into(), second.into(), to.into()));
        self
    }

    /// An arc about `centre`, from the direction `from` on through `sweep` (radians,
    /// counter-clockwise on the page from the right; a negative sweep goes clockwise).
    /// Joined by a line to what came before, if anything did since the last close.
    #[must_use]
    pub fn arc(mut self, centre: impl Into<Point>, radius: f64, from: f64, sweep: f64) -> Self {
        let centre = centre.into();
        let start = centre.toward(from, radius);
        self.steps.push(match self.steps.last() {
            None | Some(Step::Close) => Step::Move(start),
            Some(_) => Step::Line(start),
        });
        let count = libm::ceil(sweep.abs() / FRAC_PI_2 - 1e-9).max(1.0);
        let part = sweep / count;
        // The control points of the cubic that touches the arc at both ends and in
        // its middle (error below 0.03 % of the radius for a quarter).
        let reach = radius * 4.0 / 3.0 * libm::tan(part / 4.0);
        let mut angle = from;
        let mut index = 0.0;
        while index < count {
            index += 1.0;
            let next = from + part * index;
            self.steps.push(Step::Cubic(
                centre.toward(angle, radius).toward(angle + FRAC_PI_2, reach),
                centre.toward(next, radius).toward(next - FRAC_PI_2, reach),
                centre.toward(next, radius),
            ));
            angle = next;
        }
        self
    }

    /// A line back to where the pen was put down last.
    #[must_use]
    pub fn close(mut self) -> Self {
        self.steps.push(Step::Close);
        self
    }

    /// Drawn with this line.
    #[must_use]
    pub fn stroke(mut self, stroke: Stroke) -> Self {
        self.stroke = Some(stroke);
        self
    }

    /// Filled with this.
    #[must_use]
    pub fn fill(mut self, ink: Ink) -> Self {
        self.fill = Some(ink);
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Every point of the curve lies on the circle, to the error of the construction.
    #[test]
    fn an_arc_keeps_its_distance_from_its_centre() {
        let centre = Point::new(3.0, 4.0);
        for sweep in [0.3, -1.2, PI, 2.0 * PI, -2.0 * PI] {
            let path = Path::new().arc(centre, 5.0, 0.7, sweep);
            let Some(&Step::Move(mut from)) = path.steps.first() else {
                panic!("an arc starts with a move");
            };
            for step in &path.steps[1..] {
                let &Step::Cubic(first, second, to) = step else {
                    panic!("an arc is made of curves");
                };
                for tenth in 0..=10 {
                    let t = f64::from(tenth) / 10.0;
                    let mix = |a: f64, b: f64, c: f64, d: f64| {
                        let s = 1.0 - t;
                        a * s * s * s + 3.0 * b * s * s * t + 3.0 * c * s * t * t + d * t * t * t
                    };
                    let x = mix(from.x, first.x, second.x, to.x) - centre.x;
                    let y = mix(from.y, first.y, second.y, to.y) - centre.y;
                    assert!((libm::hypot(x, y) - 5.0).abs() < 5.0 * 0.0003);
                }
                from = to;
            }
            let end = centre.toward(0.7 + sweep, 5.0);
            assert!((from.x - end.x).abs() < 1e-9 && (from.y - end.y).abs() < 1e-9);
        }
    }

    #[test]
    fn an_arc_goes_counter_clockwise_on_the_page() {
        let path = Path::new().arc((0.0, 0.0), 1.0, 0.0, FRAC_PI_2);
        let Some(Step::Cubic(_, _, top)) = path.steps.last() else {
            panic!("an arc ends with a curve");
        };
        assert!(top.x.abs() < 1e-12 && (top.y + 1.0).abs() < 1e-12);
    }
}
