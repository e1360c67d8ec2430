//! Guarded acceptance of a pattern: every feature is held against its own guard band.
//!
//! The margin of a pattern is that of the features that limit it, and so is its uncertainty. Another
//! feature with a little more margin and a much larger uncertainty would limit it first if each zone
//! were smaller by the guard band of its own feature; so the pattern is fitted into such zones as well.
//! By the multipliers λ of that fit the true margin is no larger than the mean Σ λᵢ mᵢ of the margins of
//! those features, wherever the pattern is moved, and that mean is held against its own guard band.

use crate::fit::{self, Bound, Fit, Freedom, Member, Zone};
use crate::quantity::Length;

/// A pattern fitted into zones that are smaller by guard bands.
pub(super) struct Guarded {
    pub(super) fit: Fit,
    /// The mean margin in their whole zones of the features that limit it there, as a diameter.
    pub(super) margin: Length,
}

/// Fits a pattern with each zone smaller by its guard band, as a diameter. `None` where there is no fit.
pub(super) fn guarded(
    members: &[Member],
    guards: &[Length],
    bounds: &[Bound],
    freedom: Freedom,
) -> Option<Guarded> {
    // A zone cannot be smaller than nothing: all grow alike first, which moves no optimum.
    let most = guards.iter().copied().fold(Length::ZERO, Length::max);
    let wider = |i: usize| 0.5 * (most - guards.get(i).copied().unwrap_or_default()).to_mm();
    let smaller: Vec<Member> = members
        .iter()
        .enumerate()
        .map(|(i, m)| {
            let zone = match m.zone {
                Zone::Round { radius } => Zone::Round { radius: radius + wider(i) },
                Zone::Planes { normal, half } => Zone::Planes { normal, half: half + wider(i) },
            };
            Member { zone, ..*m }
        })
        .collect();
    let fit = fit::fit(&smaller, bounds, freedom).ok().filter(Fit::gauge_goes_on)?;
    let limits = &fit.certificate().members;
    let s = fit.s() + limits.iter().map(|hold| hold.weight * wider(hold.index)).sum::<f64>();
    let margin = Length::mm(-2.0 * s);
    Some(Guarded { fit, margin })
}
