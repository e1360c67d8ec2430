//! The figure of a relation, and what it is held against.

use super::{Dependence, Range, Step, VectorBetween};
use crate::feature::Modifier;
use crate::quantity::Length;

/// The figure of a relation.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The figure.
    pub measured: Length,
    /// What it is held against.
    pub held_to: HeldTo,
    /// The sum.
    pub steps: Vec<Step>,
    /// How the figure follows from what was measured; `None` where nothing is known of how it was
    /// found, and so nothing of its uncertainty.
    pub dependence: Option<Dependence>,
}

/// What a figure is held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeldTo {
    /// Limits.
    Limits(Range),
    /// The width of a zone.
    Zone(Length),
    /// A round zone about an axis, with the bonus of the toleranced feature.
    RoundZone(RoundZone),
}

/// A cylinder in which the axis of a feature must lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundZone {
    /// From the axis of the zone to the toleranced one.
    pub deviation: VectorBetween,
    /// Diameter of the zone.
    pub tolerance: Length,
    /// Material condition of the toleranced feature.
    pub modifier: Modifier,
}
