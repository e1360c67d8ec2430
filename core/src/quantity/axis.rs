//! The two axes of the drawing and the four sides that a face may look towards.

use super::Direction;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// An axis of the drawing frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Axis {
    /// To the right.
    X,
    /// Upwards in the drawing's view.
    Y,
}

impl Axis {
    /// The other axis.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::X => Self::Y,
            Self::Y => Self::X,
        }
    }

    /// `X` or `Y`.
    #[must_use]
    pub const fn letter(self) -> &'static str {
        match self {
            Self::X => "X",
            Self::Y => "Y",
        }
    }

    /// The vector of length 1 along it.
    #[must_use]
    pub const fn unit(self) -> [f64; 2] {
        match self {
            Self::X => [1.0, 0.0],
            Self::Y => [0.0, 1.0],
        }
    }
}

/// A signed axis: where a face looks to (its normal out of the material).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Side {
    /// To the right: a right-hand edge.
    #[serde(rename = "+x")]
    PlusX,
    /// Upwards in the drawing's view: a top edge.
    #[serde(rename = "+y")]
    PlusY,
    /// To the left: a left-hand edge.
    #[serde(rename = "-x")]
    MinusX,
    /// Downwards in the drawing's view: a bottom edge.
    #[serde(rename = "-y")]
    MinusY,
}

impl Side {
    /// The four sides in the order of their angle.
    pub const ALL: [Self; 4] = [Self::PlusX, Self::PlusY, Self::MinusX, Self::MinusY];

    /// The axis without its sign.
    #[must_use]
    pub const fn axis(self) -> Axis {
        match self {
            Self::PlusX | Self::MinusX => Axis::X,
            Self::PlusY | Self::MinusY => Axis::Y,
        }
    }

    /// +1 or −1.
    #[must_use]
    pub const fn sign(self) -> f64 {
        match self {
            Self::PlusX | Self::PlusY => 1.0,
            Self::MinusX | Self::MinusY => -1.0,
        }
    }

    /// Degrees from +X towards +Y.
    #[must_use]
    pub const fn degrees(self) -> f64 {
        match self {
            Self::PlusX => 0.0,
            Self::PlusY => 90.0,
            Self::MinusX => 180.0,
            Self::MinusY => 270.0,
        }
    }

    /// As a direction.
    #[must_use]
    pub fn direction(self) -> Direction {
        Direction::from_degrees(self.degrees())
    }

    /// The side opposite.
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::PlusX => Self::MinusX,
            Self::MinusX => Self::PlusX,
            Self::PlusY => Self::MinusY,
            Self::MinusY => Self::PlusY,
        }
    }

    /// The side that `degrees` points to, if it is a whole quarter turn.
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Option<Self> {
        let turned = degrees.rem_euclid(360.0);
        Self::ALL.into_iter().find(|s| {
            let apart = (turned - s.degrees()).abs();
            apart < 1e-9 || (360.0 - apart) < 1e-9
        })
    }

    /// `+X`, `−Y` with a true minus sign.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::PlusX => "+X",
            Self::PlusY => "+Y",
            Self::MinusX => "−X",
            Self::MinusY => "−Y",
        }
    }

    /// The edge of the drawing's view on this side: `right`, `top`, `left`, `bottom`.
    #[must_use]
    pub const fn edge(self) -> &'static str {
        match self {
            Self::PlusX => "right",
            Self::PlusY => "top",
            Self::MinusX => "left",
            Self::MinusY => "bottom",
        }
    }
}
