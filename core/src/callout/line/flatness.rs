//! Flatness of a face, by a grid of heights.

use super::{Found, Hangs, LineUnjudged, Part};
use crate::form::{Flatness, Form, Spot, flatness as minimum_zone};
use crate::job::Range;
use crate::quantity::Length;

/// Flatness: the two parallel planes that contain all points and are as close as can be (ISO 1101,
/// 17.3; minimum zone), with the least-squares figure beside it.
///
/// `name` says what it is of. The uncertainty is that of the touches that hold the two planes, by
/// their weights: at the optimum it hangs on no other.
///
/// # Errors
/// Fewer points than four, or all on one line.
pub fn flatness(
    name: &str,
    grid: Option<(&[Spot], usize)>,
    tolerance: Length,
) -> Result<Found, LineUnjudged> {
    if tolerance <= Length::ZERO {
        return Err(LineUnjudged::Tolerance);
    }
    let missing = |what: &str| LineUnjudged::NotMeasured(vec![format!("{what} of {name}")]);
    let Some((spots, instrument)) = grid.filter(|(spots, _)| !spots.is_empty()) else {
        return Err(missing("grid of heights"));
    };
    let flat = match minimum_zone(spots) {
        Ok(Form::Found(flat)) => flat,
        Ok(Form::TooFew { have, need }) => {
            return Err(missing(&format!("{} more heights", need.saturating_sub(have))));
        }
        Ok(Form::OnOneLine | Form::AtOnePlace) => return Err(LineUnjudged::OnOneLine),
        Err(_) => return Err(LineUnjudged::Figures),
    };
    let measured = Length::mm(flat.width);
    let parts = vec![
        Part {
            label: "points".to_owned(),
            figure: None,
            how: vec![format!("{} heights", spots.len()).as_str().into()],
        },
        Part {
            label: "held by".to_owned(),
            figure: None,
            how: vec![
                format!("points {} above, {} below", said(&flat, true), said(&flat, false))
                    .as_str()
                    .into(),
            ],
        },
        Part::length("flatness", measured, vec!["least distance of two planes".into()]),
        Part::length(
            "by least squares",
            Length::mm(flat.least_squares_width),
            vec!["for comparison; not what is judged".into()],
        ),
    ];
    let sides = flat.held.upper.iter().chain(&flat.held.lower);
    let squares: f64 = sides.map(|s| s.weight * s.weight).sum();
    let cosine = flat.middle.cosine();
    let touches = Some(vec![(instrument, squares * cosine * cosine)]);
    let hangs = Hangs { touches, ..Hangs::default() };
    Ok(Found { measured, allowed: Range::up_to(tolerance), zone: true, parts, hangs })
}

/// The points of one side, counted from 1.
fn said(flat: &Flatness, upper: bool) -> String {
    let side = if upper { &flat.held.upper } else { &flat.held.lower };
    let mut numbers: Vec<usize> = side.iter().map(|s| s.index + 1).collect();
    numbers.sort_unstable();
    numbers.iter().map(usize::to_string).collect::<Vec<_>>().join(", ")
}
