//! Perpendicularity of an edge to another one, by what is known of the squareness of the piece.

use super::{Found, Hangs, LineUnjudged, Part, Seen};
use crate::job::Range;
use crate::quantity::Length;

/// Perpendicularity of a face: two planes square to the datum that contain it, as far apart as it
/// leans over its length (ISO 1101, 17.10).
///
/// `leans` is how far one end lies farther out of the material than the other, over a length:
/// absent where it was not measured. `length` is that of the edge, where the outline gives it;
/// else what it leans over the length measured counts. A straight edge is taken for granted.
///
/// # Errors
/// A feature that is no face; a squareness that was not measured, or stated over no length.
pub fn perpendicularity(
    of: &Seen,
    to: &Seen,
    leans: Option<(Length, Length)>,
    length: Option<Length>,
    tolerance: Length,
) -> Result<Found, LineUnjudged> {
    if tolerance <= Length::ZERO {
        return Err(LineUnjudged::Tolerance);
    }
    if of.index == to.index {
        return Err(LineUnjudged::Twice(of.name.clone()));
    }
    if of.face()?.axis() == to.face()?.axis() {
        return Err(LineUnjudged::WrongKind(of.name.clone(), "face that stands on the other one"));
    }
    let Some((out, over)) = leans else {
        let what = format!("squareness of {} to {}", of.name, to.name);
        return Err(LineUnjudged::NotMeasured(vec![what]));
    };
    if over <= Length::ZERO {
        return Err(LineUnjudged::NoLength(of.name.clone()));
    }
    let length = length.filter(|l| *l > Length::ZERO);
    let times = length.map_or(1.0, |l| l.to_mm() / over.to_mm());
    let measured = (out * times).abs();
    let mut parts = vec![Part::signed(
        "leans",
        out,
        vec!["farther out, over ".into(), over.into(), ", measured".into()],
    )];
    let how = match length {
        Some(l) => {
            vec![out.abs().into(), " × ".into(), l.into(), " ÷ ".into(), over.into()]
        }
        None => vec!["over the length measured: the outline is not known".into()],
    };
    parts.push(Part::length("perpendicularity", measured, how));
    // How the squareness was found is not in the document.
    let hangs = Hangs { touches: None, ..Hangs::default() };
    Ok(Found { measured, allowed: Range::up_to(tolerance), zone: true, parts, hangs })
}
