//! What the drawing asks of one feature.

use super::position_requirement::PositionRequirement;
use super::{DatumLists, Fault};
use crate::callout::Unjudged;
use crate::job::{Feature, Job, Limits};
use crate::quantity::Axis;

/// What the drawing asks of one feature.
#[derive(Clone, Debug)]
pub(super) struct Demand<'a> {
    pub(super) feature: &'a Feature,
    pub(super) limits: Option<Limits>,
    /// The segments of its position callouts, in the order of the drawing.
    pub(super) asks: Vec<PositionRequirement<'a>>,
    /// Which coordinates any of them needs.
    pub(super) needs: [bool; 2],
    /// What makes it impossible to judge.
    pub(super) fault: Option<Fault>,
}

impl<'a> Demand<'a> {
    /// `along`: the axis of a slot along which its basic coordinate is missing where it counts.
    pub(super) fn of(
        job: &Job,
        lists: &DatumLists<'_>,
        feature: &'a Feature,
        along: Option<Axis>,
    ) -> Self {
        let unit = job.drawing.unit;
        let limits = feature.size.and_then(|s| s.limits(unit));
        let mut asks = PositionRequirement::all(feature, &job.drawing, lists);
        for ask in &mut asks {
            ask.unjudged = ask.unjudged.take().or(along.map(Unjudged::NominalMissing));
        }
        let needs = asks.iter().map(|a| a.needs(feature.kind));
        let needs = needs.fold([false; 2], |[x, y], [ax, ay]| [x || ax, y || ay]);
        let refused = feature.not_understood.first().cloned().map(Fault::NotUnderstood);
        let limits_fault = (feature.size.is_some() && limits.is_none()).then_some(Fault::Limits);
        let fault = refused.or(limits_fault);
        Self { feature, limits, asks, needs, fault }
    }
}
