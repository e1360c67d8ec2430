//! The proof that there is no better place.

use super::active::{ActiveCondition, Part};
use super::pose::Pose;
use super::survey::NOISE;
use super::touch::Whose;
use crate::quantity::vector::{dot, norm};

/// A gap that is too large for a proof, mm.
const UNPROVEN: f64 = 1e-6;

/// What a feature contributes to holding the pattern where it is, and how s follows it.
///
/// To first order s changes by
///
/// ```text
/// by_place · (change of where it was measured) - weight · (change of the radius of its zone)
/// ```
///
/// summed over all members and bounds that hold the pattern (the envelope theorem).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Index of the member or bound.
    pub index: usize,
    /// Multiplier, at least 0: by how much s falls for each millimetre that the zone grows (as a
    /// radius). Of a boundary without room it is that for growth only: where the room falls below
    /// 0, the gauge no longer goes on. It means nothing for what is held regardless of its size.
    pub weight: f64,
    /// The push against the zone, in the drawing's frame: along the deviation and as long as the
    /// weight, as long as there is a deviation; otherwise at most as long.
    pub push: [f64; 2],
    /// Derivatives of s by the two coordinates of where it was measured: the push, turned back by
    /// the rotation of the pattern.
    pub by_place: [f64; 2],
    /// Whether it is held just where it is and pushes any way: held regardless of its size, a
    /// boundary with next to no room, or one that the others leave no room. Of boundaries that
    /// touch, push and weight say how s follows them as long as they still touch.
    pub locked: bool,
}

/// Why there is no better place: the multipliers of the linear problem at the place found
/// (S. Boyd and L. Vandenberghe, *Convex Optimization*, 5.5 and 5.9).
///
/// The weights of the members sum to 1. The pushes of members and bounds and those of what is
/// locked balance, along x, along y and as moments about the origin. Then for any movement at
/// all, as far as the turn can be taken as linear, s is at least
///
/// ```text
/// Σ (push · deviation - weight · radius)
/// ```
///
/// over the members and the bounds that are not locked, less the weight of the limit of rotation
/// times its room, and that is the s that was found, up to [`gap`](Self::gap).
///
/// Where the gauge does not go on, it is the same for the boundaries alone: it is their weights
/// that sum to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Certificate {
    /// The members that hold the pattern.
    pub members: Vec<Hold>,
    /// The bounds that hold the pattern.
    pub bounds: Vec<Hold>,
    /// Pushes of the locked translations of the origin along x and y; 0 where free.
    pub shift: [f64; 2],
    /// Moment of the locked or limited rotation about the origin, mm; 0 where free.
    pub turn: f64,
    /// What is left of the balance: the largest of the sums along x and y, of the moment over the
    /// size of the pattern, and of the sum of the weights less 1.
    pub imbalance: f64,
    /// s less its lower bound, mm.
    pub gap: f64,
}

/// What multipliers say of a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weighed {
    /// The least s that holds here for the conditions given, mm.
    pub(super) s: f64,
    /// As in [`Certificate`].
    pub(super) imbalance: f64,
    /// A lower bound of s, mm.
    pub(super) bound: f64,
    /// By how much a condition is passed that does not rise with s, mm.
    pub(super) passed: f64,
}

impl Weighed {
    pub(super) fn at<'a>(
        pose: &Pose,
        held: impl Iterator<Item = &'a ActiveCondition>,
        lever: f64,
    ) -> Self {
        let mut sums = [0.0; 3];
        let mut out = Self { s: f64::NEG_INFINITY, imbalance: -1.0, bound: 0.0, passed: 0.0 };
        for h in held {
            let line = h.touch.line(pose, lever);
            let over = line.length() - line.radius;
            if line.rise > 0.0 {
                out.s = out.s.max(over);
            } else {
                out.passed = out.passed.max(over);
            }
            if h.part == Part::Idle {
                continue;
            }
            let [u, v] = h.force;
            for (sum, (a, b)) in sums.iter_mut().zip(line.rows[0].iter().zip(&line.rows[1])) {
                *sum += u * a + v * b;
            }
            out.imbalance += line.rise * h.weight;
            out.bound += u * line.gap[0] + v * line.gap[1] - h.weight * line.radius;
        }
        out.imbalance = dot(&sums, &sums).sqrt().max(out.imbalance.abs());
        out
    }
}

impl Certificate {
    /// How far this is from a proof; not a number counts as far.
    pub(super) fn doubt(&self) -> f64 {
        let doubt = self.gap.abs() + self.imbalance;
        if doubt.is_nan() { f64::INFINITY } else { doubt }
    }

    /// What the arithmetic resolves of s, mm, if a deviation is known to `noise`, mm.
    pub(super) fn resolution(&self, noise: f64) -> f64 {
        let weights = self.members.iter().chain(&self.bounds).map(|h| h.weight);
        let sum = weights.sum::<f64>() + self.shift.iter().map(|f| f.abs()).sum::<f64>();
        (8.0 * noise * sum).max(NOISE) + self.gap.abs().min(UNPROVEN)
    }

    /// Whether this is a proof but for rounding.
    pub(super) fn proves(&self) -> bool {
        self.doubt() < 1e-11
    }

    /// Drawn up at the place found.
    pub(super) fn draw_up<'a>(
        weighed: &Weighed,
        s: f64,
        pose: &Pose,
        held: impl Iterator<Item = &'a ActiveCondition>,
        lever: f64,
    ) -> Self {
        let mut out = Self {
            members: Vec::new(),
            bounds: Vec::new(),
            shift: [0.0; 2],
            turn: 0.0,
            imbalance: weighed.imbalance,
            gap: s - weighed.bound,
        };
        for h in held.filter(|h| h.part != Part::Idle) {
            let locked = h.part == Part::Lock;
            let weight = if locked { norm(h.force) } else { h.weight };
            let push = h.touch.in_drawing(h.force);
            let by_place = pose.turned_back(push);
            let hold = |index| Hold { index, weight, push, by_place, locked };
            match h.touch.whose {
                Whose::Member(index) => out.members.push(hold(index)),
                Whose::Bound(index) => out.bounds.push(hold(index)),
                Whose::Slide(axis) => out.shift[axis] = h.force[0],
                Whose::Turn => out.turn = h.force[0] * lever,
            }
        }
        out
    }
}
