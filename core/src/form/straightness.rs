//! Straightness of a profile from heights along it.

use super::found::finite;
use super::supports::ZoneSupports;
use super::{Form, NotFinite};
use crate::quantity::vector::{cross, minus};

/// A height of a profile. In mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Place along the line over the plate.
    pub x: f64,
    /// Height, along the gauge.
    pub height: f64,
}

/// A line over the surface plate, by its height: h = height + slope·x.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StraightLine {
    /// Its height at x = 0, in mm.
    pub height: f64,
    /// Rise over run along +x.
    pub slope: f64,
}

impl StraightLine {
    /// Its height at a place, in mm.
    #[must_use]
    pub fn at(self, x: f64) -> f64 {
        self.height + self.slope * x
    }

    /// Cosine of its angle to the surface plate.
    #[must_use]
    pub fn cosine(self) -> f64 {
        1.0 / (1.0 + self.slope * self.slope).sqrt()
    }
}

/// Straightness of a profile, as far as it was touched.
#[derive(Clone, Debug, PartialEq)]
pub struct Straightness {
    /// Minimum zone straightness in mm: the distance, at right angles to them, of the two parallel
    /// lines found.
    pub width: f64,
    /// Their distance along the height, which is what was made as small as can be.
    pub along_height: f64,
    /// The line midway between them.
    pub middle: StraightLine,
    /// The points that hold them: two on one side and one between them on the other, or one above
    /// another.
    pub held: ZoneSupports,
    /// The least-squares line of the heights.
    pub least_squares: StraightLine,
    /// Least-squares straightness in mm, at right angles to that line.
    pub least_squares_width: f64,
}

/// Points that any line can go through, and one more.
const NEED: usize = 3;

/// The straightness of a profile: two parallel lines with all points between them, as close as can
/// be (ISO 1101 straightness, minimum zone; ISO 12780-1), beside the least-squares one.
///
/// As with [`flatness`](super::flatness), the distance along the height is made as small as can
/// be, exactly, and turned into the distance at right angles by the cosine of the lines found.
/// The lines belong to an edge of the points' convex hull and the point opposite.
///
/// `Form::TooFew` below three points, `Form::AtOnePlace` where all have the same x.
///
/// # Errors
/// The first point with a number that is not finite.
pub fn straightness(stations: &[Station]) -> Result<Form<Straightness>, NotFinite> {
    finite(stations.iter().map(|s| [s.x, s.height]))?;
    if stations.len() < NEED {
        return Ok(Form::TooFew { have: stations.len(), need: NEED });
    }
    Ok(along(stations).map_or(Form::AtOnePlace, Form::Found))
}

/// A point: its number, and x and height from the centroid.
type Seen = (usize, [f64; 2]);

fn along(stations: &[Station]) -> Option<Straightness> {
    let centroid = mean(stations);
    let mut points: Vec<Seen> = stations
        .iter()
        .enumerate()
        .map(|(i, s)| (i, [s.x - centroid[0], s.height - centroid[1]]))
        .collect();
    let [mut xx, mut xh] = [0.0; 2];
    for (_, p) in &points {
        xx += p[0] * p[0];
        xh += p[0] * p[1];
    }
    if xx <= 0.0 {
        return None;
    }
    let fitted = xh / xx;
    for (_, p) in &mut points {
        p[1] -= fitted * p[0];
    }
    let line = |height: f64, slope: f64| StraightLine {
        height: centroid[1] + height - slope * centroid[0],
        slope,
    };
    let least_squares = line(0.0, fitted);
    let (low, high) = range(&points, 0.0);
    points.sort_by(|a, b| a.1[0].total_cmp(&b.1[0]).then(a.1[1].total_cmp(&b.1[1])));
    let (slope, held) = least(&hull(&points, 1.0), &hull(&points, -1.0))?;
    let (from, to) = range(&points, slope);
    let middle = line(0.5 * (from + to), fitted + slope);
    Some(Straightness {
        width: (to - from) * middle.cosine(),
        along_height: to - from,
        middle,
        held,
        least_squares,
        least_squares_width: (high - low) * least_squares.cosine(),
    })
}

/// Lowest and highest of h − slope·x.
fn range(points: &[Seen], slope: f64) -> (f64, f64) {
    points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, p)| {
        let h = p[1] - slope * p[0];
        (low.min(h), high.max(h))
    })
}

fn mean(stations: &[Station]) -> [f64; 2] {
    // Twice, the second time of what is left: exact to the last digit or two.
    let mut mean = [0.0; 2];
    for _ in 0..2 {
        let mut sum = [0.0; 3];
        for s in stations {
            sum[0] += s.x - mean[0];
            sum[1] += s.height - mean[1];
            sum[2] += 1.0;
        }
        mean = [mean[0] + sum[0] / sum[2], mean[1] + sum[1] / sum[2]];
    }
    mean
}

/// The upper (`side` 1) or lower (−1) hull of points sorted by x and height, from left to right,
/// one point for each x (Andrew's monotone chain).
fn hull(sorted: &[Seen], side: f64) -> Vec<Seen> {
    let mut hull: Vec<Seen> = Vec::new();
    for &p in sorted {
        if let Some(last) = hull.last()
            && last.1[0] >= p.1[0]
        {
            // Same x: the higher one counts above, the lower one below.
            if side * (p.1[1] - last.1[1]) <= 0.0 {
                continue;
            }
            hull.pop();
        }
        while let [.., a, b] = hull.as_slice()
            && side * cross(minus(b.1, a.1), minus(p.1, a.1)) >= 0.0
        {
            hull.pop();
        }
        hull.push(p);
    }
    hull
}

/// The tilt at which the two hulls are closest, and what holds them there.
///
/// As the slope grows, the highest point moves left along the upper hull and the lowest one right
/// along the lower hull. The width falls as long as the highest is right of the lowest.
fn least(upper: &[Seen], lower: &[Seen]) -> Option<(f64, ZoneSupports)> {
    let mut highest = upper.iter().rev().copied().peekable();
    let mut lowest = lower.iter().copied().peekable();
    let (mut high, mut low) = (highest.next()?, lowest.next()?);
    let slope = |a: Seen, b: Seen| (b.1[1] - a.1[1]) / (b.1[0] - a.1[0]);
    let place = |pair: [Seen; 2], p: Seen| (p.1[0] - pair[0].1[0]) / (pair[1].1[0] - pair[0].1[0]);
    loop {
        let next_high = highest.peek().map(|&p| (slope(p, high), p));
        let next_low = lowest.peek().map(|&p| (slope(low, p), p));
        let upper_first = match (next_high, next_low) {
            (Some(h), Some(l)) => h.0 <= l.0,
            (Some(_), None) => true,
            (None, Some(_)) => false,
            (None, None) => return None,
        };
        if upper_first {
            let (slope, next) = next_high?;
            if next.1[0] <= low.1[0] {
                let held =
                    ZoneSupports::pair([high.0, next.0], place([high, next], low), low.0, true);
                return Some((slope, held));
            }
            high = highest.next()?;
        } else {
            let (slope, next) = next_low?;
            if next.1[0] >= high.1[0] {
                let held =
                    ZoneSupports::pair([low.0, next.0], place([low, next], high), high.0, false);
                return Some((slope, held));
            }
            low = lowest.next()?;
        }
    }
}
