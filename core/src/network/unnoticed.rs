//! What the movements that no observation notices do to points and angle errors.

use super::block::product;
use super::eliminate::Factor;
use super::layout::Layout;
use super::structure::{Loose, STILL};
use crate::quantity::vector::dot;
use smallvec::{SmallVec, smallvec};

/// What the movements do to one point.
#[derive(Debug)]
pub(super) struct Moved {
    /// Along each unit vector of the point's freedom, for each movement.
    along: [SmallVec<[f64; 4]>; 2],
    /// How far shared unknowns of one unit each could move it at most.
    most: f64,
}

impl Moved {
    /// q = −R⁻¹ T D⁻¹ z for each of the movements z.
    pub(super) fn of(layout: &Layout, factor: &Factor, free: &[Vec<f64>], point: usize) -> Self {
        let dims = factor.freedoms[point].dims();
        let mut most = 0.0;
        let mut along = [smallvec![0.0; free.len()], smallvec![0.0; free.len()]];
        for (k, &c) in layout.of(point).iter().enumerate().filter(|_| dims > 0) {
            let mut t = [0.0; 2];
            for (d, t) in t.iter_mut().enumerate().take(dims) {
                *t = factor.t(layout, point, d)[k] / factor.scale[c];
            }
            let q = factor.own[point].solve(dims, t);
            for (q, along) in q.iter().zip(&mut along) {
                most += q * q;
                for (along, z) in along.iter_mut().zip(free) {
                    *along -= q * z[c];
                }
            }
        }
        Self { along, most: f64::sqrt(most) }
    }

    /// What of a point of so many unknowns is moved.
    pub(super) fn loose(&self, dims: usize) -> Loose {
        let still = STILL * self.most;
        let [x, y] = &self.along;
        let length = |v: &[f64]| product(v, v).sqrt();
        if dims < 2 {
            return if length(x) <= still { Loose::No } else { Loose::All };
        }
        // Turned until the movements along both axes are uncorrelated: the ellipse they fill.
        let angle = 0.5 * libm::atan2(2.0 * product(x, y), product(x, x) - product(y, y));
        let (s, c) = (libm::sin(angle), libm::cos(angle));
        let along: Vec<f64> = x.iter().zip(y).map(|(x, y)| c * x + s * y).collect();
        let across: Vec<f64> = x.iter().zip(y).map(|(x, y)| c * y - s * x).collect();
        match (length(&along) <= still, length(&across) <= still) {
            (true, true) => Loose::No,
            (false, true) => Loose::AllBut([-s, c]),
            (true, false) => Loose::AllBut([c, s]),
            (false, false) => Loose::All,
        }
    }
}

/// What the movements do to everything that a linear form may contain.
#[derive(Clone, Debug, Default)]
pub(super) struct Unnoticed {
    count: usize,
    /// Of each point: `count` along its first unit vector, `count` along its second.
    points: Vec<f64>,
    /// How far each point could be moved at most.
    point_most: Vec<f64>,
    /// Of each angle error: `count`.
    angle_errors: Vec<f64>,
    angle_error_most: Vec<f64>,
}

impl Unnoticed {
    /// So many movements, of nothing yet.
    pub(super) fn new(count: usize) -> Self {
        Self { count, ..Self::default() }
    }

    /// Adds the next point.
    pub(super) fn push_point(&mut self, moved: Moved) {
        let Moved { along: [x, y], most } = moved;
        self.points.extend_from_slice(&x);
        self.points.extend_from_slice(&y);
        self.point_most.push(most);
    }

    /// Adds the next angle error: its movements, and how far it could be moved at most. None: it
    /// is not free.
    pub(super) fn push_angle_error(&mut self, moved: Option<(Vec<f64>, f64)>) {
        let (mut moved, most) = moved.unwrap_or_else(|| (vec![0.0; self.count], 0.0));
        self.angle_errors.append(&mut moved);
        self.angle_error_most.push(most);
    }

    /// Whether there is no movement.
    pub(super) fn is_none(&self) -> bool {
        self.count == 0
    }

    /// Whether no movement changes the sum of these points, weighted along their unit vectors, and
    /// of these angle errors.
    pub(super) fn leaves(
        &self,
        points: impl Iterator<Item = (usize, [f64; 2])>,
        angle_errors: &[(usize, f64)],
    ) -> bool {
        let n = self.count;
        if n == 0 {
            return true;
        }
        let mut change: SmallVec<[f64; 8]> = smallvec![0.0; n];
        let mut most = 0.0;
        let mut add = |weight: f64, moved: &[f64]| {
            for (change, moved) in change.iter_mut().zip(moved) {
                *change += weight * moved;
            }
        };
        for (point, w) in points {
            let moved = &self.points[2 * n * point..2 * n * (point + 1)];
            add(w[0], &moved[..n]);
            add(w[1], &moved[n..]);
            most += dot(&w, &w).sqrt() * self.point_most[point];
        }
        for &(k, w) in angle_errors {
            add(w, &self.angle_errors[n * k..n * (k + 1)]);
            most += w.abs() * self.angle_error_most[k];
        }
        product(&change, &change).sqrt() <= STILL * most
    }
}
