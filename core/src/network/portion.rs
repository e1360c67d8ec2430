//! What some part of every observation's variance makes of any result, worked out fast for many
//! results.
//!
//! A result is a row over independent unit errors (see [`super::Influence`]): over those of its own
//! points, and of the estimated shared unknowns, s. An observation of another point has only its own
//! row g over the latter in common with it, and so Σ fᵢ (gᵢ · s)² = sᵀ Q s with Q = Σ fᵢ gᵢ gᵢᵀ, once
//! for all.

use super::adjusted::Adjusted;
use super::block::{product, subtract};
use super::propagation::Propagation;
use crate::quantity::vector::dot;

/// A part of the variance of each observation and of each offset's prior value.
#[derive(Clone, Debug)]
pub struct Portion {
    /// fᵢ, 0 to 1.
    observations: Vec<f64>,
    /// Q, row by row.
    square: Vec<f64>,
    /// The observations with a part, in the order of their points, and where those of each point
    /// start, and the end.
    order: Vec<usize>,
    starts: Vec<usize>,
}

impl Adjusted {
    /// Makes these parts of the variances ready: of each observation, and of what was known
    /// beforehand of each offset, 0 to 1. What is missing at the end of a list has none.
    #[must_use]
    pub fn portion(&self, observations: &[f64], offsets: &[f64]) -> Portion {
        let (rows, joint) = (&self.rows, self.joint());
        let width = rows.estimated();
        let mut square = vec![0.0; width * width];
        let mut add = |f: f64, row: &[f64], from: usize| {
            for (i, a) in row.iter().enumerate() {
                let at = (from + i) * width + from;
                subtract(-f * a, row, &mut square[at..at + row.len()]);
            }
        };
        let count = self.observations.len();
        let observations: Vec<f64> =
            (0..count).map(|i| observations.get(i).copied().unwrap_or(0.0)).collect();
        let mut starts = vec![0; joint.points() + 1];
        for (i, f) in observations.iter().enumerate().filter(|(_, f)| **f > 0.0) {
            add(*f, &rows.shared(joint, i), 0);
            starts[rows.own(i).0 + 1] += 1;
        }
        for (offset, c, standard) in rows.known_offsets() {
            if let Some(f) = offsets.get(offset).filter(|f| **f > 0.0) {
                add(f / (standard * standard), rows.estimated_row(c), c);
            }
        }
        for i in 0..joint.points() {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let mut order = vec![0; starts.last().copied().unwrap_or(0)];
        for i in (0..count).filter(|i| observations[*i] > 0.0) {
            let point = rows.own(i).0;
            order[next[point]] = i;
            next[point] += 1;
        }
        Portion { observations, square, order, starts }
    }
}

impl Propagation<'_> {
    /// The part of the variance of this sum that comes from `portion`, mm².
    #[must_use]
    pub fn portion(&self, portion: &Portion) -> f64 {
        let rows = &self.adjusted.rows;
        let shared = self.estimated();
        let mut sum: f64 = shared
            .iter()
            .zip(portion.square.chunks_exact(rows.estimated().max(1)))
            .map(|(s, row)| s * product(row, shared))
            .sum();
        for &(point, own) in &self.own {
            for &i in &portion.order[portion.starts[point]..portion.starts[point + 1]] {
                let more = dot(&rows.own(i).1, &own);
                sum += portion.observations[i] * more * (more + 2.0 * self.shared_with(i));
            }
        }
        sum.max(0.0)
    }
}
