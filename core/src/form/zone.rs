//! The least zone of heights over a plane: a few points at a time.
//!
//! The width at a tilt s, max(h − s·p) − min(h − s·p), is convex in s and made of flat pieces. Its
//! least value over all points is found through that over a few of them, which is a lower bound:
//! the few are solved exactly, by all tilts at which two pairs of them are level, then the points
//! sticking out farthest at that tilt join them. When none sticks out, the bound is reached. Every
//! round looks at each point once, and there are a dozen or so rounds.

use super::supports::{ZoneSupports, hold};
use crate::quantity::vector::{cross, minus, norm};

/// A point: x, y and height.
type P = [f64; 3];

/// A tilt, the width there and what holds it.
pub(super) struct Least {
    /// Slopes along x and y.
    pub(super) slope: [f64; 2],
    /// Lowest and highest of h − slope·p over all points.
    pub(super) from: f64,
    pub(super) to: f64,
    /// The points that hold it.
    pub(super) held: ZoneSupports,
}

/// Rounds after which the best so far is given as it is; far more than were ever seen.
const ROUNDS: usize = 500;
/// Rounding errors, as a share of the greatest height.
const ROUNDING: f64 = 8.0 * f64::EPSILON;
/// What counts as touching the zone's planes, as a share of the greatest height.
const TOUCHING: f64 = 1e-12;
/// Sine of an angle too small for two pairs to fix a tilt.
const PARALLEL: f64 = 1e-12;

/// Finds the least zone. The points are about 1 long and 1 wide.
pub(super) fn least(points: &[P]) -> Option<Least> {
    let tall = points.iter().fold(0.0, |m: f64, p| m.max(p[2].abs()));
    // A triangle stays in, so that there is always a tilt to be found.
    let triangle = spread(points)?;
    let mut few = triangle.to_vec();
    let mut last = f64::NEG_INFINITY;
    let mut slope = [0.0; 2];
    for _ in 0..ROUNDS {
        let width;
        (slope, width) = among(points, &few)?;
        let (low, high) = extremes(points, slope)?;
        if above(high.1, slope) - above(low.1, slope) <= width + ROUNDING * tall {
            break;
        }
        // Let go of what no longer touches, but only after a gain: that way no set comes back.
        if width > last + ROUNDING * tall {
            few = touching(points, &few, slope, tall);
            for i in triangle {
                join(&mut few, i);
            }
            last = width;
        }
        let before = few.len();
        join(&mut few, low.0);
        join(&mut few, high.0);
        if few.len() == before {
            break;
        }
    }
    let (low, high) = extremes(points, slope)?;
    let (from, to) = (above(low.1, slope), above(high.1, slope));
    let seen = |edge: f64| -> Vec<(usize, [f64; 2])> {
        few.iter()
            .filter_map(|&i| points.get(i).map(|&p| (i, p)))
            .filter(|&(_, p)| (above(p, slope) - edge).abs() <= TOUCHING * tall)
            .map(|(i, p)| (i, [p[0], p[1]]))
            .collect()
    };
    Some(Least { slope, from, to, held: hold(&seen(to), &seen(from))? })
}

/// The height left of a point when the tilt is taken away.
fn above(p: P, slope: [f64; 2]) -> f64 {
    p[2] - slope[0] * p[0] - slope[1] * p[1]
}

/// The lowest and the highest point at a tilt, each with its number.
fn extremes(points: &[P], slope: [f64; 2]) -> Option<((usize, P), (usize, P))> {
    let mut each = points.iter().copied().enumerate();
    let first = each.next()?;
    let at_first = above(first.1, slope);
    let (mut low, mut high) = ((first, at_first), (first, at_first));
    for (i, p) in each {
        let height = above(p, slope);
        if height < low.1 {
            low = ((i, p), height);
        } else if height > high.1 {
            high = ((i, p), height);
        }
    }
    Some((low.0, high.0))
}

/// The least zone of a few points: its tilt and width.
fn among(points: &[P], few: &[usize]) -> Option<([f64; 2], f64)> {
    let few: Vec<P> = few.iter().filter_map(|&i| points.get(i).copied()).collect();
    let mut pairs = Vec::new();
    for (i, a) in few.iter().enumerate() {
        for b in few.iter().skip(i + 1) {
            pairs.push([a[0] - b[0], a[1] - b[1], a[2] - b[2]]);
        }
    }
    let mut best: Option<([f64; 2], f64)> = None;
    for (i, a) in pairs.iter().enumerate() {
        for b in pairs.iter().skip(i + 1) {
            let (pa, pb) = ([a[0], a[1]], [b[0], b[1]]);
            let det = cross(pa, pb);
            if det.abs() <= PARALLEL * norm(pa) * norm(pb) {
                continue;
            }
            let slope = [(a[2] * b[1] - b[2] * a[1]) / det, (a[0] * b[2] - b[0] * a[2]) / det];
            let limit = best.map_or(f64::INFINITY, |(_, width)| width);
            if let Some(width) = width_below(&few, slope, limit) {
                best = Some((slope, width));
            }
        }
    }
    best
}

/// The width of a few points at a tilt, if it is less than `limit`.
fn width_below(few: &[P], slope: [f64; 2], limit: f64) -> Option<f64> {
    let (mut from, mut to) = (f64::INFINITY, f64::NEG_INFINITY);
    for &p in few {
        let height = above(p, slope);
        from = from.min(height);
        to = to.max(height);
        if to - from >= limit {
            return None;
        }
    }
    Some(to - from)
}

/// Those of the few that touch the zone's planes at a tilt.
fn touching(points: &[P], few: &[usize], slope: [f64; 2], tall: f64) -> Vec<usize> {
    let heights: Vec<(usize, f64)> =
        few.iter().filter_map(|&i| points.get(i).map(|&p| (i, above(p, slope)))).collect();
    let from = heights.iter().fold(f64::INFINITY, |m, h| m.min(h.1));
    let to = heights.iter().fold(f64::NEG_INFINITY, |m, h| m.max(h.1));
    let near = TOUCHING * tall;
    heights.into_iter().filter(|h| h.1 <= from + near || h.1 >= to - near).map(|h| h.0).collect()
}

fn join(few: &mut Vec<usize>, i: usize) {
    if !few.contains(&i) {
        few.push(i);
    }
}

/// Three points that span a triangle, as large a one as three looks can find.
fn spread(points: &[P]) -> Option<[usize; 3]> {
    let far = |size: &dyn Fn([f64; 2]) -> f64| {
        let mut best = (0, f64::NEG_INFINITY);
        for (i, p) in points.iter().enumerate() {
            let s = size([p[0], p[1]]);
            if s > best.1 {
                best = (i, s);
            }
        }
        points.get(best.0).map(|p| (best.0, [p[0], p[1]]))
    };
    let (a, pa) = far(&|p| norm(p))?;
    let (b, pb) = far(&|p| norm(minus(p, pa)))?;
    let (c, _) = far(&|p| cross(minus(pb, pa), minus(p, pa)).abs())?;
    Some([a, b, c])
}
