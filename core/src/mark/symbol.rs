//! The symbols of geometrical tolerances, drawn as strokes.
//!
//! Shapes and proportions after ISO 7083; meanings after ISO 1101 and ASME Y14.5.
//! Most fonts lack them, and a stroke keeps its width beside the frame's lines.

use super::ink::Ink;
use super::mark::{Circle, Line, Mark, Stroke};
use super::path::Path;
use super::place::Point;
use std::f64::consts::PI;

/// A symbol of a geometrical tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Symbol {
    /// True position: a circle with a cross through it.
    Position,
    /// Before a tolerance whose zone is round: a circle with a stroke through it.
    Diameter,
    /// The tolerance holds at maximum material condition: M in a circle.
    MaximumMaterial,
    /// The tolerance holds at least material condition: L in a circle.
    LeastMaterial,
    /// Straightness.
    Straightness,
    /// Flatness.
    Flatness,
    /// Circularity (roundness).
    Circularity,
    /// Cylindricity.
    Cylindricity,
    /// Parallelism.
    Parallelism,
    /// Perpendicularity.
    Perpendicularity,
    /// Angularity.
    Angularity,
    /// Coaxiality, also concentricity.
    Coaxiality,
    /// Symmetry.
    Symmetry,
    /// Profile of a line.
    LineProfile,
    /// Profile of a surface.
    SurfaceProfile,
    /// Circular run-out.
    CircularRunout,
    /// Total run-out.
    TotalRunout,
}

impl Symbol {
    /// All of them.
    pub const ALL: [Self; 17] = [
        Self::Position,
        Self::Diameter,
        Self::MaximumMaterial,
        Self::LeastMaterial,
        Self::Straightness,
        Self::Flatness,
        Self::Circularity,
        Self::Cylindricity,
        Self::Parallelism,
        Self::Perpendicularity,
        Self::Angularity,
        Self::Coaxiality,
        Self::Symmetry,
        Self::LineProfile,
        Self::SurfaceProfile,
        Self::CircularRunout,
        Self::TotalRunout,
    ];

    /// How it is said and copied: a word for a characteristic, a character for a sign
    /// that belongs to a figure.
    #[must_use]
    pub const fn spoken(self) -> &'static str {
        match self {
            Self::Position => "position",
            Self::Diameter => "\u{2300}",
            Self::MaximumMaterial => "\u{24C2}",
            Self::LeastMaterial => "\u{24C1}",
            Self::Straightness => "straightness",
            Self::Flatness => "flatness",
            Self::Circularity => "circularity",
            Self::Cylindricity => "cylindricity",
            Self::Parallelism => "parallelism",
            Self::Perpendicularity => "perpendicularity",
            Self::Angularity => "angularity",
            Self::Coaxiality => "coaxiality",
            Self::Symmetry => "symmetry",
            Self::LineProfile => "profile of a line",
            Self::SurfaceProfile => "profile of a surface",
            Self::CircularRunout => "circular run-out",
            Self::TotalRunout => "total run-out",
        }
    }

    /// Its width in units of its height.
    #[must_use]
    pub const fn aspect(self) -> f64 {
        match self {
            Self::Diameter => 0.78,
            Self::Parallelism | Self::CircularRunout => 0.85,
            Self::Circularity => 0.8,
            Self::Coaxiality => 0.92,
            _ => 1.0,
        }
    }

    /// The symbol about `centre`, `height` millimetres high.
    #[must_use]
    pub fn draw(self, centre: impl Into<Point>, height: f64, stroke: Stroke) -> Vec<Mark> {
        let pen = Pen { centre: centre.into(), height, stroke };
        match self {
            Self::Position => vec![
                pen.circle(0.32),
                pen.line((-0.5, 0.0), (0.5, 0.0)),
                pen.line((0.0, -0.5), (0.0, 0.5)),
            ],
            Self::Diameter => vec![pen.circle(0.36), pen.line((-0.29, 0.5), (0.29, -0.5))],
            Self::MaximumMaterial => vec![
                pen.circle(0.5),
                pen.open(&[
                    (-0.22, 0.25),
                    (-0.22, -0.25),
                    (0.0, 0.07),
                    (0.22, -0.25),
                    (0.22, 0.25),
                ]),
            ],
            Self::LeastMaterial => {
                vec![pen.circle(0.5), pen.open(&[(-0.13, -0.25), (-0.13, 0.25), (0.18, 0.25)])]
            }
            Self::Straightness => vec![pen.line((-0.5, 0.0), (0.5, 0.0))],
            Self::Flatness => {
                vec![pen.closed(&[(-0.5, 0.25), (-0.21, -0.25), (0.5, -0.25), (0.21, 0.25)])]
            }
            Self::Circularity => vec![pen.circle(0.4)],
            Self::Cylindricity => vec![
                pen.circle(0.27),
                // Tangents at 60 degrees.
                pen.line((-0.5, 0.327), (-0.023, -0.5)),
                pen.line((0.023, 0.5), (0.5, -0.327)),
            ],
            Self::Parallelism => {
                vec![pen.line((-0.4, 0.46), (0.13, -0.46)), pen.line((-0.13, 0.46), (0.4, -0.46))]
            }
            Self::Perpendicularity => {
                vec![pen.line((-0.48, 0.42), (0.48, 0.42)), pen.line((0.0, 0.42), (0.0, -0.46))]
            }
            Self::Angularity => vec![pen.open(&[(0.48, -0.16), (-0.5, 0.4), (0.5, 0.4)])],
            Self::Coaxiality => vec![pen.circle(0.24), pen.circle(0.45)],
            Self::Symmetry => vec![
                pen.line((-0.28, -0.24), (0.28, -0.24)),
                pen.line((-0.5, 0.0), (0.5, 0.0)),
                pen.line((-0.28, 0.24), (0.28, 0.24)),
            ],
            Self::LineProfile => vec![pen.dome(false)],
            Self::SurfaceProfile => vec![pen.dome(true)],
            Self::CircularRunout => pen.arrow((-0.3, 0.46), (0.3, -0.46)),
            Self::TotalRunout => {
                let mut marks = pen.arrow((-0.46, 0.42), (0.06, -0.46));
                marks.extend(pen.arrow((-0.06, 0.42), (0.46, -0.46)));
                marks.push(pen.line((-0.46, 0.42), (-0.06, 0.42)));
                marks
            }
        }
    }
}

