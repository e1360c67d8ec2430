//! In which directions a point is adjusted.

use super::problem::{FixedPart, Problem};
use super::state::State;
use crate::quantity::vector::{cross, dot, quarter_turned};

/// Directions that differ by no more than this are one direction, rad.
///
/// A milliradian is some three minutes of arc. Two directions so close give the coordinate across
/// them with a thousand times the uncertainty of a height; and a point that is meant to be seen
/// from one side only must not get a second coordinate out of the small angle errors that the
/// adjustment finds.
pub const PARALLEL: f64 = 1e-3;

/// The unit vectors along which a point is adjusted: none, one or two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Freedom {
    basis: [[f64; 2]; 2],
    dims: usize,
}

impl Freedom {
    const NONE: Self = Self { basis: [[0.0; 2]; 2], dims: 0 };
    const BOTH: Self = Self { basis: [[1.0, 0.0], [0.0, 1.0]], dims: 2 };

    fn along(d: [f64; 2]) -> Self {
        Self { basis: [d, [0.0; 2]], dims: 1 }
    }

    pub(super) fn basis(&self) -> &[[f64; 2]] {
        &self.basis[..self.dims]
    }

    pub(super) fn dims(&self) -> usize {
        self.dims
    }

    /// The components of `d` along the unit vectors.
    pub(super) fn weights(&self, d: [f64; 2]) -> [f64; 2] {
        let mut found = [0.0; 2];
        for (found, b) in found.iter_mut().zip(self.basis()) {
            *found = dot(b, &d);
        }
        found
    }

    /// What the directions of `state` give of `point`.
    pub(super) fn of(problem: &Problem<'_>, state: &State, point: usize) -> Self {
        let network = problem.network;
        let seen = problem.of(point);
        let up = |&i: &usize| state.ups[network.direction_of(&network.observations[i])];
        let Some(first) = seen.first() else { return Self::NONE };
        match (problem.fixed[point], problem.normals[point]) {
            (FixedPart::Whole, _) => Self::NONE,
            (_, Some(normal)) => Self::along(normal),
            (FixedPart::Along(d), None) => {
                let b = quarter_turned(d);
                match seen.iter().any(|i| dot(&up(i), &b).abs() > PARALLEL) {
                    true => Self::along(b),
                    false => Self::NONE,
                }
            }
            (FixedPart::Nothing, None) => {
                // The most exact height says along what; the others, whether there is more.
                let standard = |i: usize| network.observations[i].standard;
                let best =
                    seen.iter().fold(first, |b, i| if standard(*i) < standard(*b) { i } else { b });
                let d = up(best);
                match seen.iter().any(|i| cross(d, up(i)).abs() > PARALLEL) {
                    true => Self::BOTH,
                    false => Self::along(d),
                }
            }
        }
    }
}
