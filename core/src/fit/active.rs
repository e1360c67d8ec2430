//! A condition of the working set, with what is known of its multiplier.

use super::touch::{Linearised, Touch};

/// How a condition takes part in the optimum.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    /// Not at all: there is room left.
    Idle,
    /// It is at the rim of its zone; the force is along the deviation.
    Rim,
    /// Its zone has shrunk to nothing: the deviation is 0, the force has any direction.
    Apex,
    /// The deviation is 0 whatever s is.
    Lock,
}

/// A condition and its multiplier.
#[derive(Clone, Copy, Debug)]
pub(super) struct ActiveCondition {
    pub(super) touch: Touch,
    pub(super) part: Part,
    /// Multiplier of the condition; those of what rises with s sum to 1.
    pub(super) weight: f64,
    /// The multiplier of the deviation, in the components of [`Linearised`]; at most as long as the
    /// weight.
    pub(super) force: [f64; 2],
}

impl ActiveCondition {
    pub(super) const fn new(touch: Touch) -> Self {
        Self { touch, part: Part::Idle, weight: 0.0, force: [0.0; 2] }
    }

    pub(super) const fn lock(touch: Touch) -> Self {
        Self { touch, part: Part::Lock, weight: 0.0, force: [0.0; 2] }
    }

    /// The direction of the deviation.
    pub(super) fn direction(line: &Linearised) -> [f64; 2] {
        let length = line.length();
        if length > 0.0 { [line.gap[0] / length, line.gap[1] / length] } else { [0.0; 2] }
    }
}
