//! How the figure of a relation follows from what was measured.

use crate::chance::{Sensitivities, SizeRef};

/// A vector between two places in the frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VectorBetween {
    /// Index of the feature where it begins; none: at the origin of the frame.
    pub from: Option<usize>,
    /// Index of the feature where it ends.
    pub to: usize,
    /// The vector, mm.
    pub mm: [f64; 2],
}

impl VectorBetween {
    /// Returns the derivatives of its component along `e`, by the places of its two ends.
    #[must_use]
    pub fn along(&self, e: [f64; 2]) -> Vec<(usize, [f64; 2])> {
        let mut list = vec![(self.to, e)];
        list.extend(self.from.map(|from| (from, e.map(|e| -e))));
        list
    }
}

/// How a figure follows from what was measured.
#[derive(Clone, Debug, PartialEq)]
pub enum Dependence {
    /// By these derivatives.
    Linear(Sensitivities),
    /// By the length of a vector, and by sizes: by the law of propagation along the vector, and
    /// where the vector is so short that this law fails, along the direction in which it is known
    /// least.
    Distance {
        /// The vector.
        vector: VectorBetween,
        /// Derivative of the figure by the length of the vector.
        by_length: f64,
        /// Derivatives by sizes.
        sizes: Vec<(SizeRef, f64)>,
    },
    /// By something that is stated, and not read: the standard uncertainty of the figure, mm.
    Stated(f64),
}

impl Dependence {
    /// Depends on places alone.
    #[must_use]
    pub fn on_places(places: Vec<(usize, [f64; 2])>) -> Self {
        Self::Linear(Sensitivities { places, ..Sensitivities::default() })
    }

    /// Depends on single touches alone: the sum of the squared derivatives of those of one
    /// instrument.
    #[must_use]
    pub fn on_touches(instrument: usize, squares: f64) -> Self {
        let touches = vec![(instrument, squares)];
        Self::Linear(Sensitivities { touches, ..Sensitivities::default() })
    }

    /// Returns the derivatives by what was read; `None` where it depends on nothing of it, or they are
    /// not known. `covariance` returns that of a vector, mm², where it is known.
    #[must_use]
    pub fn sensitivities(
        self,
        covariance: impl FnOnce(&VectorBetween) -> Option<[[f64; 2]; 2]>,
    ) -> Option<Sensitivities> {
        match self {
            Self::Linear(all) => Some(all),
            Self::Stated(_) => None,
            Self::Distance { vector, by_length, sizes } => {
                let e = known_least(vector.mm, covariance(&vector)?);
                let places = vector.along(e.map(|e| by_length * e));
                Some(Sensitivities { places, sizes, touches: Vec::new() })
            }
        }
    }
}

/// The unit vector along a vector with this covariance; where that is so short that its direction
/// is not known, the direction of its largest variance.
fn known_least(vector: [f64; 2], c: [[f64; 2]; 2]) -> [f64; 2] {
    let (xx, yy, xy) = (c[0][0], c[1][1], c[0][1]);
    let length = libm::hypot(vector[0], vector[1]);
    let (half_sum, half_gap) = (0.5 * (xx + yy), 0.5 * (xx - yy));
    let most = half_sum + (half_gap * half_gap + xy * xy).sqrt();
    if length > 0.0 && length * length > most {
        return vector.map(|v| v / length);
    }
    let angle = 0.5 * libm::atan2(2.0 * xy, xx - yy);
    [libm::cos(angle), libm::sin(angle)]
}
