//! What is found of a requirement, whatever its kind: the figure that decides, what it is held against,
//! and how sure that is.
//!
//! Each kind keeps the figures of its own that led there: a size those of every orientation, a position
//! its deviations and the shift of its pattern, a relation the steps of its sum. Tables, certainty and
//! tallies ask for these alone.

use super::{
    Bonus, Bound, PositionFinding, Proof, RelationFinding, RelationUnjudged, SizeFinding, Unjudged,
    Verdict,
};
use crate::quantity::Length;
use crate::relation::{Range, Reason};

/// What is found of a requirement.
pub trait RequirementFinding {
    /// Returns the figure that decides, where it was measured: of several sizes the one nearest to a limit.
    fn measured(&self) -> Option<Length>;

    /// Returns what it is held against, bonus included.
    fn allowed(&self) -> Range;

    /// Whether what is allowed is the width or the diameter of a zone, which no figure is less than 0 of.
    fn has_zone(&self) -> bool;

    /// Returns what a size adds to what is allowed.
    fn bonus(&self) -> Bonus;

    /// Returns the distance to the nearer limit, positive inside. Where the size that a bonus follows from
    /// is missing, the distance to the most that could be allowed.
    fn margin(&self) -> Option<Length>;

    /// Returns how sure the verdict is; `None` where the uncertainty is not known.
    fn proof(&self) -> Option<Proof>;

    /// Returns why there is no verdict, if there is none.
    fn no_verdict(&self) -> Option<NoVerdict<'_>>;

    /// Returns the verdict.
    fn verdict(&self) -> Verdict;

    /// Returns the limit that is nearer to the figure.
    fn limit(&self) -> Option<Length> {
        self.allowed().nearer(self.measured()?)
    }

    /// Returns on which side of its limits a figure lies, or comes nearest to.
    fn bound(&self) -> Option<Bound> {
        let (limit, allowed) = (self.limit()?, self.allowed());
        Some(if allowed.upper == Some(limit) { Bound::Upper } else { Bound::Lower })
    }

    /// Returns how much of what is allowed is used: of a zone the part that the figure takes of it, of two
    /// limits how far the figure is from the middle between them, 1 at either. `None` for one limit of a
    /// distance alone, which nothing is a part of.
    fn share_used(&self) -> Option<f64> {
        let (measured, allowed) = (self.measured()?.to_mm(), self.allowed());
        let (lower, upper) = (allowed.lower.map(Length::to_mm), allowed.upper?.to_mm());
        let (used, whole) = match lower {
            Some(lower) => ((measured - 0.5 * (lower + upper)).abs(), 0.5 * (upper - lower)),
            None if self.has_zone() => (measured, upper),
            None => return None,
        };
        let share = used / whole;
        (whole > 0.0 && share.is_finite()).then_some(share)
    }
}

/// Why there is no verdict on a requirement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoVerdict<'a> {
    /// The callout or its frame does not allow one.
    Callout(&'a Unjudged),
    /// What is asked as typed is not understood.
    NotUnderstood(&'a str),
    /// There is no figure.
    NoFigure(&'a Reason),
}

impl RequirementFinding for PositionFinding {
    fn measured(&self) -> Option<Length> {
        self.position
    }

    fn allowed(&self) -> Range {
        Range::up_to(self.allowed)
    }

    fn has_zone(&self) -> bool {
        true
    }

    fn bonus(&self) -> Bonus {
        self.bonus
    }

    fn margin(&self) -> Option<Length> {
        self.margin
    }

    fn proof(&self) -> Option<Proof> {
        self.proof
    }

    fn no_verdict(&self) -> Option<NoVerdict<'_>> {
        self.unjudged.as_ref().map(NoVerdict::Callout)
    }

    fn verdict(&self) -> Verdict {
        self.verdict
    }
}

impl RequirementFinding for SizeFinding {
    fn measured(&self) -> Option<Length> {
        self.worst().map(|s| s.size)
    }

    fn allowed(&self) -> Range {
        self.limits
            .map_or_else(Range::default, |l| Range { lower: Some(l.lower), upper: Some(l.upper) })
    }

    fn has_zone(&self) -> bool {
        false
    }

    fn bonus(&self) -> Bonus {
        Bonus::NotAsked
    }

    fn margin(&self) -> Option<Length> {
        self.margin
    }

    fn proof(&self) -> Option<Proof> {
        self.proof
    }

    fn no_verdict(&self) -> Option<NoVerdict<'_>> {
        None
    }

    fn verdict(&self) -> Verdict {
        self.verdict
    }
}

impl RequirementFinding for RelationFinding {
    fn measured(&self) -> Option<Length> {
        self.measured
    }

    fn allowed(&self) -> Range {
        self.allowed
    }

    fn has_zone(&self) -> bool {
        self.zone
    }

    fn bonus(&self) -> Bonus {
        self.bonus
    }

    fn margin(&self) -> Option<Length> {
        self.margin
    }

    fn proof(&self) -> Option<Proof> {
        self.proof
    }

    fn no_verdict(&self) -> Option<NoVerdict<'_>> {
        Some(match self.unjudged.as_ref()? {
            RelationUnjudged::Frame { frame } => NoVerdict::Callout(frame),
            RelationUnjudged::NotUnderstood { not_understood } => {
                NoVerdict::NotUnderstood(not_understood)
            }
            RelationUnjudged::NoFigure(why) => NoVerdict::NoFigure(why),
        })
    }

    fn verdict(&self) -> Verdict {
        self.verdict
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::callout::{SizeSeen, judge_size};
    use crate::job::{Kind, Limits, Modifier};

    #[test]
    fn a_size_uses_half_of_its_limits_halfway_between_middle_and_limit() {
        let mm = Length::mm;
        let limits = Limits { lower: mm(9.0), upper: mm(11.0) };
        let seen = |size: f64, orientation| SizeSeen { orientation, size: mm(size) };
        let sizes = vec![seen(10.0, 1), seen(10.5, 2)];
        let found = judge_size(Kind::Hole, Some(limits), Modifier::None, sizes);
        assert_eq!(found.measured(), Some(mm(10.5)));
        assert_eq!((found.limit(), found.bound()), (Some(mm(11.0)), Some(Bound::Upper)));
        assert!(found.share_used().is_some_and(|share| (share - 0.5).abs() < 1e-12));
        let unlimited = judge_size(Kind::Hole, None, Modifier::None, vec![seen(10.0, 1)]);
        assert_eq!((unlimited.measured(), unlimited.share_used()), (None, None));
    }
}
