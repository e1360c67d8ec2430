//! Marks moved to another place, for pictures that are drawn about their own origin.

use super::{Mark, Step};

impl Mark {
    /// The same mark `dx` millimetres to the right and `dy` down.
    #[must_use]
    pub fn moved(mut self, dx: f64, dy: f64) -> Self {
        match &mut self {
            Self::Text(text) => text.at = text.at.by(dx, dy),
            Self::Line(line) => {
                line.from = line.from.by(dx, dy);
                line.to = line.to.by(dx, dy);
            }
            Self::Path(path) => {
                for step in &mut path.steps {
                    *step = match *step {
                        Step::Move(to) => Step::Move(to.by(dx, dy)),
                        Step::Line(to) => Step::Line(to.by(dx, dy)),
                        Step::Cubic(a, b, to) => {
                            Step::Cubic(a.by(dx, dy), b.by(dx, dy), to.by(dx, dy))
                        }
                        Step::Close => Step::Close,
                    };
                }
            }
            Self::Rect(rect) => rect.at = rect.at.by(dx, dy),
            Self::Circle(circle) => circle.centre = circle.centre.by(dx, dy),
            Self::Group(group) => {
                group.marks =
                    std::mem::take(&mut group.marks).into_iter().map(|m| m.moved(dx, dy)).collect();
            }
        }
        self
    }
}
