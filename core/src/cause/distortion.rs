//! The errors that a whole pattern can have, to first order.

/// One kind of error, in the order in which the models take them in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Every hole by the same distance.
    Shift,
    /// Every hole about the datum by the same angle.
    Turn,
    /// Every hole away from the datum in proportion.
    Scale,
    /// Another proportion in x than in y.
    Scales,
    /// X and Y not at right angles.
    Shear,
}

/// Columns of the models, all errors together.
pub(super) const COLUMNS: usize = 6;

impl Kind {
    /// All of them, in their order.
    pub const ALL: [Self; 5] = [Self::Shift, Self::Turn, Self::Scale, Self::Scales, Self::Shear];

    /// Its place in [`Kind::ALL`].
    pub(super) const fn index(self) -> usize {
        match self {
            Self::Shift => 0,
            Self::Turn => 1,
            Self::Scale => 2,
            Self::Scales => 3,
            Self::Shear => 4,
        }
    }

    /// What it adds to the columns.
    pub(super) const fn columns(self) -> &'static [usize] {
        match self {
            Self::Shift => &[0, 1],
            Self::Turn => &[2],
            Self::Scale => &[3],
            Self::Scales => &[4],
            Self::Shear => &[5],
        }
    }
}

/// What the columns do to x and to y of a hole at `n`, lengths counted in `length`.
pub(super) fn rows(n: [f64; 2], length: f64) -> [[f64; COLUMNS]; 2] {
    let [x, y] = n.map(|v| v / length);
    [[1.0, 0.0, -y, x, x, y], [0.0, 1.0, x, y, -y, x]]
}

/// An error of the whole pattern: what a machine makes of the places it is given.
///
/// d(n) = t + θ (−y, x) + k (x, y) + e (x, −y) + g (y, x), n = (x, y) in the frame of the drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Distortion {
    /// t: the shift at the datum in x and y, millimetres.
    pub shift: [f64; 2],
    /// θ: rotation about the datum, radians, counter-clockwise positive.
    pub turn: f64,
    /// k: the scale that both axes have in common, per unit of length, positive grows.
    pub scale: f64,
    /// e: half of what the scale of x exceeds that of y by.
    pub stretch: f64,
    /// g: half of the angle by which +X and +Y come closer, radians.
    pub shear: f64,
}

impl Distortion {
    /// Where a hole at `n` goes to, as a deviation, millimetres.
    #[must_use]
    pub fn at(&self, n: [f64; 2]) -> [f64; 2] {
        let values = self.values();
        rows(n, 1.0).map(|row| row.iter().zip(values).map(|(a, b)| a * b).sum())
    }

    /// The scales of x and of y, per unit of length.
    #[must_use]
    pub fn scales(&self) -> [f64; 2] {
        [self.scale + self.stretch, self.scale - self.stretch]
    }

    /// By how much the angle from +X to +Y is less than a right one, radians.
    #[must_use]
    pub fn out_of_square(&self) -> f64 {
        2.0 * self.shear
    }

    /// Shift and rotation alone: what a correction of work offset and angle can take away.
    #[must_use]
    pub fn rigid(&self) -> Self {
        Self { shift: self.shift, turn: self.turn, ..Self::default() }
    }

    fn values(&self) -> [f64; COLUMNS] {
        let [tx, ty] = self.shift;
        [tx, ty, self.turn, self.scale, self.stretch, self.shear]
    }

    pub(super) fn of([tx, ty, turn, scale, stretch, shear]: [f64; COLUMNS]) -> Self {
        Self { shift: [tx, ty], turn, scale, stretch, shear }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(is: [f64; 2], should: [f64; 2]) {
        for (a, b) in is.into_iter().zip(should) {
            assert!((a - b).abs() < 1e-15, "{is:?} instead of {should:?}");
        }
    }

    #[test]
    fn each_error_goes_its_way() {
        let none = Distortion::default();
        // Counter-clockwise takes +X up and +Y to the left.
        let turned = Distortion { turn: 0.001, ..none };
        close(turned.at([100.0, 0.0]), [0.0, 0.1]);
        close(turned.at([0.0, 100.0]), [-0.1, 0.0]);
        let grown = Distortion { scale: 0.001, ..none };
        close(grown.at([100.0, -50.0]), [0.1, -0.05]);
        let wide = Distortion { scale: 0.001, stretch: 0.001, ..none };
        close(wide.at([100.0, -50.0]), [0.2, 0.0]);
        close(wide.scales(), [0.002, 0.0]);
        // +X turns up, +Y turns right: they come closer.
        let sheared = Distortion { shear: 0.001, ..none };
        close(sheared.at([100.0, 0.0]), [0.0, 0.1]);
        close(sheared.at([0.0, 100.0]), [0.1, 0.0]);
        assert!((sheared.out_of_square() - 0.002).abs() < 1e-18);
        let moved = Distortion { shift: [0.3, -0.1], ..sheared };
        close(moved.rigid().at([7.0, 9.0]), [0.3, -0.1]);
    }
}
