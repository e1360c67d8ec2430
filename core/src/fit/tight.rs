//! Bounds with next to no room.

use super::active::ActiveCondition;
use super::member::Bound;
use super::touch::Touch;
use crate::quantity::vector::{dot, minus, norm};

/// How often bounds with next to no room are placed again.
pub(super) const LEANS: usize = 6;

/// A bound whose room is so small that rounding leaves nothing of the direction of a deviation in
/// it: it is locked where it leans, at the point of its rim to which it is pushed.
///
/// With f the multiplier of the lock, s falls by f · d where the lock is moved by d, so of all
/// points in the room the best is along f (S. Boyd and L. Vandenberghe, *Convex Optimization*,
/// 5.6). The room being small, f hardly changes on the way.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tight {
    /// Index among the locks.
    lock: usize,
    bound: Bound,
    /// Deviation at which it is locked, mm.
    at: [f64; 2],
}

impl Tight {
    /// A bound, locked as the lock with this index.
    pub(super) const fn new(bound: Bound, lock: usize) -> Self {
        Self { lock, bound, at: [0.0; 2] }
    }

    /// Whether it is more than a lock.
    pub(super) fn has_room(&self) -> bool {
        self.bound.room() > 0.0
    }

    /// Moves the lock to where its multiplier pushes it; by how much, mm.
    pub(super) fn lean(&mut self, locks: &mut [Touch], found: &[ActiveCondition]) -> f64 {
        let (Some(lock), Some(force)) = (locks.get_mut(self.lock), self.force(found)) else {
            return 0.0;
        };
        let (length, radius) = (norm(force), self.bound.room().max(0.0));
        let to = if length > 1e-9 { force.map(|f| f / length * radius) } else { self.at };
        let moved = norm(minus(to, self.at));
        self.at = to;
        lock.nominal = [self.bound.nominal[0] + to[0], self.bound.nominal[1] + to[1]];
        moved
    }

    /// What the multiplier proves less than a lock would, mm.
    pub(super) fn gap(&self, found: &[ActiveCondition]) -> f64 {
        let force = self.force(found).unwrap_or([0.0; 2]);
        norm(force) * self.bound.room().max(0.0) - dot(&force, &self.at)
    }

    fn force(&self, found: &[ActiveCondition]) -> Option<[f64; 2]> {
        found.get(self.lock).map(|h| h.touch.in_drawing(h.force))
    }
}
