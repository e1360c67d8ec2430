//! Features as shapes on the page, and where their numbers go.

use crate::job::{Feature, Kind};
use crate::mark::{Face, Point, width};
use crate::quantity::Axis;

/// A feature on the page.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Shape {
    /// Its index in the drawing: what its group is tagged with.
    pub(super) index: usize,
    /// Its number.
    pub(super) number: String,
    /// What it is.
    pub(super) kind: Kind,
    /// Where it is.
    pub(super) body: Body,
    /// Middle of its number, if there is room for one.
    pub(super) label: Option<Point>,
}

/// Where a feature is on the page.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Body {
    /// A hole or a boss. Without limits of size its radius is only a place holder.
    Round { centre: Point, radius: f64, sized: bool },
    /// A slot or a tab. `half` is its half width where that lies upwards.
    Flat { centre: Point, corners: [Point; 4], across: Axis, half: Option<f64> },
    /// A face, seen edge-on; `outward` in radians, counter-clockwise on the page from the right.
    Edge { from: Point, to: Point, outward: f64, letter: Option<String> },
}

impl Shape {
    pub(super) fn new(index: usize, feature: &Feature, body: Body) -> Self {
        Self { index, number: feature.number.clone(), kind: feature.kind, body, label: None }
    }

    /// Middle of the feature.
    pub(super) fn centre(&self) -> Point {
        match &self.body {
            Body::Round { centre, .. } | Body::Flat { centre, .. } => *centre,
            Body::Edge { from, to, .. } => Point::new(0.5 * (from.x + to.x), 0.5 * (from.y + to.y)),
        }
    }

    /// How far the feature reaches up and down from its middle.
    pub(super) fn half_height(&self) -> f64 {
        match &self.body {
            Body::Round { radius, .. } => *radius,
            Body::Flat { half: Some(half), .. } => *half,
            Body::Flat { .. } => {
                let b = self.around();
                0.5 * (b.bottom - b.top)
            }
            Body::Edge { .. } => 0.0,
        }
    }

    /// The box around its number, if there is room for one.
    pub(super) fn number_box(&self, text: f64) -> Option<Around> {
        let long = width(Face::Sans, &self.number, text);
        Some(Around::about(self.label?, long, text * Face::CAP_HEIGHT))
    }

    /// The box around it.
    pub(super) fn around(&self) -> Around {
        match &self.body {
            Body::Round { centre, radius, .. } => Around {
                left: centre.x - radius,
                top: centre.y - radius,
                right: centre.x + radius,
                bottom: centre.y + radius,
            },
            Body::Flat { corners, .. } => Around::of(corners),
            Body::Edge { from, to, .. } => Around::of(&[*from, *to]),
        }
    }
}

/// A box on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Around {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Around {
    pub(super) fn of(points: &[Point]) -> Self {
        let mut all = Self {
            left: f64::INFINITY,
            top: f64::INFINITY,
            right: f64::NEG_INFINITY,
            bottom: f64::NEG_INFINITY,
        };
        for p in points {
            all.left = all.left.min(p.x);
            all.right = all.right.max(p.x);
            all.top = all.top.min(p.y);
            all.bottom = all.bottom.max(p.y);
        }
        all
    }

    pub(super) fn about(middle: Point, width: f64, height: f64) -> Self {
        Self {
            left: middle.x - 0.5 * width,
            right: middle.x + 0.5 * width,
            top: middle.y - 0.5 * height,
            bottom: middle.y + 0.5 * height,
        }
    }

    pub(super) fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Whether the line from `a` to `b` goes through it.
    pub(super) fn is_crossed(&self, [a, b]: [Point; 2]) -> bool {
        let side = |x: f64, y: f64| (b.x - a.x) * (y - a.y) - (b.y - a.y) * (x - a.x);
        let corners = [
            side(self.left, self.top),
            side(self.right, self.top),
            side(self.left, self.bottom),
            side(self.right, self.bottom),
        ];
        let reach = Self {
            left: a.x.min(b.x),
            right: a.x.max(b.x),
            top: a.y.min(b.y),
            bottom: a.y.max(b.y),
        };
        let overlaps = self.left <= reach.right
            && reach.left <= self.right
            && self.top <= reach.bottom
            && reach.top <= self.bottom;
        overlaps && corners.iter().any(|s| *s > 0.0) && corners.iter().any(|s| *s < 0.0)
    }
}

/// More features than this, and a number is written only where it fits inside its feature.
const CROWD: usize = 400;

/// Gives every shape the place of its number: inside where it fits, otherwise beside it where
/// nothing else is, off the edges of the part if that can be.
pub(super) fn place_labels(shapes: &mut [Option<Shape>], part: &[Point; 4], text: f64) {
    let edges = [0, 1, 2, 3].map(|i| [part[i], part[(i + 1) % 4]]);
    let mut taken: Vec<Around> = Vec::new();
    let crowd = shapes.len() > CROWD;
    if !crowd {
        taken.extend(
            shapes
                .iter()
                .flatten()
                .filter(|s| !matches!(s.body, Body::Edge { .. }))
                .map(Shape::around),
        );
    }
    for shape in shapes.iter_mut().flatten() {
        if matches!(shape.body, Body::Edge { .. }) {
            continue;
        }
        let long = width(Face::Sans, &shape.number, text);
        let tall = text * Face::CAP_HEIGHT;
        let (centre, around) = (shape.centre(), shape.around());
        let (half_w, half_h) =
            (0.5 * (around.right - around.left), 0.5 * (around.bottom - around.top));
        let inside = match shape.body {
            Body::Round { radius, .. } => libm::hypot(long, tall) < 1.7 * radius,
            _ => long < 1.8 * half_w && tall < 1.6 * half_h,
        };
        if inside {
            shape.label = Some(centre);
            continue;
        }
        if crowd {
            continue;
        }
        let (dx, dy) = (half_w + 0.5 * long + 0.25 * text, half_h + 0.5 * tall + 0.3 * text);
        let places = [
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.0, -1.0),
            (0.0, 1.0),
            (0.8, -0.8),
            (-0.8, -0.8),
            (0.8, 0.8),
            (-0.8, 0.8),
        ]
        .map(|(x, y)| centre.by(x * dx, y * dy));
        let here = |p: &Point| Around::about(*p, long, tall);
        let mut free = places.into_iter().filter(|p| !taken.iter().any(|t| t.meets(&here(p))));
        let first = free.clone().next();
        let clear = free.find(|p| !edges.iter().any(|edge| here(p).is_crossed(*edge)));
        let free = clear.or(first).unwrap_or(places[0]);
        taken.push(Around::about(free, long, tall));
        shape.label = Some(free);
    }
}
