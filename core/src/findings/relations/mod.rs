//! The relations of the drawing, judged on one piece.
//!
//! [`facts`] gives each kind what was measured, [`uncertainty`] turns what its figure depends on into
//! a standard uncertainty and a coverage factor. Nothing here knows one kind from another.

mod facts;
mod uncertainty;

use super::judge::Measured;
use super::{FeatureFinding, Place, Problem, ProblemKind};
use crate::adjust::{BenchSensitivities, SizeRef};
use crate::callout::{BonusSize, Certainty, K, RelationFinding, RelationUnjudged, SizeEvidence};
use crate::frame::Frame;
use crate::job::{DrawingPlace, Feature, Job, Piece};
use crate::quantity::Length;
use crate::relation::{
    Dependence, Found, FrameNeed, HeldTo, Range, Reason, Relation, RelationKind, RoundZone,
};
use facts::PieceFacts;
use rustc_hash::FxHashMap;
use std::borrow::Cow;
use uncertainty::Known;

/// The relations of one piece, and how each figure follows from what was measured.
#[derive(Clone, Debug, Default)]
pub(super) struct Relations {
    pub(super) findings: Vec<RelationFinding>,
    pub(super) sensitivities: Vec<Option<BenchSensitivities>>,
}

/// Judges all relations of a piece.
pub(super) fn judge_relations(
    job: &Job,
    piece: &Piece,
    measured: &Measured,
    features: &[FeatureFinding],
) -> Relations {
    if job.drawing.relations.is_empty() {
        return Relations::default();
    }
    let datums = measured.frames.drawing();
    let bench = Bench {
        job,
        piece,
        measured,
        features,
        datums,
        turned: datums.without_origin(),
        numbers: &job.drawing.by_number(),
    };
    let judged = job.drawing.relations.iter().map(|relation| bench.judge(relation));
    let (findings, sensitivities) = judged.unzip();
    Relations { findings, sensitivities }
}

/// Finds heights that were taken for a relation that is not there, or that takes none.
pub(super) fn stray_heights(job: &Job, index: usize, piece: &Piece) -> Option<Problem> {
    let taken = |number: &str| {
        let mut relations = job.drawing.relations.iter();
        relations.any(|r| r.number == number && r.kind.basis().heights().is_some())
    };
    let grids = piece.grids.iter().map(|g| g.relation.as_str());
    let stray: Vec<String> = grids.filter(|number| !taken(number)).map(str::to_owned).collect();
    (!stray.is_empty())
        .then(|| Problem::warns(Place::Piece(index), ProblemKind::StrayHeights(stray)))
}

/// Everything a relation is judged by.
struct Bench<'a> {
    job: &'a Job,
    piece: &'a Piece,
    measured: &'a Measured,
    features: &'a [FeatureFinding],
    /// The frame of all datums of the drawing.
    datums: &'a Frame,
    /// Its directions without its origin.
    turned: Frame,
    numbers: &'a FxHashMap<&'a str, usize>,
}

