//! Heights over a face or along an edge, pasted or typed: a row for each place.

use super::{EntryError, number, refuse};
use crate::job::BOUNDS;
use crate::quantity::{Figure, Unit};
use crate::relation::HeightsOver;

/// Reads places and heights, one a row: x, y and the height, with tabs, blanks or semicolons
/// between them. Along an edge one figure can say where: the place along it, which is taken for x.
/// Rows without anything are passed over; nothing at all is no grid.
///
/// # Errors
/// The first row that is not understood, by its number; or more rows than [`BOUNDS`] allows.
pub fn grid(text: &str, unit: Unit, over: HeightsOver) -> Result<Vec<[Figure; 3]>, EntryError> {
    let mut points = Vec::new();
    for (row, line) in text.lines().enumerate() {
        let cells = line.split(|c: char| c.is_whitespace() || c == ';');
        let cells: Vec<&str> = cells.filter(|c| !c.is_empty()).collect();
        let [x, y, height] = match cells.as_slice() {
            [] => continue,
            [x, height] if over == HeightsOver::Edge => [*x, "0", *height],
            [x, y, height] => [*x, *y, *height],
            some => {
                let how = match over {
                    HeightsOver::Face => "x, y and the height, as in 10 20 0.003",
                    HeightsOver::Edge => "the place along the edge and the height, as in 10 0.003",
                };
                return refuse(format!("Row {} has {} figures. Write {how}.", row + 1, some.len()));
            }
        };
        let figure = |text: &str| {
            number(text, unit).map_err(|e| EntryError(format!("Row {}: {e}", row + 1)))
        };
        if points.len() == BOUNDS.grid_points {
            return refuse(format!("A grid has {} points at most.", BOUNDS.grid_points));
        }
        points.push([figure(x)?, figure(y)?, figure(height)?]);
    }
    Ok(points)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn over_face(text: &str, unit: Unit) -> Result<Vec<[Figure; 3]>, EntryError> {
        grid(text, unit, HeightsOver::Face)
    }

    #[test]
    fn rows_as_a_spreadsheet_gives_them() {
        let points = Ok(vec![
            [Figure(0.0), Figure(0.0), Figure(0.003)],
            [Figure(80.0), Figure(0.0), Figure(-0.001)],
        ]);
        assert_eq!(over_face("0\t0\t0.003\n80\t0\t−0.001\n", Unit::Mm), points);
        assert_eq!(over_face("0 0 0,003\r\n\n80; 0; -.001", Unit::Mm), points);
        assert_eq!(over_face(" \n", Unit::Mm), Ok(vec![]));
    }

    #[test]
    fn a_row_that_is_wrong_is_named() {
        let says = |text: &str| over_face(text, Unit::Mm).map_err(|e| e.to_string());
        assert!(says("0 0 0\n1 2").is_err_and(|e| e.starts_with("Row 2 has 2 figures")));
        assert!(says("0 0 x").is_err_and(|e| e.starts_with("Row 1: ")));
        assert!(says(&"1 2 3\n".repeat(2001)).is_err_and(|e| e.contains("2000 points")));
    }

    #[test]
    fn along_an_edge_one_figure_says_where() {
        let along = |text: &str| grid(text, Unit::Mm, HeightsOver::Edge);
        let points = Ok(vec![
            [Figure(0.0), Figure(0.0), Figure(0.003)],
            [Figure(80.0), Figure(0.0), Figure(-0.001)],
        ]);
        assert_eq!(along("0 0.003\n80 -.001"), points);
        assert_eq!(along("0 0 0.003\n80 0 -.001"), points);
        let why = along("1 2\n5").map_err(|e| e.to_string());
        assert!(why.is_err_and(|e| e.ends_with("and the height, as in 10 0.003.")));
    }
}
