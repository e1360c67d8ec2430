//! Variances of what is touched, in mm² (JCGM 100; a uniform distribution of half width a has a²/3).

use super::document::{Document, Instrument, Piece, Reading};

/// Variance of the error of the gauge and of its display at a height.
fn gauge(i: &Instrument, height: f64) -> f64 {
    let a = i.error_limit + i.error_growth * height.abs();
    a * a / 3.0 + i.resolution * i.resolution / 12.0
}

/// Standard deviation of a single touch of each instrument: stated, or pooled from the repeats (which of
/// the two counts is common practice, no source).
pub(crate) fn repeatabilities(job: &Document, piece: &Piece) -> Vec<f64> {
    (0..job.instruments.len())
        .map(|i| {
            let (mut squares, mut degrees) = (0.0, 0.0);
            for r in &piece.readings {
                if job.orientations[r.orientation].instrument != i {
                    continue;
                }
                for touches in [&r.low, &r.high, &r.centre, &r.size, &r.face] {
                    if touches.len() > 1 {
                        let m = mean(touches);
                        squares += touches.iter().map(|t| (t - m) * (t - m)).sum::<f64>();
                        degrees += touches.len() as f64 - 1.0;
                    }
                }
            }
            // Repeats that agree better than the display tells may differ by as much as it hides.
            let hidden = job.instruments[i].resolution / libm::sqrt(12.0);
            let seen = (degrees > 0.0).then(|| libm::sqrt(squares / degrees).max(hidden));
            match (job.instruments[i].repeatability, seen) {
                // Repeats replace what is stated where they are many, or show more of it.
                (Some(stated), Some(seen))
                    if seen > hidden && (degrees >= 5.0 || seen > stated) =>
                {
                    seen
                }
                (Some(stated), _) => stated,
                (None, seen) => seen.unwrap_or(0.0),
            }
        })
        .collect()
}

/// Variance of the mean of the repeats of one touch.
pub(crate) fn touch(i: &Instrument, repeatability: f64, repeats: &[f64]) -> f64 {
    gauge(i, mean(repeats)) + repeatability * repeatability / repeats.len() as f64
}

/// Variance of setting a zero by one touch.
pub(crate) fn zero(i: &Instrument, repeatability: f64) -> f64 {
    gauge(i, 0.0) + repeatability * repeatability
}

/// Variance with which a face rests on the plate or on blocks, beside that of the zero at the plate: as
/// stated; if nothing is stated, zero and rest are one touch.
pub(crate) fn rest(job: &Document) -> f64 {
    job.rest_standard.map_or(1e-14, |stated| (stated * stated).max(1e-14))
}

/// Variance that the flatness of the plate gives to each height above it.
pub(crate) fn plate(job: &Document) -> f64 {
    job.plate_flatness * job.plate_flatness / 12.0
}

/// The arithmetic mean.
pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Whether both ends of a feature of size were touched, or its centre was given.
pub(crate) fn gives_centre(r: &Reading) -> bool {
    !r.centre.is_empty() || (!r.low.is_empty() && !r.high.is_empty())
}
