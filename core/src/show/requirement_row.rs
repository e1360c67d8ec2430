//! What was found of a requirement, as a row of a table: the same figures on the screen and on the sheet,
//! whatever the kind of requirement.

use super::relation::relation_reason;
use super::sentences::{fault_words, guard_side, reason, shift_words, side_words, unjudged};
use super::{Figures, factor, percent};
use crate::callout::{
    Bonus, PositionFinding, RelationFinding, RequirementFinding, Segment, SizeFinding, Verdict,
};
use crate::findings::FeatureFinding;
use crate::job::{Drawing, Job};
use crate::notation::compared;

/// A requirement as text. A cell of which there is nothing to say is empty.
#[derive(Clone, Debug, PartialEq)]
pub struct RequirementRow {
    /// The figure that decides.
    pub measured: String,
    /// What a size adds to the tolerance.
    pub bonus: BonusText,
    /// What it is held against; empty where there are two limits: the requirement itself says both.
    pub allowed: String,
    /// Distance to the nearer limit.
    pub margin: String,
    /// How much of what is allowed is used.
    pub share: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
    /// What the verdict leaves open, in a few words.
    pub note: String,
}

/// The bonus in a table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum BonusText {
    /// No modifier, or a size that was not measured.
    #[default]
    Empty,
    /// There is a modifier, and the size earns nothing.
    None,
    /// A figure.
    Figure(String),
}

impl RequirementRow {
    /// The position of a feature by one segment.
    #[must_use]
    pub fn of_position(
        finding: &FeatureFinding,
        position: &PositionFinding,
        drawing: &Drawing,
    ) -> Self {
        let note = position_note(finding, position, drawing);
        Self::of(position, Figures::of_results(drawing).exact_or_same(position.tolerance), note)
            .within(finding)
    }

    /// The size of a feature.
    #[must_use]
    pub fn of_size(finding: &FeatureFinding, drawing: &Drawing) -> Self {
        let size = &finding.size;
        let mut f = Figures::of_results(drawing);
        if let Some(limits) = size.limits {
            f = f.exact_or_same(limits.lower).exact_or_same(limits.upper);
        }
        Self::of(size, f, size_note(size)).within(finding)
    }

    /// A relation.
    #[must_use]
    pub fn of_relation(found: &RelationFinding, drawing: &Drawing) -> Self {
        let f = Figures::of_results(drawing);
        let f = found.limit().map_or(f, |limit| match found.bonus {
            // With a bonus, what is allowed has as many digits as the size, which nobody typed.
            Bonus::Earned { .. } => f,
            _ => f.exact_or_same(limit),
        });
        Self::of(found, f, relation_reason(found, drawing))
    }

    /// What all kinds have in common.
    fn of(found: &dyn RequirementFinding, f: Figures, note: String) -> Self {
        let (allowed, bonus) = (found.allowed(), found.bonus());
        let single = allowed.lower.is_none();
        let mut row = Self {
            measured: String::new(),
            bonus: BonusText::Empty,
            allowed: match allowed.upper {
                Some(upper) if single => f.plain(upper),
                _ => String::new(),
            },
            margin: String::new(),
            share: found.share_used(),
            verdict: found.verdict(),
            note,
        };
        let mut figures = f;
        match (found.measured(), found.limit(), found.margin()) {
            (Some(measured), Some(limit), Some(margin)) => {
                let text = compared(measured, limit, margin, f);
                figures = text.figures;
                row.measured = text.value;
                row.margin = text.margin;
                if single {
                    row.allowed = text.limit;
                }
            }
            (Some(measured), ..) => row.measured = f.plain(measured),
            _ => {}
        }
        row.bonus = match bonus {
            Bonus::NotAsked => BonusText::Empty,
            Bonus::Earned { bonus, .. } => BonusText::Figure(figures.plain(bonus)),
            Bonus::None(_) => BonusText::None,
        };
        row
    }

    /// A requirement of a feature that cannot be judged as a whole has no verdict of its own.
    fn within(mut self, finding: &FeatureFinding) -> Self {
        if let Some(fault) = finding.fault {
            self.verdict = Verdict::CannotBeJudged;
            fault_words(fault).clone_into(&mut self.note);
        } else if finding.in_question {
            self.note = match self.note.as_str() {
                "" => "reading in question".to_owned(),
                note => format!("in question; {note}"),
            };
        }
        self
    }
}

fn position_note(finding: &FeatureFinding, p: &PositionFinding, drawing: &Drawing) -> String {
    let shift = || shift_words(p).to_owned();
    match (&p.unjudged, p.verdict) {
        (Some(why), _) => unjudged(why),
        (None, Verdict::NotProven) => match (p.proof, p.margin) {
            (Some(_), Some(margin)) => format!("{} its zone", side_words(margin)),
            _ => "uncertainty not known".to_owned(),
        },
        (None, Verdict::DoesNotConform)
            if finding.size.verdict != Verdict::DoesNotConform
                && p.segment == Segment::default() =>
        {
            let text = reason(finding, drawing);
            // The margin says by how much; what is needed is the size.
            match text.split_once("rework: ") {
                Some((_, needed)) => needed.replace(", datum shift applied", "; shifted"),
                None => shift(),
            }
        }
        _ => shift(),
    }
}

fn size_note(size: &SizeFinding) -> String {
    match (size.verdict, size.above, size.below) {
        (Verdict::NotProven, ..) if size.proof.is_some() => guard_side(size),
        (Verdict::NotProven, ..) => "uncertainty not known".to_owned(),
        (_, Some(_), _) => "above its limit".to_owned(),
        (_, None, Some(_)) => "below its limit".to_owned(),
        (_, None, None) => String::new(),
    }
}

/// How sure the verdict on a feature is, in a sentence: of the requirement that decides it, and of several
/// with that verdict the one that is least likely to be met. `None` where its uncertainty is not known.
#[must_use]
pub fn certainty(finding: &FeatureFinding, job: &Job) -> Option<String> {
    let positions = finding.positions().map(|p| ("the margin", p as &dyn RequirementFinding));
    let size = std::iter::once(("the size", &finding.size as &dyn RequirementFinding));
    let decides = |found: &dyn RequirementFinding| {
        finding.fault.is_none() && found.verdict() == finding.verdict
    };
    let deciding = positions.chain(size).filter(|(_, found)| decides(*found));
    let probability = |found: &dyn RequirementFinding| found.proof().map(|p| p.probability);
    let least = deciding.min_by(|(_, a), (_, b)| {
        let certain = |found| probability(found).unwrap_or(f64::INFINITY);
        certain(*a).total_cmp(&certain(*b))
    });
    let (what, found) = least?;
    how_sure(what, found, job)
}

/// How sure the verdict on a relation is, in a sentence; `None` where the uncertainty is not known.
#[must_use]
pub fn relation_certainty(found: &RelationFinding, job: &Job) -> Option<String> {
    how_sure("the margin", found, job)
}

fn how_sure(what: &str, found: &dyn RequirementFinding, job: &Job) -> Option<String> {
    let proof = found.proof()?;
    let f = Figures::of_results(&job.drawing).finer(1);
    Some(format!(
        "Uncertainty of {what} ±{} (k = {}), probability that it conforms {}.",
        f.plain(proof.expanded),
        factor(proof.coverage),
        percent(proof.probability)
    ))
}
