//! How much of what is allowed a position uses: the length of its bar.

use crate::callout::PositionFinding;

/// Position over what is allowed, 1 when the allowed zone is just used up; `None` where the
/// position was not measured or nothing is allowed to compare it with.
#[must_use]
pub fn share_used(position: &PositionFinding) -> Option<f64> {
    let (found, allowed) = (position.position?.to_mm(), position.allowed.to_mm());
    let share = found / allowed;
    (allowed > 0.0 && share.is_finite()).then_some(share)
}
