//! Position of a round feature's axis, or of a slot's or tab's centre plane.

use super::{Proof, SizeFinding, Verdict};
use crate::job::{DatumRef, Kind, Modifier};
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
        /// The most that it can be: the size tolerance.
        most: Length,
    },
    /// There is a modifier, and no bonus.
    None(NoBonus),
}

/// Why a feature with a modifier has no bonus.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoBonus {
    /// A size does not conform by the decision rule: it fails the size first.
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
#[derive(Clone, Debug, PartialEq, Serialize)]
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
    /// A datum edge known to be out of square whose ends the drawing does not give.
    EdgeEndsMissing(String),
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
    /// The zone lies across an axis along which a slot or tab has no place.
    AlongThePlane,
    /// A datum feature of size at its boundary without limits of size.
    BoundaryWithoutLimits(String),
    /// A boundary on a datum that has no size: a face.
    BoundaryOfFace(String),
    /// A slot or tab at its boundary as the first datum in the plane: how far it stops the
    /// rotation depends on its length, which a height gauge does not see.
    SlotAlone(String),
    /// A datum at its boundary in a lower segment.
    BoundaryBelow(String),
    /// The datum feature's own tolerance applies at least material, which has no maximum material
    /// boundary.
    BoundaryOfLeast(String),
    /// Figures that no fit can be made of.
    Figures,
    /// The functional gauge does not go on: the datum features cannot all be inside their boundaries at
    /// once. They lack this much, as a diameter, and the pattern does not conform.
    GaugeDoesNotFit(Length),
}

/// Which segment of which callout of a feature.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
pub struct Segment {
    /// Index of the callout among those of the feature.
    pub callout: usize,
    /// 0 for the callout itself, from 1 for the lower segments of a composite one.
    pub number: usize,
}

/// What a common shift of the whole pattern made of a position.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Shifted {
    /// Index of the pattern among those of the piece.
    pub pattern: usize,
    /// The deviation before the shift, by the frame as it was set up from the datums regardless of
    /// their size.
    pub before: [Option<Length>; 2],
}

/// What is found of a position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PositionFinding {
    /// Kind of the toleranced feature.
    #[serde(skip)]
    pub kind: Kind,
    /// Which segment of which callout this is.
    pub segment: Segment,
    /// Shape of the zone.
    pub zone: Zone,
    /// Tolerance of the drawing: a diameter, or the distance of two planes.
    pub tolerance: Length,
    /// Material condition.
    pub modifier: Modifier,
    /// Datum letters, with their boundaries.
    pub datums: Vec<DatumRef>,
    /// Measured less basic along x and y in the frame of this segment, after the shift where the
    /// pattern was shifted; what was not measured is absent.
    pub deviation: [Option<Length>; 2],
    /// What was shifted, where the datums leave a freedom.
    pub shifted: Option<Shifted>,
    /// Distance of the axis from its true position, or of the centre plane, unsigned.
    pub radius: Option<Length>,
    /// Twice the radius: what is compared with the tolerance.
    pub position: Option<Length>,
    /// What would have to be allowed for it to conform: its position; where its pattern can be
    /// shifted, what is left of it at the shift that is best for the features that fail, the
    /// others staying inside their zones.
    pub needed: Option<Length>,
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

impl PositionFinding {
    /// Measured less basic along x and y before the pattern was shifted: by the frame as it was
    /// set up from the datums regardless of their size. The deviation itself where nothing was
    /// shifted.
    #[must_use]
    pub fn before(&self) -> [Option<Length>; 2] {
        self.shifted.map_or(self.deviation, |s| s.before)
    }

    /// Whether its zone grows with the size of the feature: a hole's at MMC, a boss's at LMC.
    #[must_use]
    pub fn grows_with_size(&self) -> bool {
        self.kind.is_internal() == (self.modifier == Modifier::Mmc)
    }

    /// It conforms, and would not without the common shift of its pattern.
    #[must_use]
    pub fn by_shift(&self) -> bool {
        self.verdict == Verdict::Conforms
            && self.shifted.is_some()
            && radius(self.zone, self.before()).is_some_and(|r| !(r * 2.0).at_most(self.allowed))
    }
}

/// What is asked, and of what.
#[derive(Clone, Debug)]
pub struct Asked<'a> {
    /// Kind of the toleranced feature.
    pub kind: Kind,
    /// Which segment of which callout.
    pub segment: Segment,
    /// Shape of the zone.
    pub zone: Zone,
    /// Tolerance.
    pub tolerance: Length,
    /// Material condition.
    pub modifier: Modifier,
    /// Datum letters.
    pub datums: &'a [DatumRef],
}

