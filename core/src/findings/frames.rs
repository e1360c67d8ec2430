//! The datum frames of all callouts of a piece.

use crate::adjust::Adjustment;
use crate::frame::Frame;
use crate::job::{DatumRef, Feature, Job};
use rustc_hash::FxHashMap;

/// The frames that a drawing asks for, taken once for each list of datums.
#[derive(Clone, Debug)]
pub struct Frames {
    by_datums: FxHashMap<Vec<DatumRef>, Frame>,
    /// The frame of all datums of the drawing: for what has no callout of its own.
    drawing: Frame,
}

impl Frames {
    /// Takes every frame of the drawing from the adjusted facts of a piece.
    #[must_use]
    pub fn of(job: &Job, bench: &Adjustment) -> Self {
        let mut by_datums: FxHashMap<Vec<DatumRef>, Frame> = FxHashMap::default();
        let callouts = job.drawing.features.iter().flat_map(Feature::positions);
        let lists = callouts.flat_map(|callout| {
            std::iter::once(&callout.datums).chain(callout.lower.iter().map(|s| &s.datums))
        });
        for datums in lists {
            if !by_datums.contains_key(datums) {
                by_datums.insert(datums.clone(), Frame::of(job, datums, bench));
            }
        }
        Self { by_datums, drawing: Frame::of_drawing(job, bench) }
    }

    /// The frame of a callout's datums.
    #[must_use]
    pub fn get(&self, datums: &[DatumRef]) -> &Frame {
        self.by_datums.get(datums).unwrap_or(&self.drawing)
    }

    /// The frame of all datums of the drawing.
    #[must_use]
    pub const fn drawing(&self) -> &Frame {
        &self.drawing
    }
}
