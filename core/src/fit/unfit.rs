//! Why there is no fit.

use std::fmt;

/// Which of the features given is meant, by its index.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// A feature of the pattern.
    Member(usize),
    /// A datum feature.
    Bound(usize),
    /// The limit of the rotation.
    Turn,
}

impl fmt::Display for Which {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Member(index) => write!(f, "feature {} of the pattern", index + 1),
            Self::Bound(index) => write!(f, "datum feature {}", index + 1),
            Self::Turn => f.write_str("the limit of the rotation"),
        }
    }
}

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unfit {
    /// There is no feature in the pattern.
    Empty,
    /// A number is infinite or not a number, or so large (from 1e9 mm) that double precision
    /// leaves nothing of a deviation.
    NotFinite(Which),
    /// A radius or half width of a member's zone, or the limit of the rotation, is below 0.
    Negative(Which),
    /// The normal of two planes is no unit vector (to 1e-9).
    Normal(Which),
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("the pattern has no feature"),
            Self::NotFinite(which) => write!(f, "{which}: give numbers below 1e9 mm"),
            Self::Negative(which) => write!(f, "{which}: what is allowed cannot be below 0"),
            Self::Normal(which) => write!(f, "{which}: the normal must have length 1"),
        }
    }
}

impl std::error::Error for Unfit {}
