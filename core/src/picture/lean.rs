//! The sign of an edge that is out of square, as a picture and in words.

use crate::job::Squareness;
use crate::mark::{Ink, Line, Mark, Path, Point, Stroke, Text};
use crate::quantity::{Axis, Side};

/// Width and height of the picture in millimetres.
pub const LEAN_SIZE: (f64, f64) = (30.0, 24.0);

/// How far the edge leans in the picture, in millimetres.
const LEAN: f64 = 2.6;
const TEXT: f64 = 2.9;

/// The side that the end of an edge points to by which its sign is told: towards +Y of a left or
/// right edge, towards +X of a bottom or top edge.
#[must_use]
pub const fn lean_end(edge: Side) -> Side {
    match edge.axis() {
        Axis::X => Side::PlusY,
        Axis::Y => Side::PlusX,
    }
}

/// The part in the view of the drawing with `edge` leaning as a positive deviation says, the true
/// edge dashed.
#[must_use]
pub fn lean(edge: Side) -> Vec<Mark> {
    let (left, top, right, bottom) = (9.0, 6.5, 21.0, 17.5);
    // Both ends of the edge, the one that tells the sign last, and the two other corners.
    let (near, far, others) = match edge {
        Side::PlusX => ((right, bottom), (right, top), [(left, top), (left, bottom)]),
        Side::MinusX => ((left, bottom), (left, top), [(right, top), (right, bottom)]),
        Side::PlusY => ((left, top), (right, top), [(right, bottom), (left, bottom)]),
        Side::MinusY => ((left, bottom), (right, bottom), [(right, top), (left, top)]),
    };
    let (near, far) = (Point::from(near), Point::from(far));
    let out = edge.direction();
    let (right_by, down_by) = (out.cos(), -out.sin());
    let away = |from: Point, by: f64| from.by(right_by * by, down_by * by);
    let leaning = away(far, LEAN);
    let corners = [near, leaning].into_iter().chain(others.into_iter().map(Point::from));
    let along = |by: f64| {
        let end = lean_end(edge).direction();
        away(far, 0.5 * LEAN).by(end.cos() * by, -end.sin() * by)
    };
    let label = along(if edge.axis() == Axis::X { 1.6 } else { 4.2 });
    vec![
        Path::polygon(corners).fill(Ink::Shade).stroke(Stroke::THIN).into(),
        Line::new(near, far, Stroke::THIN.dash(Stroke::DASHED)).into(),
        Line::new(near, leaning, Stroke::OUTLINE.ink(Ink::Accent)).into(),
        Text::new(
            label.by(0.0, if edge.axis() == Axis::X { 0.0 } else { 0.35 * TEXT }),
            lean_end(edge).label(),
            TEXT,
        )
        .middle()
        .into(),
        Text::new(away(leaning, 2.2).by(0.0, 0.35 * TEXT), "+", TEXT)
            .middle()
            .ink(Ink::Accent)
            .into(),
    ]
}

/// What the sign means: `+ where the end of the right edge towards +Y lies farther out of the
/// material`.
#[must_use]
pub fn lean_words(edge: Side) -> String {
    format!(
        "+ where the end of the {} edge towards {} lies farther out of the material, − where it \
         lies farther in",
        edge.edge(),
        lean_end(edge).label()
    )
}

/// How a known deviation lies, in a sentence's words; nothing where it is none.
#[must_use]
pub fn lean_says(edge: Side, known: Squareness) -> Option<String> {
    let way = match known.farther_out.0 {
        d if d > 0.0 => "out",
        d if d < 0.0 => "in",
        _ => return None,
    };
    Some(format!("the {} end lies farther {way}", lean_end(edge).label()))
}

#[cfg(test)]
#[allow(clippy::panic, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::quantity::Figure;

    /// The leaning end is the far end of the edge, farther out of the material than the near one.
    #[test]
    fn the_end_that_tells_the_sign_is_drawn_farther_out() {
        for edge in Side::ALL {
            let marks = lean(edge);
            let Some(Mark::Line(line)) = marks.get(2) else { panic!("the edge is the third mark") };
            let (out, end) = (edge.direction(), lean_end(edge).direction());
            let by = (line.to.x - line.from.x, line.from.y - line.to.y);
            assert!(by.0 * out.cos() + by.1 * out.sin() > 1.0, "{edge:?} leans outwards");
            assert!(by.0 * end.cos() + by.1 * end.sin() > 8.0, "{edge:?} runs to its end");
        }
    }

    #[test]
    fn words_follow_the_sign() {
        let known = |d| Squareness {
            orientation: 2,
            farther_out: Figure(d),
            over: Figure(50.0),
            ..Squareness::default()
        };
        let says = lean_says(Side::PlusX, known(-0.01));
        assert_eq!(says.as_deref(), Some("the +Y end lies farther in"));
        assert_eq!(lean_says(Side::MinusY, known(0.0)), None);
        assert!(lean_words(Side::MinusY).contains("bottom edge towards +X"));
    }
}
