//! The relations of the drawing, judged on one piece.
//!
//! [`facts`] gives each kind what was measured, [`uncertainty`] turns what its figure depends on into
//! a standard uncertainty and a coverage factor. Nothing here knows one kind from another.

mod facts;
mod uncertainty;

use super::measured::{Measured, SizeDoubt};
use super::{FeatureFinding, Place, Problem, Weight};
use crate::callout::{BonusSize, Certainty, K, RelationFinding, RelationUnjudged};
use crate::frame::Frame;
use crate::job::{Feature, Job, Piece};
use crate::relation::{Found, FrameNeed, HeldTo, Range, Reason, Relation, RelationKind, RoundZone};
use facts::PieceFacts;
use rustc_hash::FxHashMap;
use uncertainty::Known;

/// Judges all relations of a piece. `doubts` are the uncertainties of the sizes, where known.
pub(super) fn judge_relations(
    job: &Job,
    piece: &Piece,
    measured: &mut Measured<'_>,
    features: &[FeatureFinding],
    doubts: &[Option<SizeDoubt>],
) -> Vec<RelationFinding> {
    if job.drawing.relations.is_empty() {
        return Vec::new();
    }
    let numbers = job.drawing.by_number();
    let datums = measured.frame(None);
    let measured = &*measured;
    let numbers = &numbers;
    let within = |frame| Bench { job, piece, measured, features, doubts, frame, numbers };
    let (on_datums, by_itself) = (within(datums), within(Frame::BENCH));
    let one = |relation: &Relation| match on_datums.need(&relation.kind) {
        FrameNeed::None => by_itself.judge(relation),
        _ => on_datums.judge(relation),
    };
    job.drawing.relations.iter().map(one).collect()
}

/// Finds heights that were taken for a relation that is not there, or that takes none.
pub(super) fn stray_heights(job: &Job, index: usize, piece: &Piece) -> Option<Problem> {
    let taken = |number: &str| {
        let mut relations = job.drawing.relations.iter();
        relations.any(|r| r.number == number && r.kind.basis().heights().is_some())
    };
    let stray: Vec<&str> =
        piece.grids.iter().map(|g| g.relation.as_str()).filter(|number| !taken(number)).collect();
    (!stray.is_empty()).then(|| Problem {
        weight: Weight::Warns,
        place: Place::Piece(index),
        says: format!(
            "Heights are kept for lines of the drawing that take none: {}. They take no part in the \
             results.",
            stray.join(", ")
        ),
    })
}

/// Everything a relation is judged by.
struct Bench<'a, 'b> {
    job: &'a Job,
    piece: &'a Piece,
    measured: &'a Measured<'b>,
    features: &'a [FeatureFinding],
    doubts: &'a [Option<SizeDoubt>],
    /// That of the datums, or that of the bench where only what lies between features counts.
    frame: Frame,
    numbers: &'a FxHashMap<&'a str, usize>,
}

impl Bench<'_, '_> {
    fn feature(&self, number: &str) -> Option<(usize, &Feature)> {
        let index = *self.numbers.get(number)?;
        Some((index, self.job.drawing.features.get(index)?))
    }

    fn need(&self, kind: &RelationKind) -> FrameNeed {
        kind.frame(&|number| self.feature(number).map(|(_, feature)| feature.kind))
    }

    fn judge(&self, relation: &Relation) -> RelationFinding {
        let name = self.name(&relation.kind);
        let facts = PieceFacts { bench: self, relation, name: &name };
        let found = self.framed(&facts).and_then(|()| Ok(relation.kind.judge(&facts)?));
        let mut finding = match found {
            Ok(found) => self.proven(&relation.number, name, found),
            Err(why) => RelationFinding::unjudged(&relation.number, name, why),
        };
        let of = |number: &str| self.numbers.get(number).and_then(|i| self.features.get(*i));
        finding.in_question =
            relation.kind.features().into_iter().any(|n| of(n).is_some_and(|f| f.in_question));
        finding
    }

    /// `hole 3, face B`.
    fn name(&self, kind: &RelationKind) -> String {
        kind.name(&|number| match self.feature(number) {
            Some((_, feature)) => feature.name(),
            None if kind.takes_words() => number.to_owned(),
            None => format!("feature {number}"),
        })
    }

    /// Whether the frame is there that a relation needs. What is wrong with the relation itself is
    /// said first.
    fn framed(&self, facts: &PieceFacts<'_, '_, '_>) -> Result<(), RelationUnjudged> {
        let kind = &facts.relation.kind;
        let lacks = match self.need(kind) {
            FrameNeed::None | FrameNeed::Coordinates => return Ok(()),
            FrameNeed::Directions => self.frame.lacks_turn(),
            FrameNeed::Origin(along) => self.frame.lacks(along),
        };
        let Some(why) = lacks else { return Ok(()) };
        if kind.limits().is_some_and(|limits| limits.range(self.job.drawing.unit).is_none()) {
            return Err(Reason::Limits.into());
        }
        for number in kind.features() {
            facts.measured(number)?;
        }
        Err(RelationUnjudged::Frame { frame: why.clone() })
    }

    fn proven(&self, number: &str, name: String, mut found: Found) -> RelationFinding {
        let known = Known { bench: self };
        let dependence = found.dependence.take();
        let sensitivities = dependence.and_then(|d| d.sensitivities(|v| known.covariance(v)));
        let standard = sensitivities.as_ref().and_then(|s| known.standard(s));
        let coverage = sensitivities.as_ref().map(|s| known.coverage(s, standard));
        let sure = Certainty {
            standard,
            coverage: coverage.unwrap_or(K),
            rule: self.job.plan.decision_rule,
        };
        match found.held_to {
            HeldTo::Limits(range) => RelationFinding::within(number, name, found, range, sure),
            HeldTo::Zone(width) => {
                RelationFinding::within(number, name, found, Range::up_to(width), sure)
            }
            HeldTo::RoundZone(zone) => self.in_round_zone(number, name, found, zone, sure),
        }
    }

    fn in_round_zone(
        &self,
        number: &str,
        name: String,
        found: Found,
        zone: RoundZone,
        sure: Certainty,
    ) -> RelationFinding {
        let of = zone.deviation.to;
        let toleranced = self.features.get(of).zip(self.job.drawing.features.get(of));
        let Some((measured, feature)) = toleranced else {
            return RelationFinding::unjudged(number, name, Reason::Figures.into());
        };
        let bonus = BonusSize {
            name: &feature.name(),
            kind: feature.kind,
            size: &measured.size,
            standard: self.doubts.get(of).copied().flatten().map(|d| d.standard),
        };
        let covariance = Known { bench: self }.covariance(&zone.deviation);
        RelationFinding::in_round_zone(number, name, found, zone, bonus, covariance, sure)
    }
}
