//! Sizes: what was measured, what counts, and the bonus it earns.

use super::document::{Document, Feature, Modifier, Piece};
use super::uncertainty::mean;

/// Sizes of a feature, by orientation index.
pub(crate) fn measured(job: &Document, piece: &Piece, feature: usize) -> Vec<(usize, f64)> {
    let f = &job.features[feature];
    piece
        .readings
        .iter()
        .filter(|r| r.feature == feature)
        .filter_map(|r| {
            let o = &job.orientations[r.orientation];
            let k = job.instruments[o.instrument].probe;
            let size = if o.touches && !r.low.is_empty() && !r.high.is_empty() {
                // A hole's top and a boss's bottom are touched from below.
                mean(&r.high) - mean(&r.low) + if f.kind.is_internal() { k } else { -k }
            } else if !r.size.is_empty() {
                mean(&r.size)
            } else {
                return None;
            };
            Some((r.orientation, size))
        })
        .collect()
}

/// The size that counts for most or for least material.
pub(crate) fn counts(f: &Feature, sizes: &[(usize, f64)], least_material: bool) -> Option<f64> {
    let smaller = f.kind.is_internal() != least_material;
    sizes.iter().map(|s| s.1).reduce(if smaller { f64::min } else { f64::max })
}

/// Distance of the worst size to its nearer limit, negative outside.
pub(crate) fn margin(f: &Feature, sizes: &[(usize, f64)]) -> Option<f64> {
    let [lower, upper] = f.limits?;
    sizes.iter().map(|s| (s.1 - lower).min(upper - s.1)).reduce(f64::min)
}

/// What arithmetic cannot resolve is no difference.
pub(crate) const TIE: f64 = 1e-9;

/// The bonus: from nothing up to the size tolerance; `None` where it needs a size and there is none.
pub(crate) fn bonus(f: &Feature, sizes: &[(usize, f64)], modifier: Modifier) -> Option<f64> {
    if modifier == Modifier::None {
        return Some(0.0);
    }
    let [lower, upper] = f.limits?;
    if margin(f, sizes)? < -TIE {
        return Some(0.0);
    }
    let size = counts(f, sizes, modifier == Modifier::Lmc)?;
    let departs = if f.kind.is_internal() == (modifier == Modifier::Mmc) {
        size - lower
    } else {
        upper - size
    };
    Some(departs.clamp(0.0, upper - lower))
}
