//! What the position callouts of one feature ask, segment by segment.

use super::DatumLists;
use crate::callout::{Asked, Segment, Unjudged, Zone};
use crate::job::{Callout, DatumRef, Drawing, Feature, Kind, Modifier, Position};
use crate::quantity::{Axis, Length, Unit};

/// One segment of one position callout.
#[derive(Clone, Debug)]
pub(super) struct PositionRequirement<'a> {
    /// Which callout and which segment of it.
    pub(super) segment: Segment,
    /// The callout it belongs to.
    pub(super) callout: &'a Position,
    zone: Zone,
    tolerance: Length,
    /// The datums of this segment, and the index of their list.
    pub(super) datums: &'a [DatumRef],
    pub(super) list: Option<usize>,
    /// Why the drawing alone makes it impossible to judge.
    pub(super) unjudged: Option<Unjudged>,
}

impl<'a> PositionRequirement<'a> {
    /// All segments of a feature, the first callout first.
    pub(super) fn all(
        feature: &'a Feature,
        drawing: &Drawing,
        lists: &DatumLists<'_>,
    ) -> Vec<Self> {
        let mut asks = Vec::new();
        for (index, Callout::Position(callout)) in feature.callouts.iter().enumerate() {
            let upper = (callout.tolerance, callout.datums.as_slice());
            let lower = callout.lower.iter().map(|s| (s.tolerance, s.datums.as_slice()));
            for (number, (tolerance, datums)) in std::iter::once(upper).chain(lower).enumerate() {
                let mut ask = Self {
                    segment: Segment { callout: index, number },
                    callout,
                    zone: zone(feature, callout),
                    tolerance: tolerance.length(drawing.unit),
                    datums,
                    list: lists.index(datums),
                    unjudged: None,
                };
                ask.unjudged = ask.refused(feature, drawing.unit);
                asks.push(ask);
            }
        }
        asks
    }

    /// The same for the function that judges it.
    pub(super) fn asked(&self, kind: Kind) -> Asked<'a> {
        Asked {
            kind,
            segment: self.segment,
            zone: self.zone,
            tolerance: self.tolerance,
            modifier: self.callout.modifier,
            datums: self.datums,
        }
    }

    /// Which coordinates it needs.
    pub(super) fn needs(&self, kind: Kind) -> [bool; 2] {
        match self.zone {
            _ if kind == Kind::Face => [false, false],
            Zone::Round => [true, true],
            Zone::Planes(axis) => [axis == Axis::X, axis == Axis::Y],
        }
    }

    fn refused(&self, feature: &Feature, unit: Unit) -> Option<Unjudged> {
        let modifier = self.callout.modifier != Modifier::None;
        let limits = feature.size.and_then(|s| s.limits(unit));
        let zero_at_modifier = modifier && self.tolerance == Length::ZERO;
        let needs = self.needs(feature.kind);
        let across = |axis| feature.plane_axis().is_some_and(|own| own != axis);
        if feature.kind == Kind::Face {
            Some(Unjudged::OfFace)
        } else if self.tolerance <= Length::ZERO && !zero_at_modifier {
            Some(Unjudged::Tolerance)
        } else if modifier && limits.is_none() {
            Some(Unjudged::ModifierWithoutLimits)
        } else if needs[0] && feature.x.is_none() {
            Some(Unjudged::NominalMissing(Axis::X))
        } else if needs[1] && feature.y.is_none() {
            Some(Unjudged::NominalMissing(Axis::Y))
        } else if matches!(self.zone, Zone::Planes(axis) if across(axis)) {
            Some(Unjudged::AlongThePlane)
        } else {
            None
        }
    }
}

/// The zone of a callout: two planes across a slot or tab, or across the axis that it names.
fn zone(feature: &Feature, callout: &Position) -> Zone {
    let own = match feature.kind {
        Kind::Slot | Kind::Tab => feature.across,
        _ => None,
    };
    callout.along.or(own).map_or(Zone::Round, Zone::Planes)
}
