//! A height that takes part in the adjustment.

use super::Touched;
use crate::bench::Setup;
use crate::job::Zero;
use crate::quantity::Length;

/// The height of a centre or a face above a zero.
#[derive(Clone, Debug, PartialEq)]
pub struct Height {
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// Index of the orientation in the plan.
    pub orientation: usize,
    /// What it counts from.
    pub zero: Zero,
    /// The orientation with this zero.
    pub setup: Setup,
    /// Height above the zero, the probe constant applied and the temperature corrected.
    pub height: Length,
    /// The touches it comes from, whose errors are its own.
    pub touched: Touched,
    /// How much of an error of the probe constant is in it: 0 for a touch from above counted
    /// from one, ½ for a centre.
    pub probe: f64,
}
