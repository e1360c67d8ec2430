//! Salvage by size: a feature out of position at MMC can often be opened up (a hole) or
//! reduced (a boss) until its bonus covers it.

use super::{Bonus, PositionFinding, SizeFinding, Verdict};
use crate::job::{DecisionRule, Kind, Modifier};
use crate::quantity::Length;
use serde::Serialize;

/// What a change of size would do for a feature that does not conform.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Salvage {
    /// Brought to `size`, position and size conform; the axis is taken to stay where it is, and
    /// with the shift that its pattern then takes, where it can be shifted. Where several features
    /// of a pattern fail, all of them have to be brought to their sizes.
    Possible {
        /// The size that is just enough: open a hole to at least this, reduce a boss to at
        /// most this.
        size: Length,
        /// What is left to the limit of size on that side, less its guard band.
        margin: Length,
        /// The guard bands that are kept, where the decision rule asks for any.
        guard: Option<Guard>,
    },
    /// No size within the limits is enough.
    Impossible {
        /// The size that would be needed.
        size: Length,
        /// How far it is beyond its limit, less the guard band.
        beyond: Length,
        /// The guard bands that are kept, where the decision rule asks for any.
        guard: Option<Guard>,
    },
}

/// The guard bands that are kept from the limits: g U each (JCGM 106:2012, 8.3).
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Guard {
    /// From the limits of size.
    pub of_size: Length,
    /// From the zone, the uncertainty of the new bonus counted in.
    pub of_position: Length,
}

impl Guard {
    /// What a rule keeps, if the piece is measured again as well as it was; `Err` where that
    /// cannot be said because the uncertainty is not known.
    fn of(
        size: &SizeFinding,
        position: &PositionFinding,
        rule: DecisionRule,
    ) -> Result<Option<Self>, ()> {
        let DecisionRule::GuardedAcceptance { multiple } = rule else { return Ok(None) };
        let (of_size, of_position) = (size.proof.ok_or(())?, position.proof.ok_or(())?);
        let square = |u: Length| u.to_mm() * u.to_mm();
        let bonus = match position.bonus {
            // It is in the uncertainty of the margin already.
            Bonus::Earned { .. } => 0.0,
            Bonus::None(_) | Bonus::NotAsked => square(of_size.standard),
        };
        let margin = Length::mm((square(of_position.standard) + bonus).sqrt());
        Ok(Some(Self {
            of_size: of_size.expanded * multiple,
            of_position: margin * (of_position.coverage * multiple),
        }))
    }
}

/// Needed size of a hole: MMC size + (position − tolerance), of a boss: MMC size −
/// (position − tolerance); possible if that lies within the limits and can be reached by taking
/// material away. A guarded rule keeps its guard band from the zone and from the limits of size.
/// Of several callouts the one that needs most decides.
/// `None` where size cannot help: no modifier or LMC, a feature that conforms, or one already
/// beyond the limit on the side of least material.
#[must_use]
pub fn salvage<'a>(
    kind: Kind,
    size: &SizeFinding,
    positions: impl Iterator<Item = &'a PositionFinding> + Clone,
    rule: DecisionRule,
) -> Option<Salvage> {
    // What is opened has less left at least material.
    if positions.clone().any(|p| p.modifier == Modifier::Lmc) {
        return None;
    }
    let mut worst: Option<Salvage> = None;
    for position in positions {
        let fails = [position.verdict, size.verdict].contains(&Verdict::DoesNotConform);
        if !fails {
            continue;
        }
        let one = of_one(kind, size, position, rule)?;
        if worst.is_none_or(|worst| one.left() < worst.left()) {
            worst = Some(one);
        }
    }
    worst
}

impl Salvage {
    /// What is left to the limit of size, negative where it is beyond.
    fn left(self) -> Length {
        match self {
            Self::Possible { margin, .. } => margin,
            Self::Impossible { beyond, .. } => -beyond,
        }
    }
}

fn of_one(
    kind: Kind,
    size: &SizeFinding,
    position: &PositionFinding,
    rule: DecisionRule,
) -> Option<Salvage> {
    if position.modifier != Modifier::Mmc || position.unjudged.is_some() {
        return None;
    }
    let conforms = position.verdict == Verdict::Conforms && size.verdict == Verdict::Conforms;
    let (limits, p, counts) = (size.limits?, position.needed?, size.counts?);
    let internal = kind.is_internal();
    let too_far = if internal { size.above.is_some() } else { size.below.is_some() };
    let fails = [position.verdict, size.verdict].contains(&Verdict::DoesNotConform);
    if conforms || too_far || !fails {
        return None;
    }
    let guard = Guard::of(size, position, rule).ok()?;
    let kept = guard.unwrap_or_default();
    let excess = (p + kept.of_position - position.tolerance).max(kept.of_size);
    let mmc = limits.mmc(kind);
    let needed = if internal { (mmc + excess).max(counts) } else { (mmc - excess).min(counts) };
    let room = if internal { limits.upper - needed } else { needed - limits.lower };
    let margin = room - kept.of_size;
    Some(if margin.at_least(Length::ZERO) {
        Salvage::Possible { size: needed, margin: margin.max(Length::ZERO), guard }
    } else {
        Salvage::Impossible { size: needed, beyond: -margin, guard }
    })
}
