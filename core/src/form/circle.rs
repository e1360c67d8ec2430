//! The least-squares circle through points: the centres of a bolt circle, or of the holes whose
//! circle is a datum.

use super::arc::{Arc, around, solve, starts, through};
use super::found::finite;
use super::{Form, NotFinite};

/// A point as the circle sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnCircle {
    /// Distance outside the circle in mm; negative inside.
    pub residual: f64,
    /// Direction from the centre, in radians from +x, counter-clockwise positive, −π to π.
    pub angle: f64,
}

/// A least-squares circle.
#[derive(Clone, Debug, PartialEq)]
pub struct Circle {
    /// Centre (x, y), in mm.
    pub centre: [f64; 2],
    /// Radius in mm.
    pub radius: f64,
    /// The points, in the order they were given.
    pub points: Vec<OnCircle>,
    /// How centre x, centre y and radius (rows) follow a small move of each point along x and y
    /// (columns). First order, with the curvature of the problem: the derivative of the minimum
    /// itself.
    pub follows: Vec<[[f64; 2]; 3]>,
}

impl Circle {
    /// Sum of the squared residuals, in mm².
    #[must_use]
    pub fn squares(&self) -> f64 {
        self.points.iter().map(|p| p.residual * p.residual).sum()
    }

    /// Root mean square of the residuals, in mm; 0 of three points.
    #[must_use]
    pub fn rms(&self) -> f64 {
        let (squares, count) =
            self.points.iter().fold((0.0, 0.0), |(s, n), p| (s + p.residual * p.residual, n + 1.0));
        if count > 0.0 { (squares / count).sqrt() } else { 0.0 }
    }

    /// The largest residual, either way, in mm. Beside the radius it tells whether the points are
    /// on a circle at all: more than a few hundredths of it is questionable for holes that are
    /// meant to be.
    #[must_use]
    pub fn worst(&self) -> f64 {
        self.points.iter().fold(0.0, |worst: f64, p| worst.max(p.residual.abs()))
    }
}

/// Points a circle needs.
const NEED: usize = 3;
/// The smallest spread across a line, as a share of that along it, that counts as an arc.
const ACROSS: f64 = 1e-7;
/// Largest radius, in half widths of the points: beyond it the points are a line.
const LARGEST: f64 = 1e7;
/// Points farther from a circle than this share of its radius, root mean square, may have several
/// minima.
const FAR: f64 = 1e-2;

/// The circle with the least sum of squared distances of the points from it: Σ (|p − c| − r)²
/// (the geometric fit; W. Gander, G. H. Golub, R. Strebel, BIT 34 (1994) 558). Not the algebraic
/// fits, which give other circles.
///
/// Started from two algebraic circles, the better minimum counts; a saddle point is none (the
/// matrix of second derivatives is positive definite). Three points give the circle through them.
/// Where the points are far from any circle the sum may have several minima, and it is started from
/// centres all around as well. For holes that are meant to be on a circle it has one minimum;
/// [`Circle::worst`] tells whether they are.
///
/// `Form::TooFew` below three points. `Form::OnOneLine` where the points coincide or lie on one
/// line, or so that no circle fits them better than a line does.
///
/// # Errors
/// The first point with a number that is not finite.
///
/// ```
/// # use quarterturn_core::form::circle;
/// let c = circle(&[[0.0, 0.0], [8.0, 0.0], [0.0, 6.0]])?.found().unwrap();
/// assert!((c.radius - 5.0).abs() < 1e-14);
/// # Ok::<(), quarterturn_core::form::NotFinite>(())
/// ```
pub fn circle(points: &[[f64; 2]]) -> Result<Form<Circle>, NotFinite> {
    finite(points.iter().copied())?;
    if points.len() < NEED {
        return Ok(Form::TooFew { have: points.len(), need: NEED });
    }
    Ok(fit(points).map_or(Form::OnOneLine, Form::Found))
}

