//! Angles and directions in the drawing's plane.

use super::Axis;

/// An angle in radians, counter-clockwise positive, from +X towards +Y.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// `value` degrees.
    #[must_use]
    pub fn degrees(value: f64) -> Self {
        Self(value * (std::f64::consts::PI / 180.0))
    }

    /// In radians.
    #[must_use]
    pub const fn to_radians(self) -> f64 {
        self.0
    }
}

/// A unit vector of the drawing's plane, kept by its cosine and sine so that the four
/// square directions are exact (cos 90° is 0, not 6e-17).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction {
    cos: f64,
    sin: f64,
}

impl Direction {
    /// The direction `degrees` from +X towards +Y. Whole quarter turns are exact.
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Self {
        let within = (0.0..360.0).contains(&degrees);
        let turned = if within { degrees } else { degrees.rem_euclid(360.0) };
        let square = [(0.0, 1.0, 0.0), (90.0, 0.0, 1.0), (180.0, -1.0, 0.0), (270.0, 0.0, -1.0)];
        for (at, cos, sin) in square {
            if (turned - at).abs() < 1e-9 {
                return Self { cos, sin };
            }
        }
        let a = Angle::degrees(turned).to_radians();
        Self { cos: libm::cos(a), sin: libm::sin(a) }
    }

    /// Component along +X.
    #[must_use]
    pub const fn cos(self) -> f64 {
        self.cos
    }

    /// Component along +Y.
    #[must_use]
    pub const fn sin(self) -> f64 {
        self.sin
    }

    /// Component along `axis`.
    #[must_use]
    pub const fn component(self, axis: Axis) -> f64 {
        match axis {
            Axis::X => self.cos,
            Axis::Y => self.sin,
        }
    }

    /// The axis that this direction lies along, if it is square to the drawing.
    #[must_use]
    pub fn square_axis(self) -> Option<Axis> {
        if self.sin.abs() < 1e-12 {
            Some(Axis::X)
        } else if self.cos.abs() < 1e-12 {
            Some(Axis::Y)
        } else {
            None
        }
    }
}
