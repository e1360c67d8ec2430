//! The place of a row: X and Y, or radius and angle from the origin of the drawing.

use super::Column;
use super::row::Cells;
use crate::entry::{EntryError, degrees, number, refuse};
use crate::quantity::{Figure, Unit};

/// Basic X and Y; one that the row does not give is absent.
pub(super) fn place(cells: &Cells<'_>, unit: Unit) -> Result<[Option<Figure>; 2], EntryError> {
    let figure = |column: Column| -> Result<Option<Figure>, EntryError> {
        let Some(text) = cells.figure(column) else { return Ok(None) };
        number(text, unit).map(Some).map_err(|e| EntryError(format!("{}: {e}", column.words())))
    };
    let [x, y] = [figure(Column::X)?, figure(Column::Y)?];
    let radius = match (figure(Column::Radius)?, figure(Column::PitchDiameter)?) {
        (Some(_), Some(_)) => {
            return refuse("It has a radius and a pitch circle diameter: one of them is enough.");
        }
        (None, Some(diameter)) => Some(Figure(0.5 * diameter.0)),
        (radius, None) => radius,
    };
    let angle = cells.figure(Column::Angle).map(degrees).transpose()?;
    match (radius, angle) {
        (None, None) => Ok([x, y]),
        (Some(_), Some(_)) if x.is_some() || y.is_some() => refuse(
            "Its place is given twice, by X and Y and by radius and angle. Set two of the columns to “not used”.",
        ),
        (Some(radius), Some(angle)) if radius.0 >= 0.0 => Ok(polar(radius, angle).map(Some)),
        (Some(_), Some(_)) => refuse("A radius is not negative."),
        (Some(_), None) => refuse("It has a radius and no angle."),
        (None, Some(_)) => refuse("It has an angle and no radius."),
    }
}

/// X and Y of a radius and an angle in degrees; exact where the angle is a multiple of 90.
fn polar(radius: Figure, degrees: f64) -> [Figure; 2] {
    let quarters = (degrees / 90.0).round();
    let rest = (degrees - 90.0 * quarters).to_radians();
    let (along, across) = (libm::cos(rest), libm::sin(rest));
    let [x, y] = match quarters.rem_euclid(4.0) {
        0.0 => [along, across],
        1.0 => [-across, along],
        2.0 => [-along, -across],
        _ => [across, -along],
    };
    // What binary makes of a sine must not show: to a billionth of the unit.
    [x, y].map(|share| Figure((radius.0 * share * 1e9).round() / 1e9 + 0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_on_a_circle() {
        for (degrees, wanted) in [
            (0.0, [25.0, 0.0]),
            (30.0, [21.650_635_095, 12.5]),
            (90.0, [0.0, 25.0]),
            (120.0, [-12.5, 21.650_635_095]),
            (180.0, [-25.0, 0.0]),
            (-90.0, [0.0, -25.0]),
            (330.0, [21.650_635_095, -12.5]),
        ] {
            assert_eq!(polar(Figure(25.0), degrees), wanted.map(Figure), "{degrees}");
        }
    }
}
