//! How much of what is allowed a position or a relation uses: the length of its bar.

use crate::callout::{PositionFinding, RelationFinding};

/// Position over what is allowed, 1 when the allowed zone is just used up; `None` where the
/// position was not measured or nothing is allowed to compare it with.
#[must_use]
pub fn share_used(position: &PositionFinding) -> Option<f64> {
    let (found, allowed) = (position.position?.to_mm(), position.allowed.to_mm());
    let share = found / allowed;
    (allowed > 0.0 && share.is_finite()).then_some(share)
}

/// The same of a relation: of a tolerance the part that is used, of two limits how far
/// the figure is from the middle between them, 1 at either. `None` where there is one limit of a
/// distance alone, which nothing is a part of.
#[must_use]
pub fn relation_share_used(found: &RelationFinding) -> Option<f64> {
    let measured = found.measured?.to_mm();
    let (lower, upper) = (found.allowed.lower.map(|l| l.to_mm()), found.allowed.upper?.to_mm());
    let (used, whole) = match lower {
        Some(lower) => ((measured - 0.5 * (lower + upper)).abs(), 0.5 * (upper - lower)),
        None if found.zone => (measured, upper),
        None => return None,
    };
    let share = used / whole;
    (whole > 0.0 && share.is_finite()).then_some(share)
}