fn fit(given: &[[f64; 2]]) -> Option<Circle> {
    let Normal { middle, unit, points, across } = normal(given)?;
    let (arc, root) = if let [a, b, c] = points[..] {
        let arc = through([a, b, c])?;
        (arc, arc.root(&points)?)
    } else {
        let best = |starts: &mut dyn Iterator<Item = Arc>| {
            starts
                .filter_map(|start| start.refined(&points))
                .filter_map(|arc| Some((arc, arc.root(&points)?)))
                .min_by(|a, b| a.0.half(&points).total_cmp(&b.0.half(&points)))
        };
        let first = best(&mut starts(&points).into_iter().flatten());
        match first {
            Some(first) if first.0.rms(&points) <= FAR * first.0.radius => first,
            first => best(&mut around(&points).chain(first.map(|first| first.0)))?,
        }
    };
    if arc.radius > LARGEST || 2.0 * arc.half(&points) >= across {
        return None;
    }
    let mut on = Vec::with_capacity(points.len());
    let mut follows = Vec::with_capacity(points.len());
    for &p in &points {
        let share = arc.share(p);
        on.push(OnCircle {
            residual: unit * share.residual,
            angle: libm::atan2(p[1] - arc.centre[1], p[0] - arc.centre[0]),
        });
        let by_x = solve(&root, [share.m[0][0], share.m[1][0], share.unit[0]]);
        let by_y = solve(&root, [share.m[0][1], share.m[1][1], share.unit[1]]);
        follows.push([[by_x[0], by_y[0]], [by_x[1], by_y[1]], [by_x[2], by_y[2]]]);
    }
    let Arc { centre, radius } = arc;
    Some(Circle {
        centre: [middle[0] + unit * centre[0], middle[1] + unit * centre[1]],
        radius: unit * radius,
        points: on,
        follows,
    })
}

/// Points about 1 wide with their centroid at the origin.
struct Normal {
    /// Centroid, in mm.
    middle: [f64; 2],
    /// Half width, in mm.
    unit: f64,
    /// The points from the centroid, in half widths.
    points: Vec<[f64; 2]>,
    /// Sum of squared distances from the line that fits them best, in squared half widths.
    across: f64,
}

/// `None` on one line.
fn normal(points: &[[f64; 2]]) -> Option<Normal> {
    let mut middle = [0.0; 2];
    for _ in 0..2 {
        let mut sum = [0.0; 3];
        for p in points {
            sum[0] += p[0] - middle[0];
            sum[1] += p[1] - middle[1];
            sum[2] += 1.0;
        }
        middle = [middle[0] + sum[0] / sum[2], middle[1] + sum[1] / sum[2]];
    }
    let from = |p: &[f64; 2]| [p[0] - middle[0], p[1] - middle[1]];
    let unit = points.iter().map(from).fold(0.0, |m: f64, p| m.max(p[0].abs()).max(p[1].abs()));
    if unit <= 0.0 {
        return None;
    }
    let points: Vec<[f64; 2]> = points.iter().map(|p| from(p).map(|x| x / unit)).collect();
    let [mut xx, mut xy, mut yy] = [0.0; 3];
    for p in &points {
        xx += p[0] * p[0];
        xy += p[0] * p[1];
        yy += p[1] * p[1];
    }
    // Spreads along and across: the roots of the eigenvalues.
    let large = 0.5 * (xx + yy) + libm::hypot(0.5 * (xx - yy), xy);
    // (1, slope) across the main direction, summed anew so that a small spread keeps its digits.
    let (c, s) = if xx >= yy { (large - yy, xy) } else { (xy, large - xx) };
    let long = libm::hypot(c, s);
    let (c, s) = if long > 0.0 { (c / long, s / long) } else { (1.0, 0.0) };
    let small: f64 = points.iter().map(|p| (c * p[1] - s * p[0]) * (c * p[1] - s * p[0])).sum();
    let across = small;
    (across > ACROSS * ACROSS * large).then_some(Normal { middle, unit, points, across })
}
