//! Where everything on a page stands, read from its marks and not from the layout that put them there.

use quarterturn_core::mark::{Circle, Face, Ink, Line, Mark, Page, Path, Rect, Step, Text, Turn};

/// A rectangle from its least to its largest corner, in millimetres of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bounds {
    pub(super) x: [f64; 2],
    pub(super) y: [f64; 2],
}

impl Bounds {
    fn of(points: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let none = Self { x: [f64::MAX, f64::MIN], y: [f64::MAX, f64::MIN] };
        points.into_iter().fold(none, |b, (x, y)| Self {
            x: [b.x[0].min(x), b.x[1].max(x)],
            y: [b.y[0].min(y), b.y[1].max(y)],
        })
    }

    /// How far the two overlap, the lesser of both directions; negative if they do not.
    pub(super) fn overlap(self, other: Self) -> f64 {
        let along = |a: [f64; 2], b: [f64; 2]| a[1].min(b[1]) - a[0].max(b[0]);
        along(self.x, other.x).min(along(self.y, other.y))
    }

    /// How far it stands out of the other; negative or zero if it does not.
    pub(super) fn beyond(self, frame: Self) -> f64 {
        let along = |a: [f64; 2], b: [f64; 2]| (b[0] - a[0]).max(a[1] - b[1]);
        along(self.x, frame.x).max(along(self.y, frame.y))
    }
}

/// A line of text on a page.
#[derive(Clone, Debug)]
pub(super) struct Written {
    pub(super) says: String,
    pub(super) size: f64,
    pub(super) ink: Ink,
    pub(super) bounds: Bounds,
    /// The role of the group that it belongs to: of a picture, a control frame.
    pub(super) group: Option<String>,
    /// How many marks were drawn before it.
    pub(super) order: usize,
}

/// What is on a page.
#[derive(Debug, Default)]
pub(super) struct Seen {
    pub(super) text: Vec<Written>,
    /// Everything that is drawn, with the order in which it is.
    pub(super) drawn: Vec<(usize, Bounds)>,
    /// What covers what was drawn before it.
    pub(super) covers: Vec<(usize, Bounds)>,
}

impl Seen {
    pub(super) fn of(page: &Page) -> Self {
        let mut seen = Self::default();
        let mut order = 0;
        seen.walk(&page.marks, None, &mut order);
        seen
    }

    fn walk(&mut self, marks: &[Mark], group: Option<&str>, order: &mut usize) {
        for mark in marks {
            *order += 1;
            let bounds = match mark {
                Mark::Text(text) => {
                    self.text.push(written(text, group, *order));
                    continue;
                }
                Mark::Group(inner) => {
                    self.walk(&inner.marks, Some(inner.tag.role), order);
                    continue;
                }
                Mark::Line(line) => of_line(line),
                Mark::Path(path) => of_path(path),
                Mark::Rect(rect) => of_rect(rect),
                Mark::Circle(circle) => of_circle(circle),
            };
            if matches!(mark, Mark::Rect(Rect { fill: Some(Ink::Paper), .. })) && group.is_none() {
                self.covers.push((*order, bounds));
            }
            self.drawn.push((*order, bounds));
        }
    }

    /// All text, joined by spaces in the order in which it was put.
    pub(super) fn says(&self) -> String {
        self.text.iter().map(|w| w.says.as_str()).collect::<Vec<_>>().join(" ")
    }
}

fn written(text: &Text, group: Option<&str>, order: usize) -> Written {
    let (at, long) = (text.start(), text.width());
    // From the baseline to the height of capitals, as letters stand.
    let high = Face::CAP_HEIGHT * text.size;
    let far = match text.turn {
        Turn::Level => (at.x + long, at.y - high),
        Turn::Up => (at.x - high, at.y - long),
    };
    Written {
        says: text.text.clone(),
        size: text.size,
        ink: text.ink,
        bounds: Bounds::of([(at.x, at.y), far]),
        group: group.map(str::to_owned),
        order,
    }
}

fn of_line(line: &Line) -> Bounds {
    Bounds::of([line.from, line.to].map(|p| (p.x, p.y)))
}

fn of_path(path: &Path) -> Bounds {
    Bounds::of(path.steps.iter().flat_map(|step| match *step {
        Step::Move(to) | Step::Line(to) => vec![(to.x, to.y)],
        Step::Cubic(a, b, to) => [a, b, to].map(|p| (p.x, p.y)).to_vec(),
        Step::Close => Vec::new(),
    }))
}

fn of_rect(rect: &Rect) -> Bounds {
    let (x, y) = (rect.at.x, rect.at.y);
    Bounds::of([(x, y), (x + rect.width, y + rect.height)])
}

fn of_circle(circle: &Circle) -> Bounds {
    let (c, r) = (circle.centre, circle.radius);
    Bounds::of([(c.x - r, c.y - r), (c.x + r, c.y + r)])
}

/// The paper inside its border: what the first mark of every page draws.
pub(super) fn border(page: &Page) -> Bounds {
    match page.marks.first() {
        Some(Mark::Rect(rect)) => of_rect(rect),
        other => panic!("{}: the border is drawn first, not {other:?}", page.title),
    }
}
