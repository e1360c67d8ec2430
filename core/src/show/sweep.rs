//! Sweeps as they are written.

use super::{Figures, feature_name};
use crate::bench::TouchUncertainty;
use crate::bench::{Tir, faces_up};
use crate::job::{Job, Orientation, Piece};

/// One sweep, in the unit of the readings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SweepText {
    /// Number of the feature.
    pub number: String,
    /// `face T`.
    pub feature: String,
    /// Lowest reading.
    pub lowest: String,
    /// Highest reading.
    pub highest: String,
    /// Highest less lowest.
    pub tir: String,
    /// Standard uncertainty of that, where it is known.
    pub standard: Option<String>,
    /// Whether it is a face that looks up in the orientation, as the drawing has it now.
    pub looks_up: bool,
}

impl SweepText {
    /// In one sentence's words.
    #[must_use]
    pub fn words(&self) -> String {
        let standard =
            self.standard.as_ref().map_or_else(String::new, |u| format!(", u {u} (k = 1)"));
        format!(
            "{}: lowest {}, highest {}, TIR {}{standard}",
            self.feature, self.lowest, self.highest, self.tir
        )
    }
}

/// The sweeps of a piece in one orientation.
#[must_use]
pub fn sweeps(job: &Job, piece: &Piece, orientation: &Orientation) -> Vec<SweepText> {
    let here: Vec<_> =
        piece.sweeps.iter().filter(|s| s.orientation == orientation.number).collect();
    if here.is_empty() {
        return Vec::new();
    }
    let f = Figures::of_readings(job, orientation);
    let touch = TouchUncertainty::of(job, piece).beside(orientation.instrument);
    let up = faces_up(job, orientation);
    here.into_iter()
        .map(|sweep| {
            let found = Tir::of(sweep, f.unit, touch);
            let at = job.drawing.features.iter().position(|x| x.number == sweep.feature);
            let feature = at.and_then(|i| job.drawing.features.get(i));
            let (lowest, highest) = (sweep.lowest.length(f.unit), sweep.highest.length(f.unit));
            SweepText {
                number: sweep.feature.clone(),
                feature: feature.map_or_else(|| sweep.feature.clone(), feature_name),
                lowest: f.exact(lowest).signed(lowest),
                highest: f.exact(highest).signed(highest),
                tir: f.exact(found.tir).plain(found.tir),
                standard: found.standard.map(|u| f.finer(1).plain(u)),
                looks_up: at.is_some_and(|i| up.contains(&i)),
            }
        })
        .collect()
}
