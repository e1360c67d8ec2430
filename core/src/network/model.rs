//! What is adjusted: points, directions, offsets, systematic errors and observations.

use super::adjusted::Adjusted;
use super::fault::Fault;
use super::state::up;
use smallvec::{SmallVec, smallvec};

/// What is known beforehand of an unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Prior {
    /// It is this, and is not adjusted.
    Exact(f64),
    /// It is about `value`, with this standard uncertainty; 0 makes it exact.
    About {
        /// Expected value.
        value: f64,
        /// Standard uncertainty, not negative.
        standard: f64,
    },
    /// Nothing is known; the observations must give it.
    Free,
}

impl Prior {
    /// Zero, exactly.
    pub const ZERO: Self = Self::Exact(0.0);

    /// Where the adjustment starts from.
    pub(super) fn start(self) -> f64 {
        match self {
            Self::Exact(value) | Self::About { value, .. } => value,
            Self::Free => 0.0,
        }
    }

    /// Its standard uncertainty where it is neither exact nor free.
    pub(super) fn standard(self) -> Option<f64> {
        match self {
            Self::About { standard, .. } if standard > 0.0 => Some(standard),
            _ => None,
        }
    }

    /// Whether nothing is known.
    pub(super) fn is_free(self) -> bool {
        matches!(self, Self::Free)
    }

    /// Whether it is an unknown of the adjustment.
    pub(super) fn is_unknown(self) -> bool {
        self.is_free() || self.standard().is_some()
    }
}

/// What kind of thing a point is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// An axis square to the drawing: two coordinates.
    Axis,
    /// A plane (a face, or the centre plane of a slot or tab): one coordinate, along its normal.
    Plane {
        /// Angle of the normal from +X, rad.
        normal: f64,
    },
}

/// Something whose height is observed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Where it is about, mm: the basic coordinates of the drawing. The adjustment starts
    /// there, and takes from there what no observation can give but the angles need: where
    /// along a plane it is touched, and the coordinate across a single direction. With all
    /// directions exact it has no influence.
    pub near: [f64; 2],
    /// What it is.
    pub shape: Shape,
}

impl Point {
    /// An axis near (x, y).
    #[must_use]
    pub const fn axis(near: [f64; 2]) -> Self {
        Self { near, shape: Shape::Axis }
    }

    /// A plane with this normal, touched near (x, y).
    #[must_use]
    pub const fn plane(near: [f64; 2], normal: f64) -> Self {
        Self { near, shape: Shape::Plane { normal } }
    }

    /// Its normal as a unit vector, if it is a plane.
    pub(super) fn normal(&self) -> Option<[f64; 2]> {
        match self.shape {
            Shape::Axis => None,
            Shape::Plane { normal } => Some(up(normal)),
        }
    }
}

/// A direction of the drawing that points up from the plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Direction {
    /// Stated angle φ from +X, rad.
    pub angle: f64,
    /// Indices of its angle errors in [`Network::angle_errors`], each once: the true angle is φ + Σ δ.
    /// Directions that name the same one are turned by the same δ. Of one that is known against another
    /// direction they are those of that direction and the error of the difference. None: the stated
    /// angle is exact.
    pub angle_errors: SmallVec<[usize; 2]>,
}

impl Direction {
    /// A direction without an angle error.
    #[must_use]
    pub fn exact(angle: f64) -> Self {
        Self { angle, angle_errors: SmallVec::new() }
    }

    /// A direction with the angle error of this index.
    #[must_use]
    pub fn with_error(angle: f64, angle_error: usize) -> Self {
        Self { angle, angle_errors: smallvec![angle_error] }
    }
}

/// The height of the drawing's origin above a zero, in one direction. Every zero has one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    /// Index of its direction.
    pub direction: usize,
    /// What is known of it, mm.
    pub prior: Prior,
}

/// An error that many observations have in common.
///
/// One that is known with a standard uncertainty ([`Prior::About`]) is *considered*: coordinates,
/// offsets and angle errors are estimated with its value as stated, and its uncertainty is added to
/// theirs. The observations do not correct it. A free one is estimated like any other unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Systematic {
    /// What is known of it: zero with a standard uncertainty, as a rule. Its unit is the
    /// millimetre divided by that of its coefficients.
    pub prior: Prior,
}

/// One observed height.
///
/// A zero set at a feature is an observation too: height 0 of that feature, with the offset of
/// that zero.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    /// Index of the point.
    pub point: usize,
    /// Index of the offset, and so of the direction.
    pub offset: usize,
    /// Height above the zero, mm.
    pub height: f64,
    /// Standard uncertainty σ of this observation alone, mm, positive.
    pub standard: f64,
    /// Systematic errors in it: index and coefficient, each index once.
    pub systematics: Vec<(usize, f64)>,
}

impl Observation {
    /// A height without systematic errors.
    #[must_use]
    pub const fn new(point: usize, offset: usize, height: f64, standard: f64) -> Self {
        Self { point, offset, height, standard, systematics: Vec::new() }
    }

    /// With a systematic error in it.
    #[must_use]
    pub fn with(mut self, systematic: usize, coefficient: f64) -> Self {
        self.systematics.push((systematic, coefficient));
        self
    }
}

/// The definition of a datum: a coordinate of a point that is so, exactly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fixed {
    /// Index of the point.
    pub point: usize,
    /// Angle from +X of the direction along which the coordinate is taken, rad. Of a plane it is
    /// the normal or its opposite.
    pub angle: f64,
    /// The coordinate along it, mm.
    pub value: f64,
}

/// All that is adjusted together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Network {
    /// What is observed.
    pub points: Vec<Point>,
    /// Angle errors δ, rad, counter-clockwise, each of one direction or shared by several. Where
    /// the arms along the plate are short the heights give one poorly, and a free one may wander:
    /// look at its standard uncertainty, or state beforehand how well the part was set up.
    pub angle_errors: Vec<Prior>,
    /// From where.
    pub directions: Vec<Direction>,
    /// Above which zeros.
    pub offsets: Vec<Offset>,
    /// With which common errors.
    pub systematics: Vec<Systematic>,
    /// The heights.
    pub observations: Vec<Observation>,
    /// What defines the frame.
    pub fixed: Vec<Fixed>,
}

impl Network {
    /// Adjusts everything together.
    ///
    /// # Errors
    /// [`Fault`] where the input makes no sense. That something is not determined is no error
    /// but a result: see [`Adjusted`].
    pub fn adjust(&self) -> Result<Adjusted, Fault> {
        super::solve::adjust(self)
    }

    /// Where the angle of a direction starts from.
    pub(super) fn start_angle(&self, direction: &Direction) -> f64 {
        let errors = direction.angle_errors.iter().map(|k| self.angle_errors[*k].start());
        direction.angle + errors.sum::<f64>()
    }

    /// Index of the direction of an observation.
    pub(super) fn direction_of(&self, observation: &Observation) -> usize {
        self.offsets[observation.offset].direction
    }
}
