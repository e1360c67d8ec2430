//! From coordinates along the orientations' directions to X and Y.
//!
//! Every centre seen in an orientation is one observation of x cos φ + y sin φ. Two square
//! orientations give x and y exactly; more are adjusted by least squares. What the
//! directions cannot give is not measured, never zero.

use crate::quantity::{Axis, Direction, Length};

/// X and Y of a feature, each where the directions it was seen from give it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Coordinates {
    /// X, if measured.
    pub x: Option<Length>,
    /// Y, if measured.
    pub y: Option<Length>,
}

/// Least squares over all observations (direction up, coordinate along it), equal weights.
///
/// Normal equations of two unknowns: with c = cos φ and s = sin φ,
/// [Σc² Σcs; Σcs Σs²] (x, y) = (Σcq, Σsq). They are well conditioned unless the directions
/// nearly agree, which is refused (a determinant below 1e-4 n², about a degree apart).
#[must_use]
pub fn adjust(seen: &[(Direction, Length)]) -> Coordinates {
    let (mut cc, mut cs, mut ss, mut cq, mut sq) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (up, along) in seen {
        let (c, s, q) = (up.cos(), up.sin(), along.to_mm());
        cc += c * c;
        cs += c * s;
        ss += s * s;
        cq += c * q;
        sq += s * q;
    }
    #[allow(clippy::cast_precision_loss, reason = "a count of orientations")]
    let n = seen.len() as f64;
    let det = cc * ss - cs * cs;
    if det > 1e-4 * n * n {
        return Coordinates {
            x: Some(Length::mm((ss * cq - cs * sq) / det)),
            y: Some(Length::mm((cc * sq - cs * cq) / det)),
        };
    }
    // One direction only: it gives a coordinate if it is square to the drawing.
    let along =
        |axis| seen.iter().all(|(up, _)| up.square_axis() == Some(axis)) && !seen.is_empty();
    Coordinates {
        x: along(Axis::X).then(|| Length::mm(cq / cc)),
        y: along(Axis::Y).then(|| Length::mm(sq / ss)),
    }
}
