//! Which slots and tabs need the basic coordinate along themselves too.
//!
//! Of a slot only the coordinate across it is measured. In a frame that is turned the one along it
//! counts as well, by the small angle, and so it does where the slot stops the rotation: the
//! drawing must give it.

use crate::frame::turned_by;
use crate::job::{DatumRef, Feature, Job, Kind};
use crate::quantity::Axis;
use rustc_hash::{FxHashMap, FxHashSet};

/// What the callouts of a drawing make of its slots and tabs.
#[derive(Debug, Default)]
pub(super) struct Along<'a> {
    /// Lists of datum letters, and whether their frame is turned.
    turned: FxHashMap<Vec<&'a str>, bool>,
    /// Features that stop the rotation of a frame.
    stops: FxHashSet<usize>,
    /// Whether the frame of all letters is turned, which serves where there is no callout.
    whole: bool,
}

impl<'a> Along<'a> {
    pub(super) fn of(job: &'a Job) -> Self {
        let mut along = Self::default();
        if !job.drawing.features.iter().any(|f| matches!(f.kind, Kind::Slot | Kind::Tab)) {
            return along;
        }
        for position in job.drawing.features.iter().flat_map(Feature::positions) {
            along.turned.entry(letters(&position.datums)).or_insert_with(|| {
                let named: Vec<String> = position.datums.iter().map(|d| d.letter.clone()).collect();
                let by = turned_by(job, &named);
                let turned = by.is_some();
                along.stops.extend(by.into_iter().flatten());
                turned
            });
        }
        let all: Vec<String> = job.drawing.datums.iter().map(|d| d.letter.clone()).collect();
        along.whole = turned_by(job, &all).is_some();
        along
    }

    /// The axis along which the feature with this index must have a basic coordinate beside its own
    /// one, and has none.
    pub(super) fn missing(&self, index: usize, feature: &Feature) -> Option<Axis> {
        lacking(feature).filter(|_| self.stops.contains(&index) || self.turned(feature))
    }

    /// The same, where its own position cannot be judged for it.
    pub(super) fn unplaced(&self, feature: &Feature) -> Option<Axis> {
        lacking(feature).filter(|_| self.turned(feature))
    }

    /// Whether the frame of the feature is turned.
    fn turned(&self, feature: &Feature) -> bool {
        match feature.position() {
            Some(_) => feature
                .positions()
                .any(|p| self.turned.get(&letters(&p.datums)).copied().unwrap_or(false)),
            None => self.whole,
        }
    }
}

fn letters(datums: &[DatumRef]) -> Vec<&str> {
    datums.iter().map(|d| d.letter.as_str()).collect()
}

/// The axis along a slot or tab, if the drawing gives no coordinate there.
fn lacking(feature: &Feature) -> Option<Axis> {
    if !matches!(feature.kind, Kind::Slot | Kind::Tab) {
        return None;
    }
    let axis = feature.plane_axis()?.other();
    let there = match axis {
        Axis::X => feature.x.is_some(),
        Axis::Y => feature.y.is_some(),
    };
    (!there).then_some(axis)
}
