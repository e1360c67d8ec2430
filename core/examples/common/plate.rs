//! The made-up plate of the benchmarks.

use crate::lot::Lot;
use quarterturn_core::job::{
    Callout, DatumRef, Feature, Job, Kind, Modifier, Piece, Position, Reading, SizeLimits,
};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_core::{Findings, evaluate};

/// A plate with a grid of holes and bosses, 10 mm apart, measured with small deviations; `off` is
/// added to every reading, in millimetres.
pub(crate) fn plate(features: usize, pieces: usize, off: f64) -> Job {
    let mut job = Job::empty(Unit::Mm);
    let columns = 100.min(features);
    let mut lot = Lot(1);
    let mut readings = Vec::with_capacity(2 * features);
    for i in 0..features {
        let number = (i + 1).to_string();
        let at = [i % columns, i / columns]
            .map(|k| 10.0 + 10.0 * f64::from(u32::try_from(k).unwrap_or(0)));
        let kind = if i % 5 == 4 { Kind::Boss } else { Kind::Hole };
        for (orientation, nominal) in [(1, at[1]), (2, at[0])] {
            let centre = nominal + 0.05 * lot.next() + off;
            let half = (6.05 + 0.04 * lot.next()) / 2.0;
            let thousandths = |v: f64| Figure((v * 1000.0).round() / 1000.0);
            readings.push(Reading {
                orientation,
                feature: number.clone(),
                low: vec![thousandths(centre - half)],
                high: vec![thousandths(centre + half)],
                ..Reading::default()
            });
        }
        job.drawing.features.push(Feature {
            number,
            kind,
            x: Some(Figure(at[0])),
            y: Some(Figure(at[1])),
            size: Some(SizeLimits::Limits { lower: Figure(6.0), upper: Figure(6.1) }),
            callouts: vec![Callout::Position(Position {
                tolerance: Figure(0.1),
                modifier: Modifier::Mmc,
                datums: DatumRef::all(&["A", "B", "C"]),
                ..Position::default()
            })],
            ..Feature::default()
        });
    }
    job.pieces = (0..pieces)
        .map(|i| Piece {
            serial: (i + 1).to_string(),
            readings: readings.clone(),
            ..Piece::default()
        })
        .collect();
    let found: Findings = evaluate(&job);
    let seen = found.pieces.iter().map(|p| p.tally.conform + p.tally.fail).sum::<usize>();
    assert_eq!(
        seen,
        features * pieces,
        "every feature must be judged, or the figures mean nothing"
    );
    job
}
