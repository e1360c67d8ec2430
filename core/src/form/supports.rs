//! The points that hold a zone, and the proof that it is the least.
//!
//! Let weights λ of some upper points and μ of some lower points, none negative and each summing
//! to 1, have the same centre of gravity: Σ λ p = Σ μ p, seen from above. Then for every tilt s
//! the zone is at least
//!
//! ```text
//! Σ λ (h − s·p) − Σ μ (h − s·p)  =  Σ λ h − Σ μ h
//! ```
//!
//! wide, whatever s is. Where that equals the width found, no tilt makes it smaller. This is the
//! dual of the linear programme. Three points above and one below, one and three, or two and two
//! are enough.

use crate::quantity::vector::{cross, minus, norm};

/// A point that holds a zone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// Number of the point, from 0, in the list that was given.
    pub index: usize,
    /// Its weight, above 0; those of each side sum to 1.
    pub weight: f64,
}

/// The points that hold a zone between two parallel planes or lines.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneSupports {
    /// In the upper plane.
    pub upper: Vec<Support>,
    /// In the lower plane.
    pub lower: Vec<Support>,
}

impl ZoneSupports {
    /// What no tilt of the zone can go below, along the height: Σ λ h − Σ μ h, with `height` the
    /// height of a point by its number.
    #[must_use]
    pub fn least(&self, height: impl Fn(usize) -> f64) -> f64 {
        let sum = |side: &[Support]| side.iter().map(|s| s.weight * height(s.index)).sum::<f64>();
        sum(&self.upper) - sum(&self.lower)
    }

    fn of(upper: &[(usize, f64)], lower: &[(usize, f64)]) -> ZoneSupports {
        let side = |all: &[(usize, f64)]| {
            all.iter()
                .filter(|(_, weight)| *weight > 0.0)
                .map(|&(index, weight)| Support { index, weight })
                .collect()
        };
        ZoneSupports { upper: side(upper), lower: side(lower) }
    }

    /// One pair of points against a single one, by the place of that one between the two.
    pub(super) fn pair(
        pair: [usize; 2],
        place: f64,
        single: usize,
        pair_is_upper: bool,
    ) -> ZoneSupports {
        let place = place.clamp(0.0, 1.0);
        let (pair, single) = ([(pair[0], 1.0 - place), (pair[1], place)], [(single, 1.0)]);
        if pair_is_upper {
            ZoneSupports::of(&pair, &single)
        } else {
            ZoneSupports::of(&single, &pair)
        }
    }
}

/// A point seen from above: its number and place.
type Seen = (usize, [f64; 2]);

/// Distance, for points about 1 apart, below which two places count as one.
const SAME: f64 = 1e-12;

/// Finds the points of an upper and a lower set that hold the zone between them: those whose
/// hulls, seen from above, cross most plainly.
pub(super) fn hold(upper: &[Seen], lower: &[Seen]) -> Option<ZoneSupports> {
    let mut best: Option<(f64, ZoneSupports)> = None;
    let mut offer = |least: f64, held: &dyn Fn() -> ZoneSupports| {
        if best.as_ref().is_none_or(|(b, _)| least > *b) {
            best = Some((least, held()));
        }
    };
    for (i, &u) in upper.iter().enumerate() {
        for (j, &l) in lower.iter().enumerate() {
            if norm(minus(u.1, l.1)) <= SAME {
                offer(1.0, &|| ZoneSupports::of(&[(u.0, 1.0)], &[(l.0, 1.0)]));
            }
            for &u2 in upper.iter().skip(i + 1) {
                between([u, u2], l, true, &mut offer);
                for &l2 in lower.iter().skip(j + 1) {
                    crossing([u, u2], [l, l2], &mut offer);
                }
            }
            for &l2 in lower.iter().skip(j + 1) {
                between([l, l2], u, false, &mut offer);
            }
        }
    }
    for (corners, inner, corners_are_upper) in [(upper, lower, true), (lower, upper, false)] {
        for (i, &a) in corners.iter().enumerate() {
            for (j, &b) in corners.iter().enumerate().skip(i + 1) {
                for &c in corners.iter().skip(j + 1) {
                    for &p in inner {
                        within([a, b, c], p, corners_are_upper, &mut offer);
                    }
                }
            }
        }
    }
    best.map(|(_, held)| held)
}

type Offer<'a> = dyn FnMut(f64, &dyn Fn() -> ZoneSupports) + 'a;

/// A point on the stretch between two others.
fn between(ends: [Seen; 2], p: Seen, ends_are_upper: bool, offer: &mut Offer<'_>) {
    let along = minus(ends[1].1, ends[0].1);
    let to = minus(p.1, ends[0].1);
    let long = norm(along);
    if long <= SAME || cross(along, to).abs() > SAME * long {
        return;
    }
    let place = (along[0] * to[0] + along[1] * to[1]) / (long * long);
    offer(place.min(1.0 - place), &|| {
        ZoneSupports::pair([ends[0].0, ends[1].0], place, p.0, ends_are_upper)
    });
}

/// Two stretches that cross.
fn crossing(u: [Seen; 2], l: [Seen; 2], offer: &mut Offer<'_>) {
    let (a, b, d) = (minus(u[1].1, u[0].1), minus(l[1].1, l[0].1), minus(l[0].1, u[0].1));
    let det = cross(a, b);
    if det.abs() <= SAME * norm(a) * norm(b) {
        return;
    }
    let (s, t) = (cross(d, b) / det, cross(d, a) / det);
    offer(s.min(1.0 - s).min(t).min(1.0 - t), &|| {
        let (s, t) = (s.clamp(0.0, 1.0), t.clamp(0.0, 1.0));
        ZoneSupports::of(&[(u[0].0, 1.0 - s), (u[1].0, s)], &[(l[0].0, 1.0 - t), (l[1].0, t)])
    });
}

/// A point in the triangle of three others.
fn within(corners: [Seen; 3], p: Seen, corners_are_upper: bool, offer: &mut Offer<'_>) {
    let [a, b, c] = corners.map(|corner| corner.1);
    let (ab, ac, ap) = (minus(b, a), minus(c, a), minus(p.1, a));
    let det = cross(ab, ac);
    if det.abs() <= SAME * norm(ab) * norm(ac) {
        return;
    }
    let (v, w) = (cross(ap, ac) / det, cross(ab, ap) / det);
    let u = 1.0 - v - w;
    offer(u.min(v).min(w), &|| {
        let [u, v, w] = [u.max(0.0), v.max(0.0), w.max(0.0)];
        let sum = u + v + w;
        let corners = [(corners[0].0, u / sum), (corners[1].0, v / sum), (corners[2].0, w / sum)];
        let single = [(p.0, 1.0)];
        if corners_are_upper {
            ZoneSupports::of(&corners, &single)
        } else {
            ZoneSupports::of(&single, &corners)
        }
    });
}
