//! Ranges of nominal sizes (ISO 286-1, main and intermediate ranges).
//!
//! A range goes from above one bound up to and including the next.

use super::Undefined;

/// Upper bounds in mm of the main ranges: those of the tolerance grades and of most deviations.
const MAIN: [f64; 21] = [
    3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0,
    1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0,
];

/// Upper bounds in mm of the intermediate ranges: those of a to c and of r to zc.
const FINE: [f64; 41] = [
    3.0, 6.0, 10.0, 14.0, 18.0, 24.0, 30.0, 40.0, 50.0, 65.0, 80.0, 100.0, 120.0, 140.0, 160.0,
    180.0, 200.0, 225.0, 250.0, 280.0, 315.0, 355.0, 400.0, 450.0, 500.0, 560.0, 630.0, 710.0,
    800.0, 900.0, 1000.0, 1120.0, 1250.0, 1400.0, 1600.0, 1800.0, 2000.0, 2240.0, 2500.0, 2800.0,
    3150.0,
];

/// The ranges a nominal size is in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Size {
    /// Number of its main range, from 0.
    pub(super) main: usize,
    /// Number of its intermediate range, from 0.
    pub(super) fine: usize,
    /// At most 1 mm, where some classes do not exist.
    pub(super) tiny: bool,
}

impl Size {
    /// Finds the ranges of `nominal`, in mm.
    pub(super) fn of(nominal: f64) -> Result<Size, Undefined> {
        if !(nominal.is_finite() && nominal > 0.0) {
            return Err(Undefined::Size);
        }
        let first = |bounds: &[f64]| bounds.iter().position(|&to| nominal <= to);
        match (first(&MAIN), first(&FINE)) {
            (Some(main), Some(fine)) => Ok(Size { main, fine, tiny: nominal <= 1.0 }),
            _ => Err(Undefined::Size),
        }
    }
}

/// Bounds in mm, as (above, up to and including), of the main ranges `first` to `last`.
pub(super) fn span_main(first: usize, last: usize) -> (f64, f64) {
    span(&MAIN, first, last)
}

/// The same for the intermediate ranges.
pub(super) fn span_fine(first: usize, last: usize) -> (f64, f64) {
    span(&FINE, first, last)
}

fn span(bounds: &[f64], first: usize, last: usize) -> (f64, f64) {
    let above = first.checked_sub(1).and_then(|i| bounds.get(i)).copied().unwrap_or(0.0);
    (above, bounds.get(last).copied().unwrap_or(f64::INFINITY))
}
