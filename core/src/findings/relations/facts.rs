//! What was measured of a piece, for the kinds of relations to ask.

use super::Bench;
use crate::bench::carries;
use crate::findings::Fault;
use crate::form::{Spot, Sweep};
use crate::frame::Frame;
use crate::job::{Feature, Orientation, Relation};
use crate::quantity::{Axis, Figure, Length, Side, Unit};
use crate::relation::{Facts, Heights, Lean, MeasuredFeature, MeasuredSize, MeasuredSweep, Reason};

/// What was measured, for one relation.
pub(super) struct PieceFacts<'r, 'a> {
    pub(super) bench: &'r Bench<'a>,
    pub(super) relation: &'r Relation,
    /// The frame that it counts in.
    pub(super) frame: &'r Frame,
    /// What it is about.
    pub(super) name: &'r str,
}

impl Facts for PieceFacts<'_, '_> {
    fn unit(&self) -> Unit {
        self.bench.job.drawing.unit
    }

    fn name(&self) -> &str {
        self.name
    }

    fn feature(&self, number: &str) -> Result<MeasuredFeature, Reason> {
        self.measured(number)
    }

    fn edge_length(&self, side: Side) -> Option<Length> {
        let outline = self.bench.job.drawing.outline?;
        let length = match side.axis() {
            Axis::X => outline.height(),
            Axis::Y => outline.width(),
        };
        Some(length.length(self.unit()))
    }

    /// One of the two carries the part in an orientation whose squareness is stated, and the other in
    /// the one that it was measured against.
    fn lean(&self, of: &str, to: &str) -> Option<Lean> {
        let job = self.bench.job;
        let known = self.bench.piece.squareness.iter().find_map(|s| {
            let edge = self.carrier(job.orientation(s.orientation)?)?;
            let reference = self.carrier(job.orientation(s.reference(&job.plan)?)?)?;
            let pair = (edge.number.as_str(), reference.number.as_str());
            (pair == (of, to) || pair == (to, of)).then_some(*s)
        })?;
        let unit = self.unit();
        Some(Lean {
            farther_out: known.farther_out.length(unit),
            over: known.over.length(unit),
            standard: known.standard.map(|s| s.length(unit).abs()),
        })
    }

    fn sweeps(&self, of: &str, to: Option<&str>) -> Vec<MeasuredSweep> {
        let Bench { job, piece, .. } = self.bench;
        let across = |o: &Orientation| {
            let axis = self.bench.feature(of).and_then(|(_, f)| f.plane_axis());
            axis.is_some() && o.up().square_axis() == axis
        };
        let lay = |o: &Orientation| {
            to.is_none_or(|to| self.bench.feature(to).is_some_and(|(_, f)| carries(job, o, f)))
        };
        let swept = piece.sweeps.iter().filter(|s| s.feature == of);
        swept
            .filter_map(|s| Some((s, job.orientation(s.orientation)?)))
            .filter(|(_, o)| across(o) && lay(o))
            .map(|(s, o)| {
                let unit = job.reading_unit(o);
                let mm = |figure: Figure| figure.length(unit).to_mm();
                let sweep = Sweep { lowest: mm(s.lowest), highest: mm(s.highest) };
                MeasuredSweep { orientation: o.number, instrument: o.instrument, sweep }
            })
            .collect()
    }

    fn heights(&self) -> Option<Heights> {
        let grid = self.bench.piece.grid(&self.relation.number)?;
        let instrument = self.bench.job.plan.instruments.get(grid.instrument);
        let unit = instrument.map_or(self.unit(), |i| i.unit);
        let spot = |point: &[Figure; 3]| {
            let [x, y, height] = point.map(|f| f.length(unit).to_mm());
            Spot { x, y, height }
        };
        Some(Heights {
            points: grid.points.iter().map(spot).collect(),
            instrument: grid.instrument,
        })
    }
}

impl PieceFacts<'_, '_> {
    /// What was measured of a feature.
    pub(super) fn measured(&self, number: &str) -> Result<MeasuredFeature, Reason> {
        let bench = self.bench;
        let unknown = || Reason::UnknownFeature(number.to_owned());
        let (index, feature) = bench.feature(number).ok_or_else(unknown)?;
        let found = bench.features.get(index).ok_or_else(unknown)?;
        // Limits that make no sense are no matter here, nor is what was typed for a size or a
        // callout: what was measured counts.
        let at_fault = match &found.fault {
            None | Some(Fault::Limits) => false,
            Some(Fault::Number | Fault::Touches) => true,
            Some(Fault::NotUnderstood(_)) => {
                feature.not_understood.iter().any(|n| n.field.places())
            }
        };
        if at_fault {
            return Err(Reason::AtFault(feature.name()));
        }
        let unit = self.unit();
        let located = self.frame.locate(bench.job, &bench.measured.bench, index);
        let at = located.coordinates.map(|c| c.map(|c| c.value));
        let read = bench.measured.bench.facts().read.get(index).copied().unwrap_or_default();
        let sizes = found.size.seen.iter();
        let sizes = sizes.map(|s| MeasuredSize { mm: s.size.to_mm(), orientation: s.orientation });
        let sizes = sizes.fold(None, |range: Option<[MeasuredSize; 2]>, size| {
            let [least, most] = range.unwrap_or([size; 2]);
            let least = if size.mm < least.mm { size } else { least };
            let most = if size.mm > most.mm { size } else { most };
            Some([least, most])
        });
        Ok(MeasuredFeature {
            index,
            name: feature.name(),
            kind: feature.kind,
            plane: feature.plane_axis(),
            looks: feature.looks,
            at,
            read,
            basic: [Axis::X, Axis::Y].map(|axis| feature.basic(axis, unit).map(Length::to_mm)),
            sizes,
            has_limits: found.size.limits.is_some(),
        })
    }

    /// The face that carries the part in an orientation.
    fn carrier(&self, o: &Orientation) -> Option<&Feature> {
        self.bench.job.drawing.features.iter().find(|f| carries(self.bench.job, o, f))
    }
}
