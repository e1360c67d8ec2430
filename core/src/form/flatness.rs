//! Flatness of a surface from heights over it.

use super::found::finite;
use super::plane::Normal;
use super::{Form, NotFinite, Plane, ZoneSupports, zone};

/// A height of a surface. In mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Place over the plate.
    pub x: f64,
    /// Place over the plate, at right angles to x.
    pub y: f64,
    /// Height, along the gauge.
    pub height: f64,
}

/// Flatness of a surface, as far as it was touched.
#[derive(Clone, Debug, PartialEq)]
pub struct Flatness {
    /// Minimum zone flatness in mm: the distance, at right angles to them, of the two parallel
    /// planes found.
    pub width: f64,
    /// Their distance along the height, which is what was made as small as can be.
    pub along_height: f64,
    /// The plane midway between them.
    pub middle: Plane,
    /// The points that hold them, with the proof that no tilt brings the planes closer along the
    /// height.
    pub held: ZoneSupports,
    /// The least-squares plane of the heights.
    pub least_squares: Plane,
    /// Least-squares flatness in mm: from the lowest to the highest point above that plane, at
    /// right angles to it.
    pub least_squares_width: f64,
}

/// Points that any plane can go through.
const NEED: usize = 4;

/// The flatness of a surface: two parallel planes with all points between them, as close as can
/// be (ISO 1101 flatness, minimum zone; ISO 12781-1), beside the least-squares one.
///
/// Made as small as can be is the distance along the height, over all tilts: that problem is
/// convex and its answer exact. It is then turned into the distance at right angles by the cosine
/// of the planes found, exactly. Slopes of a part on a plate are small: among all planes no steeper
/// than a slope s, none are closer by more than a share s²/2 of the flatness. At 1 mm in 100 mm that
/// is 0.005 %.
///
/// Duplicates and ties are fine. `Form::TooFew` below four points; `Form::OnOneLine` where the
/// extent across is less than a millionth of that along: that is a
/// [`straightness`](super::straightness).
///
/// # Errors
/// The first point with a number that is not finite.
///
/// ```
/// # use quarterturn_core::form::{Spot, flatness};
/// // A saddle: two corners up, two down.
/// let spot = |x: f64, y: f64, height| Spot { x, y, height };
/// let corners =
///     [spot(0.0, 0.0, 0.01), spot(80.0, 0.0, 0.0), spot(80.0, 50.0, 0.01), spot(0.0, 50.0, 0.0)];
/// let flat = flatness(&corners)?.found().unwrap();
/// assert!((flat.width - 0.01).abs() < 1e-15);
/// # Ok::<(), quarterturn_core::form::NotFinite>(())
/// ```
pub fn flatness(spots: &[Spot]) -> Result<Form<Flatness>, NotFinite> {
    finite(spots.iter().map(|s| [s.x, s.y, s.height]))?;
    if spots.len() < NEED {
        return Ok(Form::TooFew { have: spots.len(), need: NEED });
    }
    let points: Vec<[f64; 3]> = spots.iter().map(|s| [s.x, s.y, s.height]).collect();
    Ok(over(&points).map_or(Form::OnOneLine, Form::Found))
}

fn over(points: &[[f64; 3]]) -> Option<Flatness> {
    let normal = Normal::of(points)?;
    let least_squares = normal.original(0.0, [0.0; 2]);
    let rest = normal.points.iter().map(|p| p[2]);
    let (low, high) =
        rest.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), h| (low.min(h), high.max(h)));
    let least = zone::least(&normal.points)?;
    let along_height = least.to - least.from;
    let middle = normal.original(0.5 * (least.from + least.to), least.slope);
    Some(Flatness {
        width: along_height * middle.cosine(),
        along_height,
        middle,
        held: least.held,
        least_squares,
        least_squares_width: (high - low) * least_squares.cosine(),
    })
}
