//! What is found of a relation: its figure held against what is allowed, and how sure that is.

use super::{
    Asked, Bonus, NoBonus, PlaceEvidence, Proof, Segment, SizeEvidence, SizeFinding, Unjudged,
    Verdict, Zone, judge_position, prove_margin, prove_position,
};
use crate::chance::in_interval;
use crate::job::{DecisionRule, Kind};
use crate::quantity::Length;
use crate::relation::{Found, HeldTo, Range, Reason, RoundZone, Step};
use serde::Serialize;

/// What is found of a relation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RelationFinding {
    /// Its number.
    pub number: String,
    /// What it is about: `hole 3, hole 4`.
    pub name: String,
    /// The figure, where it was measured.
    pub measured: Option<Length>,
    /// What it is held against: limits, or the tolerance with its bonus.
    pub allowed: Range,
    /// What is allowed is the width or the diameter of a zone.
    pub zone: bool,
    /// What a size adds to the tolerance; the sum and what is allowed have it.
    #[serde(skip)]
    pub bonus: Bonus,
    /// Distance to the nearer limit, positive inside.
    pub margin: Option<Length>,
    /// The sum that led there.
    #[serde(rename = "parts")]
    pub steps: Vec<Step>,
    /// How sure that is; absent where the uncertainty is not known.
    pub proof: Option<Proof>,
    /// Why it was not judged, if it was not.
    pub unjudged: Option<RelationUnjudged>,
    /// A reading of one of its features is asked about.
    pub in_question: bool,
    /// The verdict.
    pub verdict: Verdict,
}

/// Why there is no verdict on a relation.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum RelationUnjudged {
    /// The frame cannot be had.
    Frame {
        /// Why.
        frame: Unjudged,
    },
    /// What is asked as typed is not understood.
    NotUnderstood {
        /// The text as it was typed.
        not_understood: String,
    },
    /// There is no figure.
    NoFigure(Reason),
}

impl From<Reason> for RelationUnjudged {
    fn from(why: Reason) -> Self {
        Self::NoFigure(why)
    }
}

impl RelationUnjudged {
    /// The verdict that goes with it.
    #[must_use]
    pub const fn verdict(&self) -> Verdict {
        match self {
            Self::NoFigure(Reason::NotMeasured(_) | Reason::NotTied)
            | Self::Frame { frame: Unjudged::DatumNotMeasured(_) } => Verdict::NotMeasured,
            _ => Verdict::CannotBeJudged,
        }
    }
}

/// How sure the figure of a relation is.
#[derive(Clone, Copy, Debug)]
pub struct Certainty {
    /// Standard uncertainty of the figure, where it is known.
    pub standard: Option<Length>,
    /// Coverage factor.
    pub coverage: f64,
    /// The decision rule.
    pub rule: DecisionRule,
}

/// What the bonus of a round zone is made of.
#[derive(Clone, Copy, Debug)]
pub struct BonusSize<'a> {
    /// What the toleranced feature is called.
    pub name: &'a str,
    /// Kind of the toleranced feature.
    pub kind: Kind,
    /// What is found of its size.
    pub size: &'a SizeFinding,
    /// Uncertainty of the size that made the bonus, and its covariance with the deviation, where known.
    pub evidence: Option<SizeEvidence>,
}

impl RelationFinding {
    /// Nothing is found, and why.
    #[must_use]
    pub fn unjudged(number: &str, name: String, why: RelationUnjudged) -> Self {
        Self {
            number: number.to_owned(),
            name,
            measured: None,
            allowed: Range::default(),
            zone: false,
            bonus: Bonus::NotAsked,
            margin: None,
            steps: Vec::new(),
            proof: None,
            verdict: why.verdict(),
            unjudged: Some(why),
            in_question: false,
        }
    }

    /// Holds a figure against its limits, or the width of its zone: at a limit it conforms (ASME
    /// Y14.5-2018, 5.4). The probability is that of a normal value between its limits (JCGM 106, 7).
    #[must_use]
    pub fn within(
        number: &str,
        name: String,
        found: Found,
        allowed: Range,
        sure: Certainty,
    ) -> Self {
        let mut finding = Self::measured(number, name, found, allowed);
        let (Some(measured), Some(margin)) = (finding.measured, finding.margin) else {
            return finding;
        };
        let (proof, verdict) = prove_margin(margin, sure.standard, sure.coverage, sure.rule);
        let mm = |limit: Option<Length>| limit.map(Length::to_mm);
        let (lower, upper) = (mm(allowed.lower), mm(allowed.upper));
        finding.proof = proof.map(|proof| Proof {
            probability: in_interval(measured.to_mm(), proof.standard.to_mm(), lower, upper),
            ..proof
        });
        finding.verdict = verdict;
        finding
    }

    /// Holds an axis against a round zone, with the bonus of its feature: a position whose basic
    /// place is the axis of the zone. Its uncertainty is that of one, near zero deviation too.
    /// `covariance` is that of the deviation, mm², where it is known.
    #[must_use]
    pub fn in_round_zone(
        number: &str,
        name: String,
        found: Found,
        zone: RoundZone,
        bonus: BonusSize<'_>,
        covariance: Option<[[f64; 2]; 2]>,
        sure: Certainty,
    ) -> Self {
        let asked = Asked {
            kind: bonus.kind,
            segment: Segment::default(),
            zone: Zone::Round,
            tolerance: zone.tolerance,
            modifier: zone.modifier,
            datums: &[],
        };
        let deviation = zone.deviation.mm.map(|d| Some(Length::mm(d)));
        let position = judge_position(&asked, deviation, bonus.size, None);
        let evidence = PlaceEvidence { covariance, size: bonus.evidence, k: sure.coverage };
        let position = prove_position(position, deviation, &evidence, sure.rule);
        let mut finding = Self::measured(number, name, found, Range::up_to(position.allowed));
        if finding.measured.is_none() {
            return finding;
        }
        finding.steps.extend(bonus_step(position.bonus));
        finding.bonus = position.bonus;
        finding.margin = position.margin;
        finding.proof = position.proof;
        finding.verdict = position.verdict;
        if position.verdict == Verdict::NotMeasured {
            let size = Reason::NotMeasured(vec![format!("size of {}", bonus.name)]);
            finding.unjudged = Some(size.into());
        }
        finding
    }

    /// The figure with its margin, not decided yet.
    fn measured(number: &str, name: String, found: Found, allowed: Range) -> Self {
        if !found.measured.to_mm().is_finite() {
            return Self::unjudged(number, name, Reason::Figures.into());
        }
        Self {
            number: number.to_owned(),
            name,
            measured: Some(found.measured),
            allowed,
            zone: !matches!(found.held_to, HeldTo::Limits(_)),
            bonus: Bonus::NotAsked,
            margin: allowed.margin(found.measured),
            steps: found.steps,
            proof: None,
            unjudged: None,
            in_question: false,
            verdict: Verdict::NothingAsked,
        }
    }
}

fn bonus_step(bonus: Bonus) -> Option<Step> {
    match bonus {
        Bonus::NotAsked => None,
        Bonus::Earned { bonus, size, from, .. } => {
            let how = vec![size.max(from).into(), " − ".into(), size.min(from).into()];
            Some(Step::length("bonus", bonus, how))
        }
        Bonus::None(NoBonus::SizeOut) => Some(Step::words("bonus", "none: size out of limits")),
        Bonus::None(NoBonus::SizeNotMeasured) => Some(Step::words("bonus", "size not measured")),
    }
}
