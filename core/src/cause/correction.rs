//! The correction of the machine that made the holes.

use crate::quantity::vector::rotated;

/// A change of the work offset and of the angle of the machine's coordinate system.
///
/// The work offset is where the machine takes the datum to be. A hole programmed at n is then
/// sent to offset + R(turn) n, as the machine understood its coordinates before: first the datum
/// is moved, then the coordinates are rotated about it. The machine's axes are taken to be those
/// of the drawing, seen from the same side.
///
/// ```
/// # use quarterturn_core::cause::Correction;
/// // The holes came out 0.02 too far right, and counter-clockwise.
/// let c = Correction::against([0.02, 0.0], 0.000_2);
/// assert!(c.offset[0] < 0.0 && c.turn < 0.0);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Correction {
    /// Change of the work offset in x and y of the drawing, millimetres: a positive x moves all
    /// holes to the right.
    pub offset: [f64; 2],
    /// Rotation of the coordinate system about the datum, radians, counter-clockwise positive:
    /// it takes the holes with it.
    pub turn: f64,
}

impl Correction {
    /// What sets a machine right that puts a hole programmed at n to `shift` + R(`turn`) n: the
    /// rotation back, and −R(−`turn`) `shift`. Exact for a machine like that.
    #[must_use]
    pub fn against(shift: [f64; 2], turn: f64) -> Self {
        // Not −turn of a zero: a machine that is right needs no correction by −0.
        let turn = 0.0 - turn;
        let [x, y] = rotated(shift, turn);
        Self { offset: [0.0 - x, 0.0 - y], turn }
    }

    /// Where a hole programmed at `n` is sent to.
    #[must_use]
    pub fn applied(&self, n: [f64; 2]) -> [f64; 2] {
        let [x, y] = n;
        let [dx, dy] = self.moves(n);
        [x + dx, y + dy]
    }

    /// How far a hole programmed at `n` is moved, millimetres.
    #[must_use]
    pub fn moves(&self, n: [f64; 2]) -> [f64; 2] {
        let [x, y] = n;
        // cos − 1, with all its digits.
        let half = libm::sin(0.5 * self.turn);
        let (c, s) = (-2.0 * half * half, libm::sin(self.turn));
        [self.offset[0] + (c * x - s * y), self.offset[1] + (s * x + c * y)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_undoes_the_machine_exactly() {
        for (shift, turn) in [([0.3, -0.2], 0.4), ([-7.0, 2.0], -1.2), ([0.0, 0.0], 3.0)] {
            let c = Correction::against(shift, turn);
            for n in [[0.0, 0.0], [80.0, -30.0], [-5.0, 44.0]] {
                let [x, y] = rotated(c.applied(n), turn);
                assert!((x + shift[0] - n[0]).abs() < 1e-13, "{c:?}");
                assert!((y + shift[1] - n[1]).abs() < 1e-13, "{c:?}");
            }
        }
        assert_eq!(Correction::against([0.0; 2], 0.0), Correction::default());
        assert!(Correction::against([0.0; 2], 0.0).offset[0].is_sign_positive());
    }

    #[test]
    fn a_plus_moves_right_and_counter_clockwise() {
        let c = Correction { offset: [0.1, 0.0], turn: 0.001 };
        let [x, y] = c.applied([50.0, 0.0]);
        assert!(x > 50.0 && y > 0.0);
    }
}