/// Judges a position: 2 √(dx² + dy²) for a round feature, 2 |d| across a slot or tab, against
/// the tolerance plus bonus (ASME Y14.5-2018, 10.3.3; ISO 5458).
///
/// `deviation` is measured less basic along x and y, and `size` is decided by the decision rule. A
/// missing size is no obstacle where the verdict does
/// not hang on it: within the tolerance itself, or beyond it by more than any bonus.
#[must_use]
pub fn judge_position(
    asked: &Asked<'_>,
    deviation: [Option<Length>; 2],
    size: &SizeFinding,
    unjudged: Option<Unjudged>,
) -> PositionFinding {
    let radius = radius(asked.zone, deviation);
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
        kind: asked.kind,
        segment: asked.segment,
        zone: asked.zone,
        tolerance: asked.tolerance,
        modifier: asked.modifier,
        datums: asked.datums.to_vec(),
        deviation,
        shifted: None,
        radius,
        position,
        needed: position,
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

/// A position moved with its pattern: what was found before the shift gives way to what is found after
/// it. `pattern` is the verdict over the whole pattern, whose uncertainty and decision rule are in it;
/// `holds` says whether this feature limits it, `needed` what would have to be allowed where that is not
/// its position. `guard` is the guard band of the pattern by the decision rule: it serves for features
/// that do not limit it too. `None` where the rule asks for one and the uncertainty is not known.
#[must_use]
pub fn shift_position(
    found: PositionFinding,
    deviation: [Option<Length>; 2],
    shifted: Shifted,
    pattern: Verdict,
    (holds, needed): (bool, Option<Length>),
    guard: Option<Length>,
) -> PositionFinding {
    let radius = radius(found.zone, deviation);
    let position = radius.map(|r| r * 2.0);
    let margin = position.map(|p| found.allowed - p);
    let verdict = match pattern {
        _ if position.is_none() => Verdict::NotMeasured,
        Verdict::NotProven if holds => Verdict::NotProven,
        Verdict::DoesNotConform | Verdict::NotProven => match margin.zip(guard) {
            Some((margin, guard)) if margin.at_least(guard) => Verdict::Conforms,
            Some((margin, guard)) if !margin.at_least(-guard) => Verdict::DoesNotConform,
            _ => Verdict::NotProven,
        },
        other => other,
    };
    PositionFinding {
        deviation,
        shifted: Some(shifted),
        radius,
        position,
        needed: needed.or(position),
        margin,
        verdict,
        by_bonus: verdict == Verdict::Conforms
            && position.is_some_and(|p| !p.at_most(found.tolerance)),
        ..found
    }
}

fn radius(zone: Zone, [dx, dy]: [Option<Length>; 2]) -> Option<Length> {
    match zone {
        Zone::Round => {
            let (dx, dy) = (dx?.to_mm(), dy?.to_mm());
            Some(Length::mm((dx * dx + dy * dy).sqrt()))
        }
        Zone::Planes(Axis::X) => dx.map(Length::abs),
        Zone::Planes(Axis::Y) => dy.map(Length::abs),
    }
}

/// The bonus: at MMC a hole's size less its MMC size, a boss's MMC size less its size; at LMC
/// the departure from the LMC size. Never negative, never more than the size tolerance, and
/// none for a feature whose size does not conform. Where it is only not proven to conform, it may
/// well do so: the bonus stays, and is as uncertain as the size.
fn bonus(asked: &Asked<'_>, size: &SizeFinding) -> Bonus {
    let Some(limits) = size.limits else { return Bonus::NotAsked };
    let Some(from) = limits.bonus_from(asked.kind, asked.modifier) else { return Bonus::NotAsked };
    if size.verdict == Verdict::DoesNotConform {
        return Bonus::None(NoBonus::SizeOut);
    }
    let Some(counts) = size.counting(asked.kind, asked.modifier) else {
        return Bonus::None(NoBonus::SizeNotMeasured);
    };
    // A hole departs from its smallest size upwards, from its largest downwards; a boss contrary.
    let upwards = asked.kind.is_internal() == (asked.modifier == Modifier::Mmc);
    let departure = if upwards { counts - from } else { from - counts };
    let bonus = departure.max(Length::ZERO).min(limits.tolerance());
    Bonus::Earned { bonus, size: counts, from, most: limits.tolerance() }
}
