//! Did the part stand as stated? A mirrored or turned pattern shows in the heights themselves.

use crate::quantity::{Direction, Length, Point, Side};

/// The stated direction does not fit the heights, and another one does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandsOtherwise {
    /// The direction that fits.
    pub fits: Side,
    /// Root mean square of what is left with the direction that was stated.
    pub stated: Length,
    /// The same with the direction that fits.
    pub found: Length,
}

/// Compares the centre heights of one orientation with all four ways to stand.
///
/// The offset is left free, so that only the pattern speaks. `None` where the stated way fits
/// well, where no other fits far better (a fifth of what is left, at most), or where fewer than
/// three features were seen. The factor is common practice, no source.
#[must_use]
pub fn stands_otherwise(seen: &[(Point, Length)], stated: Direction) -> Option<StandsOtherwise> {
    if seen.len() < 3 {
        return None;
    }
    let rms = |up: Direction| {
        #[allow(clippy::cast_precision_loss, reason = "a count of features")]
        let n = seen.len() as f64;
        let left = |(p, h): &(Point, Length)| (*h - p.along(up)).to_mm();
        let mean = seen.iter().map(left).sum::<f64>() / n;
        Length::mm(
            (seen.iter().map(|s| (left(s) - mean) * (left(s) - mean)).sum::<f64>() / n).sqrt(),
        )
    };
    let was = rms(stated);
    if was < Length::mm(0.25) {
        return None;
    }
    let best = Side::ALL
        .into_iter()
        .map(|side| (side, rms(side.direction())))
        .min_by(|a, b| a.1.to_mm().total_cmp(&b.1.to_mm()))?;
    (best.1 * 5.0 < was).then_some(StandsOtherwise { fits: best.0, stated: was, found: best.1 })
}
