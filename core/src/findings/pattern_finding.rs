//! What is found of a pattern that was judged with one common shift.

use super::FeatureFinding;
use crate::callout::{PositionFinding, Proof, Unjudged, Verdict};
use crate::job::DatumRef;
use crate::quantity::Length;
use serde::Serialize;

/// What is found of a pattern: every position that one functional gauge would check at once.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PatternFinding {
    /// The datums of its callouts.
    pub datums: Vec<DatumRef>,
    /// The lower segment of a composite callout: the pattern in itself, free to move.
    pub lower: bool,
    /// Indices of its features in the drawing.
    pub members: Vec<usize>,
    /// Those of them that were not measured or cannot be judged.
    pub missing: Vec<usize>,
    /// How the measured pattern was moved, along x and y, after it was turned.
    pub shift: [Length; 2],
    /// How it was turned about the origin of the drawing, counter-clockwise, in radians.
    pub turn: f64,
    /// The smallest margin of any of its features at the best shift, as a diameter.
    pub margin: Option<Length>,
    /// Indices of the features that hold it: any other shift makes the margin of one of them
    /// smaller.
    pub holding: Vec<usize>,
    /// The datum features of size and the room that each leaves.
    pub rooms: Vec<Room>,
    /// What would have to be reworked, where the pattern does not conform.
    pub rework: Option<Rework>,
    /// How sure the margin is; by the first-order law of propagation. Absent where the uncertainty
    /// of something that it hangs on is not known.
    pub proof: Option<Proof>,
    /// Why it was not judged, if it was not.
    pub unjudged: Option<Unjudged>,
    /// Verdict over the pattern.
    pub verdict: Verdict,
}

/// A turn below this, in radians, moves nothing of a part of ten metres by as much as a tie counts.
const STILL: f64 = 1e-13;

impl PatternFinding {
    /// How the pattern was turned; `None` where it was not, but for the noise of the arithmetic.
    #[must_use]
    pub fn turned(&self) -> Option<f64> {
        (self.turn.abs() > STILL).then_some(self.turn)
    }

    /// Whether this segment of a feature holds the pattern: of two segments of one feature the other
    /// one may.
    #[must_use]
    pub fn is_held_by(&self, feature: usize, segment: &PositionFinding) -> bool {
        // What holds the pattern has its margin, but for the noise of the fit.
        let near = |a: Length, b: Length| (a - b).abs() < Length::mm(1e-6);
        self.holding.contains(&feature)
            && self.margin.zip(segment.margin).is_some_and(|(a, b)| near(a, b))
    }

    /// The segments with which a feature belongs to this pattern, the one with this `index` among
    /// those of its piece: those that were shifted with it, or, where it was not judged or the
    /// feature not measured, those of its frame.
    #[must_use]
    pub fn segments<'a>(
        &self,
        index: usize,
        feature: &'a FeatureFinding,
    ) -> Vec<&'a PositionFinding> {
        let shifted = |p: &&PositionFinding| p.shifted.is_some_and(|s| s.pattern == index);
        let ours: Vec<&PositionFinding> = feature.positions().filter(shifted).collect();
        if !ours.is_empty() {
            return ours;
        }
        let alike = |p: &&PositionFinding| {
            p.shifted.is_none() && p.datums == self.datums && (p.segment.number > 0) == self.lower
        };
        feature.positions().filter(alike).collect()
    }
}

/// The fewest features of a pattern whose rework lets the others conform with one shift.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rework {
    /// These features.
    Features {
        /// Indices in the drawing, each with what it would have to be allowed at the shift that lets
        /// all others conform, as a diameter or a width.
        features: Vec<(usize, Length)>,
        /// That shift, along x and y, after the turn.
        shift: [Length; 2],
        /// The turn about the origin of the drawing, counter-clockwise, in radians.
        turn: f64,
    },
    /// The search ended at its limit; at least this many features must be reworked.
    AtLeast(usize),
}

/// A datum feature of size and the room that it leaves the pattern.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Room {
    /// Datum letter.
    pub letter: String,
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// Size of the boundary and the size of the feature that counts; none regardless of size.
    pub limit: Option<(Length, Length)>,
    /// Room between the two, as a diameter or a width; zero regardless of size.
    pub clearance: Length,
    /// The direction across which it stops the pattern; none: all round.
    pub across: Option<[f64; 2]>,
    /// Measured less basic before the shift.
    pub before: [Length; 2],
    /// Measured less basic after the shift; within half the clearance.
    pub after: [Length; 2],
    /// It is one of the things that hold the pattern.
    pub holds: bool,
}
