//! Signs that stand beside the word of a verdict. They differ by shape, so that a
//! black and white print says the same.

use super::ink::Ink;
use super::mark::{Circle, Group, Line, Mark, Stroke, Tag};
use super::path::Path;
use super::place::Point;
use std::f64::consts::{FRAC_PI_2, PI};

/// The sign of a verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum VerdictSign {
    /// Conforms: a filled dot.
    Conforms,
    /// Does not conform: a cross.
    DoesNotConform,
    /// Not proven: a dot half filled.
    NotProven,
    /// Not measured: a hollow dot.
    NotMeasured,
    /// Cannot be judged: a question mark in a ring.
    CannotBeJudged,
}

impl VerdictSign {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Conforms,
        Self::DoesNotConform,
        Self::NotProven,
        Self::NotMeasured,
        Self::CannotBeJudged,
    ];

    /// The sign about `centre`, `size` millimetres high and wide. It says nothing
    /// when copied or heard: the word beside it does.
    #[must_use]
    pub fn draw(self, centre: impl Into<Point>, size: f64) -> Mark {
        let centre = centre.into();
        let pen = Stroke::new(Ink::Ink, 0.11 * size);
        let outer = 0.44 * size;
        let ring = Circle::new(centre, outer).stroke(pen);
        let (role, marks): (_, Vec<Mark>) = match self {
            Self::Conforms => {
                let dot = Circle::new(centre, 0.5 * size).fill(Ink::Ink);
                ("conforms", vec![dot.into()])
            }
            Self::DoesNotConform => {
                let cross = Stroke::new(Ink::Fault, 0.2 * size);
                let arm = 0.42 * size;
                let line = |dy: f64| {
                    let (from, to) = (centre.by(-arm, -dy), centre.by(arm, dy));
                    Line::new(from, to, cross).into()
                };
                ("does-not-conform", vec![line(arm), line(-arm)])
            }
            Self::NotProven => {
                let half = Path::new().arc(centre, outer, FRAC_PI_2, PI).close().fill(Ink::Ink);
                ("not-proven", vec![half.into(), ring.into()])
            }
            Self::NotMeasured => ("not-measured", vec![ring.into()]),
            Self::CannotBeJudged => {
                // From the left over the top, round, and down to the stem.
                let bow = centre.by(0.0, -0.1 * size);
                let radius = 0.135 * size;
                let hook = Path::new()
                    .arc(bow, radius, PI, -1.5 * PI)
                    .line_to(centre.by(0.0, 0.12 * size))
                    .stroke(pen);
                let point = Circle::new(centre.by(0.0, 0.245 * size), 0.065 * size).fill(Ink::Ink);
                ("cannot-be-judged", vec![ring.into(), hook.into(), point.into()])
            }
        };
        Group::new(Tag::new(role), marks).into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two signs differ in shape, not only in colour.
    #[test]
    fn signs_differ_without_their_colours() {
        let shape = |sign: VerdictSign| {
            let svg = crate::mark::svg_marks(&[sign.draw((0.0, 0.0), 4.0)]);
            Ink::ALL.iter().fold(svg, |svg, ink| {
                svg.replace(ink.hex(), "").replace(&format!("-{}\"", ink.name()), "\"")
            })
        };
        let body = |sign| {
            shape(sign).split_once("<g class").unwrap().1.split_once('>').unwrap().1.to_owned()
        };
        for (index, &one) in VerdictSign::ALL.iter().enumerate() {
            for &other in &VerdictSign::ALL[index + 1..] {
                assert_ne!(body(one), body(other));
            }
        }
    }
}
