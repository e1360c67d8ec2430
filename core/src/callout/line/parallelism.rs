//! Parallelism of a face to the one that carries the part, by a sweep.

use super::{Found, Hangs, LineUnjudged, Part, Seen};
use crate::form::Sweep;
use crate::job::Range;
use crate::quantity::Length;

/// Parallelism of a face: two planes parallel to the datum that contain it, as far apart as the
/// highest reading of a sweep over it less the lowest (ISO 1101, 17.9).
///
/// `swept` holds the number of the orientation, the sweep and the index of the instrument, of each
/// sweep over the face while it lay on its datum; the worst counts.
///
/// # Errors
/// A feature that is no face; a face that was not swept.
pub fn parallelism(
    of: &Seen,
    to: Option<&Seen>,
    swept: &[(u32, Sweep, usize)],
    tolerance: Length,
) -> Result<Found, LineUnjudged> {
    if tolerance <= Length::ZERO {
        return Err(LineUnjudged::Tolerance);
    }
    let side = of.face()?;
    if let Some(to) = to {
        if to.index == of.index {
            return Err(LineUnjudged::Twice(to.name.clone()));
        }
        if to.face()?.axis() != side.axis() {
            return Err(LineUnjudged::Across(of.name.clone(), to.name.clone()));
        }
    }
    let worst = swept.iter().max_by(|a, b| a.1.tir().total_cmp(&b.1.tir()));
    let Some((orientation, sweep, instrument)) = worst else {
        return Err(LineUnjudged::NotMeasured(vec![format!("sweep over {}", of.name)]));
    };
    if sweep.tir() < 0.0 {
        return Err(LineUnjudged::Figures);
    }
    let measured = Length::mm(sweep.tir());
    let (high, low) = (Length::mm(sweep.highest), Length::mm(sweep.lowest));
    let swept = format!("swept in orientation {orientation}");
    let parts = vec![
        Part::length("highest", high, vec![swept.as_str().into()]),
        Part::length("lowest", low, vec![swept.as_str().into()]),
        Part::length("parallelism", measured, vec![high.into(), " − ".into(), low.into()]),
    ];
    let touches = Some(vec![(*instrument, 2.0)]);
    let hangs = Hangs { touches, ..Hangs::default() };
    Ok(Found { measured, allowed: Range::up_to(tolerance), zone: true, parts, hangs })
}
