//! What the adjustment found of one piece.

use super::Loose;
use super::owed::MadeOf;
use crate::network::{Adjusted, CRITICAL, Place};
use crate::quantity::{Axis, Length};
use serde::Serialize;
use std::collections::HashSet;

/// X and Y of a feature, each where the directions it was seen from give it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Coordinates {
    /// X, if measured.
    pub x: Option<Length>,
    /// Y, if measured.
    pub y: Option<Length>,
}

impl Coordinates {
    /// Along an axis.
    #[must_use]
    pub const fn along(self, axis: Axis) -> Option<Length> {
        match axis {
            Axis::X => self.x,
            Axis::Y => self.y,
        }
    }
}

/// How one height fits the others.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Misfit {
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// Number of the orientation.
    pub orientation: u32,
    /// Observed less adjusted.
    pub residual: Length,
    /// Redundancy number: how much of an error of this height shows in its residual, 0 to 1.
    pub redundancy: f64,
    /// Residual in its own standard deviations; absent where nothing checks the height.
    pub normalised: Option<f64>,
    /// The error that this height would have if it were the wrong one.
    pub error: Option<Length>,
}

/// How the zero of an orientation fits what the others say of the same features.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ZeroFit {
    /// Number of the orientation.
    pub orientation: u32,
    /// Residual in its own standard deviations.
    pub normalised: f64,
    /// By how much the zero would be off if it were the wrong one.
    pub error: Length,
}

/// The adjusted heights of one piece.
#[derive(Clone, Debug)]
pub struct Adjustment {
    /// The network adjusted; absent where nothing was read.
    pub(super) adjusted: Option<Adjusted>,
    /// Index of each feature among the points of the network.
    pub(super) point_of: Vec<Option<usize>>,
    /// Faces that are where the drawing has them without a touch.
    pub(super) stood_on: HashSet<usize>,
    /// What the network was made of.
    pub(super) made_of: MadeOf,
    /// Coordinates that were read and are not known, in the order of the drawing.
    pub loose: Vec<Loose>,
    /// How each height fits, in the order of the heights.
    pub misfits: Vec<Misfit>,
    /// The heights that fit so badly that they should be read again, worst first
    /// (Baarda's data snooping, w > 3.29: one false alarm in a thousand).
    pub suspects: Vec<Misfit>,
    /// The zeros that fit so badly that they should be set again, worst first.
    pub doubtful_zeros: Vec<ZeroFit>,
    /// Σ v²/σ² of all that was adjusted.
    pub chi_square: f64,
    /// How many heights could be left out.
    pub degrees: usize,
    /// Angles found: number of the orientation, error in radians, standard uncertainty.
    pub angles: Vec<(u32, f64, f64)>,
    /// Why nothing could be adjusted, if so.
    pub fault: Option<String>,
}

/// Directions closer to an axis than this are the axis, in radians: what the cosine loses is
/// half the square of it.
const SQUARE: f64 = 1e-3;

impl Adjustment {
    pub(super) fn nothing(features: usize, fault: Option<String>) -> Self {
        Self {
            adjusted: None,
            point_of: vec![None; features],
            stood_on: HashSet::new(),
            made_of: MadeOf::default(),
            loose: Vec::new(),
            misfits: Vec::new(),
            suspects: Vec::new(),
            doubtful_zeros: Vec::new(),
            chi_square: 0.0,
            degrees: 0,
            angles: Vec::new(),
            fault,
        }
    }

    fn place(&self, feature: usize) -> Option<Place> {
        let point = (*self.point_of.get(feature)?)?;
        self.adjusted.as_ref()?.points.get(point).copied()
    }

    /// Coordinates of a feature in the frame of the bench.
    #[must_use]
    pub fn at(&self, feature: usize) -> Coordinates {
        match self.place(feature) {
            Some(Place::Determined { at: [x, y], .. }) => {
                Coordinates { x: Some(Length::mm(x)), y: Some(Length::mm(y)) }
            }
            Some(Place::OneDirection { angle, along, .. }) => {
                let (c, s) = (libm::cos(angle), libm::sin(angle));
                Coordinates {
                    x: (s.abs() < SQUARE).then(|| Length::mm(along * c.signum())),
                    y: (c.abs() < SQUARE).then(|| Length::mm(along * s.signum())),
                }
            }
            Some(Place::NotTied | Place::Unseen) | None => Coordinates::default(),
        }
    }

    /// Whether the feature is a face that carries the part where a height was read: it is where the
    /// drawing has it without being touched.
    #[must_use]
    pub fn stands_on(&self, feature: usize) -> bool {
        self.stood_on.contains(&feature)
    }

    /// Whether the feature was read, and all of it hangs on offsets that nothing ties.
    #[must_use]
    pub fn hangs(&self, feature: usize) -> bool {
        matches!(self.place(feature), Some(Place::NotTied))
    }

    /// Covariance of (x, y) of one feature with that of another, in mm²: zero for what is held.
    #[must_use]
    pub fn covariance(&self, a: usize, b: usize) -> Option<[[f64; 2]; 2]> {
        let (i, j) = ((*self.point_of.get(a)?)?, (*self.point_of.get(b)?)?);
        if i == j
            && let Some(Place::Determined { covariance, .. }) = self.place(a)
        {
            return Some(covariance);
        }
        self.adjusted.as_ref()?.covariance(i, j)
    }

    /// Probability that good readings fit as badly as these, by the chi-square test of the whole;
    /// absent where nothing is left over to test.
    #[must_use]
    pub fn probability(&self) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "a count of heights")]
        (self.degrees > 0)
            .then(|| crate::chance::chi_square::survival(self.chi_square, self.degrees as f64))
    }
}

/// Those of `all` whose normalised residual is critical, worst first.
pub(super) fn doubtful<T: Copy>(all: &[T], normalised: impl Fn(&T) -> Option<f64>) -> Vec<T> {
    let w = |one: &T| normalised(one).map_or(0.0, f64::abs);
    let mut found: Vec<T> = all.iter().copied().filter(|one| w(one) > CRITICAL).collect();
    found.sort_by(|a, b| w(b).total_cmp(&w(a)));
    found
}
