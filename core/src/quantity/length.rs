//! Length and point, in millimetres.

use super::{Direction, Unit};
use serde::Serialize;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// What double precision may add or lose on the way from a reading to a decision: 1 pm.
///
/// Values that differ by less are the same value. A gauge's last digit is ten thousand
/// times larger, so no reading can fall between the two, while `.9420 − .5640` in binary
/// must not be called larger than `.3780`.
pub const NOISE: Length = Length(1e-9);

/// A length, a coordinate or a deviation. Stored in millimetres.
///
/// ```
/// use quarterturn_core::quantity::{Length, Unit};
/// assert_eq!(Length::of(2.0, Unit::Inch).to(Unit::Mm), 50.8);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Length(f64);

impl Length {
    /// Zero.
    pub const ZERO: Self = Self(0.0);

    /// `value` millimetres.
    #[must_use]
    pub const fn mm(value: f64) -> Self {
        Self(value)
    }

    /// `value` in `unit`.
    #[must_use]
    pub fn of(value: f64, unit: Unit) -> Self {
        Self(value * unit.in_mm())
    }

    /// In millimetres.
    #[must_use]
    pub const fn to_mm(self) -> f64 {
        self.0
    }

    /// In `unit`.
    #[must_use]
    pub fn to(self, unit: Unit) -> f64 {
        self.0 / unit.in_mm()
    }

    /// Without its sign.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// The larger of the two.
    #[must_use]
    pub fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }

    /// The smaller of the two.
    #[must_use]
    pub fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }

    /// Whether this is at most `limit`, a tie within [`NOISE`] counting as equal.
    ///
    /// Every decision of the program goes through here or through
    /// [`Length::at_least`]: limits are absolute, and values are not rounded before
    /// they are compared (ASME Y14.5-2018, 5.4).
    #[must_use]
    pub fn at_most(self, limit: Self) -> bool {
        self.0 <= limit.0 + NOISE.0
    }

    /// Whether this is at least `limit`, a tie within [`NOISE`] counting as equal.
    #[must_use]
    pub fn at_least(self, limit: Self) -> bool {
        self.0 >= limit.0 - NOISE.0
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}
impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}
impl Mul<f64> for Length {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self(self.0 * k)
    }
}
impl Div<f64> for Length {
    type Output = Self;
    fn div(self, k: f64) -> Self {
        Self(self.0 / k)
    }
}
impl std::iter::Sum for Length {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

/// A point of the drawing frame: X right, Y up in the drawing's view.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Point {
    /// X, positive to the right.
    pub x: Length,
    /// Y, positive upwards.
    pub y: Length,
}

impl Point {
    /// The point (x, y).
    #[must_use]
    pub const fn new(x: Length, y: Length) -> Self {
        Self { x, y }
    }

    /// The coordinate of this point along `u`: u · p.
    #[must_use]
    pub fn along(self, u: Direction) -> Length {
        self.x * u.cos() + self.y * u.sin()
    }
}
