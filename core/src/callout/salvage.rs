//! Salvage by size: a feature out of position at MMC can often be opened up (a hole) or
//! reduced (a boss) until its bonus covers it.

use super::{PositionFinding, SizeFinding, Verdict};
use crate::job::{Kind, Modifier};
use crate::quantity::Length;
use serde::Serialize;

/// What a change of size would do for a feature that does not conform.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Salvage {
    /// Brought to `size`, position and size conform; the axis is taken to stay where it is.
    Possible {
        /// The size that is just enough: open a hole to at least this, reduce a boss to at
        /// most this.
        size: Length,
        /// What is left to the limit of size on that side.
        margin: Length,
    },
    /// No size within the limits is enough.
    Impossible {
        /// The size that would be needed.
        size: Length,
        /// How far it is beyond its limit.
        beyond: Length,
    },
}

/// Needed size of a hole: MMC size + (position − tolerance), of a boss: MMC size −
/// (position − tolerance); possible if that lies within the limits and can be reached by taking
/// material away. `None` where size cannot help: no modifier or LMC, a feature that conforms,
/// or one already beyond the limit on the side of least material.
#[must_use]
pub fn salvage(kind: Kind, size: &SizeFinding, position: &PositionFinding) -> Option<Salvage> {
    if position.modifier != Modifier::Mmc || position.unjudged.is_some() {
        return None;
    }
    let conforms = position.verdict == Verdict::Conforms && size.verdict == Verdict::Conforms;
    let (limits, p, counts) = (size.limits?, position.position?, size.counts?);
    let internal = kind.is_internal();
    let too_far = if internal { size.above.is_some() } else { size.below.is_some() };
    let fails = [position.verdict, size.verdict].contains(&Verdict::DoesNotConform);
    if conforms || too_far || !fails {
        return None;
    }
    let excess = (p - position.tolerance).max(Length::ZERO);
    let mmc = limits.mmc(kind);
    let needed = if internal { (mmc + excess).max(counts) } else { (mmc - excess).min(counts) };
    let margin = if internal { limits.upper - needed } else { needed - limits.lower };
    Some(if margin.at_least(Length::ZERO) {
        Salvage::Possible { size: needed, margin: margin.max(Length::ZERO) }
    } else {
        Salvage::Impossible { size: needed, beyond: -margin }
    })
}
