//! Position of a round feature's axis, or of a slot's or tab's centre plane.

use super::{Proof, SizeFinding, Verdict};
use crate::job::{Kind, Modifier};
use crate::quantity::{Axis, Length};
use serde::Serialize;

/// The shape of the tolerance zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Zone {
    /// A cylinder; the tolerance is its diameter.
    Round,
    /// Two planes across this axis; the tolerance is their distance.
    Planes(Axis),
}

/// What the size adds to the tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Bonus {
    /// The tolerance applies regardless of feature size.
    NotAsked,
    /// Departure of `size` from the `from` size (MMC or LMC).
    Earned {
        /// The bonus itself.
        bonus: Length,
        /// The size that counts.
        size: Length,
        /// The size it departs from.
        from: Length,
    },
    /// There is a modifier, and no bonus.
    None(NoBonus),
}

/// Why a feature with a modifier has no bonus.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoBonus {
    /// A size is outside its limits: it fails the size first.
    SizeOut,
    /// No size was measured.
    SizeNotMeasured,
}

impl Bonus {
    /// As a length; zero where there is none.
    #[must_use]
    pub const fn length(self) -> Length {
        match self {
            Self::Earned { bonus, .. } => bonus,
            Self::NotAsked | Self::None(_) => Length::ZERO,
        }
    }
}

/// Why a position callout was not judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Unjudged {
    /// A modifier on a feature without limits of size.
    ModifierWithoutLimits,
    /// Position is asked of a face; a face has no axis.
    OfFace,
    /// A datum letter that the drawing does not define.
    UnknownDatum(String),
    /// A datum feature that was neither measured nor stood on.
    DatumNotMeasured(String),
    /// A datum feature so near the origin of the frame that it cannot stop its rotation.
    DatumTooNear(String),
    /// A datum pattern of features that the drawing does not have, or that are not round.
    DatumPattern(String),
    /// A datum pattern whose features lie so that they make no circle, or all at one place.
    DatumShapeless(String),
    /// A datum feature whose basic coordinate along this axis is not on the drawing.
    DatumNominalMissing(String, Axis),
    /// The basic coordinates are incomplete.
    NominalMissing(Axis),
    /// The tolerance is negative, or zero without a modifier.
    Tolerance,
}

/// What is found of a position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PositionFinding {
    /// Shape of the zone.
    pub zone: Zone,
    /// Tolerance of the drawing: a diameter, or the distance of two planes.
    pub tolerance: Length,
    /// Material condition.
    pub modifier: Modifier,
    /// Datum letters.
    pub datums: Vec<String>,
    /// Distance of the axis from its true position, or of the centre plane, unsigned.
    pub radius: Option<Length>,
    /// Twice the radius: what is compared with the tolerance.
    pub position: Option<Length>,
    /// What the size adds.
    pub bonus: Bonus,
    /// Tolerance plus bonus.
    pub allowed: Length,
    /// Allowed less position; negative when it does not conform.
    pub margin: Option<Length>,
    /// It conforms, and would not without its bonus.
    pub by_bonus: bool,
    /// Why it was not judged, if it was not.
    pub unjudged: Option<Unjudged>,
    /// How sure that is; absent where the uncertainty is not known.
    pub proof: Option<Proof>,
    /// Verdict on the position alone.
    pub verdict: Verdict,
}

/// What is asked, and of what.
#[derive(Clone, Debug)]
pub struct Asked<'a> {
    /// Kind of the toleranced feature.
    pub kind: Kind,
    /// Shape of the zone.
    pub zone: Zone,
    /// Tolerance.
    pub tolerance: Length,
    /// Material condition.
    pub modifier: Modifier,
    /// Datum letters.
    pub datums: &'a [String],
}

/// Judges a position: 2 √(dx² + dy²) for a round feature, 2 |d| across a slot or tab, against
/// the tolerance plus bonus (ASME Y14.5-2018, 10.3.3; ISO 5458).
///
/// `dx` and `dy` are measured less basic. A missing size is no obstacle where the verdict does
/// not hang on it: within the tolerance itself, or beyond it by more than any bonus.
#[must_use]
pub fn judge_position(
    asked: &Asked<'_>,
    dx: Option<Length>,
    dy: Option<Length>,
    size: &SizeFinding,
    unjudged: Option<Unjudged>,
) -> PositionFinding {
    let radius = match asked.zone {
        Zone::Round => match (dx, dy) {
            (Some(dx), Some(dy)) => {
                let (dx, dy) = (dx.to_mm(), dy.to_mm());
                Some(Length::mm((dx * dx + dy * dy).sqrt()))
            }
            _ => None,
        },
        Zone::Planes(Axis::X) => dx.map(Length::abs),
        Zone::Planes(Axis::Y) => dy.map(Length::abs),
    };
    let position = radius.map(|r| r * 2.0);
    let bonus = bonus(asked, size);
    let allowed = asked.tolerance + bonus.length();
    // Without a size the most that a bonus could be decides whether it fails for certain.
    let unknown = bonus == Bonus::None(NoBonus::SizeNotMeasured);
    let most = size.limits.map_or(Length::ZERO, |l| l.tolerance());
    let margin = position.map(|p| match unknown && !p.at_most(asked.tolerance) {
        true => asked.tolerance + most - p,
        false => allowed - p,
    });
    let verdict = match position {
        _ if matches!(unjudged, Some(Unjudged::DatumNotMeasured(_))) => Verdict::NotMeasured,
        _ if unjudged.is_some() => Verdict::CannotBeJudged,
        None => Verdict::NotMeasured,
        Some(p) if unknown => {
            if p.at_most(asked.tolerance) {
                Verdict::Conforms
            } else if p.at_most(asked.tolerance + most) {
                Verdict::NotMeasured
            } else {
                Verdict::DoesNotConform
            }
        }
        Some(p) if p.at_most(allowed) => Verdict::Conforms,
        Some(_) => Verdict::DoesNotConform,
    };
    PositionFinding {
        zone: asked.zone,
        tolerance: asked.tolerance,
        modifier: asked.modifier,
        datums: asked.datums.to_vec(),
        radius,
        position,
        bonus,
        allowed,
        margin,
        by_bonus: verdict == Verdict::Conforms
            && position.is_some_and(|p| !p.at_most(asked.tolerance)),
        unjudged,
        proof: None,
        verdict,
    }
}

/// The bonus: at MMC a hole's size less its MMC size, a boss's MMC size less its size; at LMC
/// the departure from the LMC size. Never negative, never more than the size tolerance, and
/// none for a feature whose size is outside its limits.
fn bonus(asked: &Asked<'_>, size: &SizeFinding) -> Bonus {
    let Some(limits) = size.limits else { return Bonus::NotAsked };
    let Some(from) = limits.bonus_from(asked.kind, asked.modifier) else { return Bonus::NotAsked };
    if size.verdict == Verdict::DoesNotConform {
        return Bonus::None(NoBonus::SizeOut);
    }
    let Some(counts) = size.counts else { return Bonus::None(NoBonus::SizeNotMeasured) };
    let bonus = (counts - from).abs().min(limits.tolerance());
    Bonus::Earned { bonus, size: counts, from }
}
