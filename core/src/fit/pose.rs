//! Where the pattern is: moved and turned as one body.

/// A rigid movement: a turn about a pivot, then a shift.
///
/// The pivot lies near the pattern, so that coordinates far from the origin cost no digits: what
/// is added to a deviation is about as small as the deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pose {
    /// What is turned about, mm.
    pub(super) pivot: [f64; 2],
    /// Where the pivot moves, mm.
    pub(super) shift: [f64; 2],
    /// Rotation, rad, counter-clockwise.
    pub(super) turn: f64,
    sin: f64,
    /// 1 - cos of the turn.
    versine: f64,
}

impl Pose {
    /// No movement yet.
    pub(super) const fn at(pivot: [f64; 2]) -> Self {
        Self { pivot, shift: [0.0; 2], turn: 0.0, sin: 0.0, versine: 0.0 }
    }

    /// The same, moved on by a shift (mm) and a turn (rad).
    pub(super) fn moved(self, shift: [f64; 2], turn: f64) -> Self {
        let turn = self.turn + turn;
        let half = libm::sin(0.5 * turn);
        Self {
            pivot: self.pivot,
            shift: [self.shift[0] + shift[0], self.shift[1] + shift[1]],
            turn,
            sin: libm::sin(turn),
            versine: 2.0 * half * half,
        }
    }

    /// How a point given by its distance from the pivot moves, mm.
    pub(super) fn step(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [
            self.shift[0] - self.versine * x - self.sin * y,
            self.shift[1] - self.versine * y + self.sin * x,
        ]
    }

    /// The distance of a measured point from the pivot, mm.
    pub(super) fn arm(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [x - self.pivot[0], y - self.pivot[1]]
    }

    /// The same once it is turned.
    pub(super) fn turned_arm(&self, measured: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.arm(measured);
        [x - self.versine * x - self.sin * y, y - self.versine * y + self.sin * x]
    }

    /// A direction of the pattern as it was measured, from one as it is moved.
    pub(super) fn turned_back(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [x - self.versine * x + self.sin * y, y - self.versine * y - self.sin * x]
    }

    /// Measured less nominal once the pattern is moved, mm.
    pub(super) fn deviation(&self, nominal: [f64; 2], measured: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.step(self.arm(measured));
        [measured[0] - nominal[0] + x, measured[1] - nominal[1] + y]
    }

    /// How the origin of the coordinates moves, mm.
    pub(super) fn origin(&self) -> [f64; 2] {
        self.step([-self.pivot[0], -self.pivot[1]])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: [f64; 2], b: [f64; 2]) {
        assert!((a[0] - b[0]).abs() < 1e-14 && (a[1] - b[1]).abs() < 1e-14, "{a:?} {b:?}");
    }

    #[test]
    fn a_positive_turn_is_counter_clockwise() {
        let pose = Pose::at([1.0, 1.0]).moved([0.0, 0.0], std::f64::consts::FRAC_PI_2);
        near(pose.deviation([0.0, 0.0], [3.0, 1.0]), [1.0, 3.0]);
        near(pose.turned_arm([3.0, 1.0]), [0.0, 2.0]);
    }

    #[test]
    fn the_origin_moves_as_a_point_of_the_pattern() {
        let pose = Pose::at([1.0, 2.0]).moved([0.1, 0.2], 0.3).moved([0.4, 0.0], -0.1);
        near(pose.origin(), pose.deviation([0.0; 2], [0.0; 2]));
        near(pose.deviation([1.5, 2.2], [1.0, 2.0]), [0.0, 0.0]);
    }
}
