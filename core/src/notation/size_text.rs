//! Limits of size as they are written.

use super::Figures;
use crate::feature::SizeLimits;
use crate::quantity::{NOISE, Unit};

/// Limits of size in the form in which the drawing gives them: `.3750 – .3780`,
/// `6.600 +0.150/0.000`, `10.000 ±0.050`.
#[must_use]
pub fn size_text(size: SizeLimits, unit: Unit, decimals: usize) -> String {
    let f = Figures::new(unit, decimals);
    match size {
        SizeLimits::Limits { lower, upper } => {
            let (lower, upper) = (lower.length(unit), upper.length(unit));
            let f = f.exact(lower).exact(upper);
            format!("{} – {}", f.plain(lower), f.plain(upper))
        }
        SizeLimits::Deviations { nominal, lower, upper } => {
            let (n, lower, upper) = (nominal.length(unit), lower.length(unit), upper.length(unit));
            let f = f.exact(n).exact(lower).exact(upper);
            if (upper + lower).abs() <= NOISE {
                format!("{} ±{}", f.plain(n), f.plain(upper.abs()))
            } else {
                format!("{} {}/{}", f.plain(n), f.signed(upper), f.signed(lower))
            }
        }
        SizeLimits::Class { nominal, class } => {
            // As the drawing has it: 10 H7, and no more decimals than the size needs.
            let n = nominal.length(unit);
            format!("{} {class}", Figures::new(unit, 0).exact(n).plain(n))
        }
    }
}
