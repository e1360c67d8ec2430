//! A sweep: the lowest and the highest reading along a surface.

/// What a sweep found. Heights in mm.
///
/// Its TIR (total indicator reading) is the parallelism of the surface to the plate it was swept
/// over, as far as it was swept: the distance of two planes parallel to the datum that contain it
/// (ISO 1101 and ASME Y14.5, parallelism of a surface).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweep {
    /// Lowest reading.
    pub lowest: f64,
    /// Highest reading.
    pub highest: f64,
}

impl Sweep {
    /// The sweep of single readings; `None` without any, or with one that is not finite.
    #[must_use]
    pub fn of(readings: &[f64]) -> Option<Sweep> {
        let (first, rest) = readings.split_first()?;
        let start = first.is_finite().then_some(Sweep { lowest: *first, highest: *first });
        rest.iter().fold(start, |sweep, r| {
            sweep
                .filter(|_| r.is_finite())
                .map(|s| Sweep { lowest: s.lowest.min(*r), highest: s.highest.max(*r) })
        })
    }

    /// Total indicator reading: highest − lowest, in mm.
    #[must_use]
    pub fn tir(self) -> f64 {
        self.highest - self.lowest
    }
}