/// Draws in a symbol's own measure: one unit high, its centre at (0, 0), y down.
struct Pen {
    centre: Point,
    height: f64,
    stroke: Stroke,
}

impl Pen {
    fn at(&self, (x, y): (f64, f64)) -> Point {
        self.centre.by(x * self.height, y * self.height)
    }

    fn line(&self, from: (f64, f64), to: (f64, f64)) -> Mark {
        Line::new(self.at(from), self.at(to), self.stroke).into()
    }

    fn circle(&self, radius: f64) -> Mark {
        Circle::new(self.centre, radius * self.height).stroke(self.stroke).into()
    }

    fn open(&self, points: &[(f64, f64)]) -> Mark {
        Path::polyline(points.iter().map(|&point| self.at(point))).stroke(self.stroke).into()
    }

    fn closed(&self, points: &[(f64, f64)]) -> Mark {
        Path::polygon(points.iter().map(|&point| self.at(point))).stroke(self.stroke).into()
    }

    /// A half circle, open or closed by its diameter.
    fn dome(&self, closed: bool) -> Mark {
        let arc = Path::new().arc(self.at((0.0, 0.24)), 0.48 * self.height, 0.0, PI);
        let path = if closed { arc.close() } else { arc };
        path.stroke(self.stroke).into()
    }

    /// A line with a filled head at its end.
    fn arrow(&self, from: (f64, f64), to: (f64, f64)) -> Vec<Mark> {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = libm::hypot(dx, dy);
        let (ux, uy) = (dx / length, dy / length);
        let neck = (to.0 - 0.34 * ux, to.1 - 0.34 * uy);
        let side = |sign: f64| (neck.0 - sign * 0.11 * uy, neck.1 + sign * 0.11 * ux);
        let head = [to, side(1.0), side(-1.0)];
        vec![
            self.line(from, neck),
            Path::polygon(head.into_iter().map(|point| self.at(point)))
                .fill(self.stroke.ink)
                .into(),
        ]
    }
}

/// The line symbols are drawn with where their height is `height` millimetres: as
/// wide as a stem of the letters beside them.
pub(crate) fn line(height: f64, ink: Ink) -> Stroke {
    Stroke::new(ink, height * 0.058)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every point of a mark, lines about it left out of account.
    fn points(mark: &Mark) -> Vec<Point> {
        match mark {
            Mark::Line(line) => vec![line.from, line.to],
            Mark::Circle(circle) => {
                let r = circle.radius;
                vec![circle.centre.by(-r, -r), circle.centre.by(r, r)]
            }
            Mark::Path(path) => path
                .steps
                .iter()
                .filter_map(|step| match *step {
                    crate::mark::Step::Move(to)
                    | crate::mark::Step::Line(to)
                    | crate::mark::Step::Cubic(_, _, to) => Some(to),
                    crate::mark::Step::Close => None,
                })
                .collect(),
            other => panic!("a symbol is made of strokes, not {other:?}"),
        }
    }

    #[test]
    fn every_symbol_keeps_within_its_box() {
        for symbol in Symbol::ALL {
            let marks = symbol.draw((10.0, 20.0), 4.0, Stroke::THIN);
            assert!(!marks.is_empty());
            let half = 2.0 + 1e-9;
            for point in marks.iter().flat_map(points) {
                assert!(
                    (point.x - 10.0).abs() <= half * symbol.aspect() + 0.05
                        && (point.y - 20.0).abs() <= half,
                    "{symbol:?}: {point:?}"
                );
            }
        }
    }

    #[test]
    fn no_two_symbols_are_drawn_alike() {
        for (index, one) in Symbol::ALL.iter().enumerate() {
            for other in &Symbol::ALL[index + 1..] {
                let draw = |symbol: &Symbol| symbol.draw((0.0, 0.0), 1.0, Stroke::THIN);
                assert_ne!(draw(one), draw(other));
                assert_ne!(one.spoken(), other.spoken());
            }
        }
    }
}
