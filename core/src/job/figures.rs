//! Which decimals the figures of a job are written with.

use super::{Drawing, Instrument, Job, Orientation};
use crate::notation::Figures;
use crate::quantity::Unit;

impl Figures {
    /// Basic dimensions, limits and tolerances: with the drawing's decimals.
    #[must_use]
    pub const fn of_drawing(drawing: &Drawing) -> Self {
        Self::new(drawing.unit, drawing.decimals as usize)
    }

    /// Results: the drawing's decimals, or one more where the drawing writes fewer than four in
    /// inches or three in millimetres.
    #[must_use]
    pub const fn of_results(drawing: &Drawing) -> Self {
        let enough = match drawing.unit {
            Unit::Mm => 3,
            Unit::Inch => 4,
        };
        let decimals = drawing.decimals as usize;
        Self::new(drawing.unit, if decimals < enough { decimals + 1 } else { decimals })
    }

    /// Readings: as many decimals as the gauge's resolution has.
    #[must_use]
    pub fn of_readings(job: &Job, orientation: &Orientation) -> Self {
        match job.instrument(orientation) {
            Some(instrument) => Self::of_instrument(instrument),
            None => Self::of_resolution(job.drawing.unit, 0.0),
        }
    }

    /// What a gauge shows: as many decimals as its resolution has.
    #[must_use]
    pub fn of_instrument(instrument: &Instrument) -> Self {
        Self::of_resolution(instrument.unit, instrument.resolution.0)
    }
}
