//! Size: every measured size within its limits, and the one that counts for the bonus.

use super::{Proof, Verdict};
use crate::job::{Kind, Limits, Modifier};
use crate::quantity::{Length, NOISE};
use serde::Serialize;

/// A size as seen in one orientation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SizeSeen {
    /// Number of the orientation.
    pub orientation: u32,
    /// The size measured there.
    pub size: Length,
}

/// What is found of a feature's size.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SizeFinding {
    /// The size seen in each orientation.
    pub seen: Vec<SizeSeen>,
    /// The size that counts: the one with most material (smaller of a hole, larger of a boss),
    /// or with least material where the position applies at LMC.
    pub counts: Option<Length>,
    /// Largest less smallest; `None` for fewer than two.
    pub difference: Option<Length>,
    /// Limits of the drawing, where it gives any.
    pub limits: Option<Limits>,
    /// Distance to the nearer limit, positive inside; of the worst size.
    pub margin: Option<Length>,
    /// How much a size is above the upper limit.
    pub above: Option<Length>,
    /// How much a size is below the lower limit.
    pub below: Option<Length>,
    /// How sure the size is that decides: the worst one, or one that is farther from the limits and not
    /// proven to be within them. Absent where its uncertainty is not known.
    pub proof: Option<Proof>,
    /// Verdict on the size alone.
    pub verdict: Verdict,
}

/// One of the two limits of size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// The lower limit.
    Lower,
    /// The upper limit.
    Upper,
}

impl SizeFinding {
    /// The size that counts where a callout applies at this material condition, whatever others of
    /// the same feature ask: the one with most material, at LMC the one with least.
    #[must_use]
    pub fn counting(&self, kind: Kind, modifier: Modifier) -> Option<Length> {
        let sizes = self.seen.iter().map(|s| s.size);
        match kind.is_internal() != (modifier == Modifier::Lmc) {
            true => sizes.reduce(Length::min),
            false => sizes.reduce(Length::max),
        }
    }

    /// The size used where a callout applies at this material condition, with its orientation.
    #[must_use]
    pub fn used(&self, kind: Kind, modifier: Modifier) -> Option<SizeSeen> {
        let size = self.counting(kind, modifier)?;
        self.seen.iter().find(|s| s.size == size).copied()
    }

    /// The size nearest to a limit, or farthest beyond it, which decides; `None` without limits.
    #[must_use]
    pub fn worst(&self) -> Option<SizeSeen> {
        let limits = self.limits?;
        let distance = |s: &SizeSeen| limits.margin(s.size).to_mm();
        self.seen.iter().min_by(|a, b| distance(a).total_cmp(&distance(b))).copied()
    }

    /// The limit that the margin counts to: the one that a size comes nearest to or lies farthest
    /// beyond; `None` where no size was judged.
    #[must_use]
    pub fn nearer(&self) -> Option<Bound> {
        let (limits, margin) = (self.limits?, self.margin?);
        let largest = self.seen.iter().map(|s| s.size).reduce(Length::max)?;
        let upper = (limits.upper - largest - margin).abs() <= NOISE;
        Some(if upper { Bound::Upper } else { Bound::Lower })
    }
}

/// Judges sizes against their limits.
///
/// At the maximum material condition the mating envelope counts: the smaller of a hole's
/// sizes, the larger of a boss's (ASME Y14.5-2018, clauses 3 and 10); at LMC the other way
/// round. All sizes must lie within the limits.
#[must_use]
pub fn judge_size(
    kind: Kind,
    limits: Option<Limits>,
    modifier: Modifier,
    seen: Vec<SizeSeen>,
) -> SizeFinding {
    let smallest = seen.iter().map(|s| s.size).reduce(Length::min);
    let largest = seen.iter().map(|s| s.size).reduce(Length::max);
    let take_smallest = kind.is_internal() != (modifier == Modifier::Lmc);
    let counts = if take_smallest { smallest } else { largest };
    let difference = match (smallest, largest) {
        (Some(a), Some(b)) if seen.len() > 1 => Some(b - a),
        _ => None,
    };
    let mut finding = SizeFinding {
        seen,
        counts,
        difference,
        limits,
        margin: None,
        above: None,
        below: None,
        proof: None,
        verdict: Verdict::NothingAsked,
    };
    let Some(limits) = limits else { return finding };
    let (Some(smallest), Some(largest)) = (smallest, largest) else {
        finding.verdict = Verdict::NotMeasured;
        return finding;
    };
    finding.margin = Some((limits.upper - largest).min(smallest - limits.lower));
    finding.above = (!largest.at_most(limits.upper)).then(|| largest - limits.upper);
    finding.below = (!smallest.at_least(limits.lower)).then(|| limits.lower - smallest);
    finding.verdict = if finding.above.is_none() && finding.below.is_none() {
        Verdict::Conforms
    } else {
        Verdict::DoesNotConform
    };
    finding
}
