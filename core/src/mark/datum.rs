//! Datum feature symbols: a triangle on the feature and the letter in a box
//! (ISO 5459, ASME Y14.5).

use super::font::Face;
use super::ink::Ink;
use super::mark::{Group, Line, Mark, Rect, Tag};
use super::path::Path;
use super::place::{Point, Text};
use super::symbol::line;
use std::f64::consts::FRAC_PI_2;

/// The symbol of datum `letter` on the outline of a feature at `at`. It stands off in
/// the direction `outward` (radians, counter-clockwise on the page from the right),
/// with its letter upright in a box `size` millimetres high.
#[must_use]
pub fn datum_flag(at: impl Into<Point>, outward: f64, letter: &str, size: f64) -> Mark {
    let at = at.into();
    let stroke = line(0.66 * size, Ink::Ink);
    let half = 0.36 * size;
    let apex = at.toward(outward, 0.62 * size);
    let triangle = Path::polygon([
        at.toward(outward + FRAC_PI_2, half),
        at.toward(outward - FRAC_PI_2, half),
        apex,
    ]);

    let text = Text::new(at, letter, 0.52 * size / Face::CAP_HEIGHT);
    let wide = (text.width() + 0.4 * size).max(size);
    // The box's middle is as far off as lets the leader end on its side.
    let (across, down) = (libm::fabs(libm::cos(outward)), libm::fabs(libm::sin(outward)));
    let reach = if across * size > down * wide { wide / 2.0 / across } else { size / 2.0 / down };
    let edge = at.toward(outward, 1.1 * size);
    let middle = edge.toward(outward, reach);
    let frame =
        Rect::new(middle.by(-wide / 2.0, -size / 2.0), wide, size).fill(Ink::Paper).stroke(stroke);
    let letter_at = middle.by(0.0, 0.26 * size);
    let marks: Vec<Mark> = vec![
        triangle.fill(Ink::Ink).into(),
        Line::new(apex, edge, stroke).into(),
        frame.into(),
        Text { at: letter_at, ..text }.middle().into(),
    ];
    Group::new(Tag::new("datum"), marks).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The leader ends on the box, whichever way it points.
    #[test]
    fn the_leader_meets_the_box() {
        for degrees in (0..360).step_by(15) {
            let outward = f64::from(degrees).to_radians();
            let Mark::Group(group) = datum_flag((50.0, 50.0), outward, "A", 5.0) else {
                panic!("a datum is one group");
            };
            let [_, Mark::Line(leader), Mark::Rect(frame), Mark::Text(letter)] =
                group.marks.as_slice()
            else {
                panic!("triangle, leader, box, letter");
            };
            let right = frame.at.x + frame.width;
            let lower = frame.at.y + frame.height;
            let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
            let end = leader.to;
            assert!(
                near(end.x, frame.at.x)
                    || near(end.x, right)
                    || near(end.y, frame.at.y)
                    || near(end.y, lower),
                "{degrees}"
            );
            assert!(end.x > frame.at.x - 1e-9 && end.x < right + 1e-9);
            assert!(end.y > frame.at.y - 1e-9 && end.y < lower + 1e-9);
            assert!(letter.at.y > frame.at.y && letter.at.y < lower);
        }
    }
}
