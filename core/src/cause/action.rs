//! What to do.

use super::correction::Correction;

/// One thing to do about the pattern.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Nothing can be told: measure at least so many holes in x and y, at different places.
    MeasureMore {
        /// Holes needed.
        needed: usize,
    },
    /// No error is common to the holes: a change of the machine's offsets would add to their
    /// scatter.
    LeaveAlone,
    /// Look for what makes the pattern grow or shrink: temperature of the part, the machine's
    /// scale.
    CheckScale {
        /// How far the farthest hole is too far from the datum, millimetres; negative: too near.
        grown: f64,
    },
    /// Look at the scales of the axes, of the machine and of the measurement.
    CheckScales {
        /// How much too far the farthest hole is along x and along y, millimetres; negative: too
        /// near.
        grown: [f64; 2],
    },
    /// Look at the squareness of the edges the part stood on while it was measured, and of the
    /// machine's axes. Until then a rotation is the mean of those of the axes.
    CheckSquareness {
        /// By how much +X and +Y are closer than a right angle, radians.
        closer: f64,
        /// What that makes at the farthest hole, millimetres.
        farthest: f64,
    },
    /// Correct the machine's work offset, its angle, or both.
    Correct(Correction),
    /// A correction of work offset and angle would leave the pattern worse, or fewer holes conforming:
    /// none is given until the other errors are gone.
    Withhold,
    /// Measure this hole again; if it stands, look at its tool and its operation.
    Remeasure {
        /// Index of the member.
        member: usize,
        /// How far it is from where the others put it, in x and y, millimetres.
        away: [Option<f64>; 2],
    },
    /// These members do not conform even without the errors that are common to all.
    Scatter {
        /// Indices of the members.
        members: Vec<usize>,
    },
}