impl Bench<'_> {
    fn feature(&self, number: &str) -> Option<(usize, &Feature)> {
        let index = *self.numbers.get(number)?;
        Some((index, self.job.drawing.features.get(index)?))
    }

    /// The frame that a relation counts in.
    fn frame(&self, kind: &RelationKind) -> Cow<'_, Frame> {
        let (job, bench) = (self.job, &self.measured.bench);
        let features = || kind.features().into_iter().filter_map(|n| self.feature(n));
        match self.need(kind) {
            FrameNeed::None => {
                let plane = features().find(|(_, f)| f.plane_axis().is_some()).map(|(i, _)| i);
                Cow::Owned(Frame::square_to(plane, bench))
            }
            FrameNeed::Directions => Cow::Borrowed(&self.turned),
            FrameNeed::Origin(_) => Cow::Borrowed(self.datums),
            FrameNeed::Coordinates => {
                let known = |(f, _): (usize, &Feature)| {
                    self.datums.coordinates(job, bench, f).iter().all(Option::is_some)
                };
                let all: Vec<usize> = features().map(|(i, _)| i).collect();
                // Where it counts from is not known: what lies between the features still is.
                match features().all(known) {
                    true => Cow::Owned(self.datums.together(job, bench, &all)),
                    false => Cow::Borrowed(&self.turned),
                }
            }
        }
    }

    fn need(&self, kind: &RelationKind) -> FrameNeed {
        kind.frame(&|number| self.feature(number).map(|(_, feature)| feature.kind))
    }

    fn judge(&self, relation: &Relation) -> (RelationFinding, Option<BenchSensitivities>) {
        let name = self.name(&relation.kind);
        let place = DrawingPlace::LineRequirement(relation.number.clone());
        if let Some(typed) = self.job.drawing.refused(&place) {
            let why = RelationUnjudged::NotUnderstood { not_understood: typed.to_owned() };
            return (RelationFinding::unjudged(&relation.number, name, why), None);
        }
        let frame = &*self.frame(&relation.kind);
        let facts = PieceFacts { bench: self, relation, frame, name: &name };
        let found = self.framed(&facts).and_then(|()| Ok(relation.kind.judge(&facts)?));
        let (mut finding, of) = match found {
            Ok(found) => self.proven(&relation.number, name, found, frame),
            Err(why) => (RelationFinding::unjudged(&relation.number, name, why), None),
        };
        let of_feature =
            |number: &str| self.numbers.get(number).and_then(|i| self.features.get(*i));
        finding.in_question = relation
            .kind
            .features()
            .into_iter()
            .any(|n| of_feature(n).is_some_and(|f| f.in_question));
        (finding, of)
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
    fn framed(&self, facts: &PieceFacts<'_, '_>) -> Result<(), RelationUnjudged> {
        let kind = &facts.relation.kind;
        let lacks = match self.need(kind) {
            FrameNeed::None | FrameNeed::Coordinates => return Ok(()),
            FrameNeed::Directions => self.datums.lacks_rotation(),
            FrameNeed::Origin(along) => self.datums.lacks(along),
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

    fn proven(
        &self,
        number: &str,
        name: String,
        mut found: Found,
        frame: &Frame,
    ) -> (RelationFinding, Option<BenchSensitivities>) {
        let known = Known { bench: self, frame };
        let dependence = found.dependence.take();
        let tied = match (&dependence, &found.held_to) {
            (_, HeldTo::RoundZone(zone)) => known.determines_vector(&zone.deviation),
            (Some(of), _) => known.determines(of),
            (None, _) => true,
        };
        if !tied {
            return (RelationFinding::unjudged(number, name, Reason::NotTied.into()), None);
        }
        let stated = match dependence {
            Some(Dependence::Stated(standard)) => Some(Length::mm(standard)),
            _ => None,
        };
        let of = dependence
            .and_then(|d| d.sensitivities(|v| known.covariance(v)))
            .and_then(|by| known.on_bench(&by));
        let (standard, coverage) = of.as_ref().map_or((stated, K), |of| known.standard(of));
        let sure = Certainty { standard, coverage, rule: self.job.plan.decision_rule };
        let finding = match found.held_to {
            HeldTo::Limits(range) => RelationFinding::within(number, name, found, range, sure),
            HeldTo::Zone(width) => {
                RelationFinding::within(number, name, found, Range::up_to(width), sure)
            }
            HeldTo::RoundZone(zone) => self.in_round_zone(number, name, found, zone, &known, sure),
        };
        (finding, of)
    }

    fn in_round_zone(
        &self,
        number: &str,
        name: String,
        found: Found,
        zone: RoundZone,
        known: &Known<'_, '_>,
        sure: Certainty,
    ) -> RelationFinding {
        let of = zone.deviation.to;
        let toleranced = self.features.get(of).zip(self.job.drawing.features.get(of));
        let Some((measured, feature)) = toleranced else {
            return RelationFinding::unjudged(number, name, Reason::Figures.into());
        };
        let used = measured.size.used(feature.kind, zone.modifier);
        let size = used.and_then(|seen| {
            let size = SizeRef { feature: of, orientation: seen.orientation };
            let standard = self.measured.bench.size_standard(size)?;
            Some(SizeEvidence { standard, with: known.covariance_with_size(&zone.deviation, size) })
        });
        let bonus = BonusSize {
            name: &feature.name(),
            kind: feature.kind,
            size: &measured.size,
            evidence: size,
        };
        let covariance = known.covariance(&zone.deviation);
        RelationFinding::in_round_zone(number, name, found, zone, bonus, covariance, sure)
    }
}
