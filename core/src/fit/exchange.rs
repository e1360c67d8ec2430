//! The optimum of many conditions: a working set, grown by those that it leaves outside.
//!
//! A minimax fit in three unknowns is held by four features at most (E. Helly's theorem; as a
//! problem of linear-programming type M. Sharir and E. Welzl, *A combinatorial bound for linear
//! programming and related problems*, 1992). So the optimum of a few is found, all are looked at,
//! the worst are added in several directions, and so on until none is outside: an exchange method
//! (R. Hettich and K. O. Kortanek, *Semi-infinite programming*, 1993). Every optimum is a lower
//! bound of the next. Coarse samples come first: what is optimal for every fifteenth leaves few
//! outside (K. L. Clarkson, *Las Vegas algorithms for linear and integer programming when the
//! dimension is small*, 1995).

use super::active::{ActiveCondition, Part};
use super::member::{Bound, Member};
use super::polish::{Point, ROUNDING};
use super::pose::Pose;
use super::scan::Worst;
use super::settle::Settled;
use super::touch::{Touch, Whose};

/// What is to be made as small as possible, and what must hold.
#[derive(Clone, Copy, Debug)]
pub(super) struct Problem<'a> {
    pub(super) members: &'a [Member],
    /// Bounds with room, and their indices.
    pub(super) walls: &'a [(usize, Bound)],
    pub(super) locks: &'a [Touch],
    /// The limit of the rotation.
    pub(super) limit: Option<Touch>,
    /// A length that turns angles into millimetres.
    pub(super) lever: f64,
    /// Rounding that comes with the coordinates, mm.
    pub(super) noise: f64,
}

/// How much was done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effort {
    /// Looks at all features of the pattern.
    pub looks: usize,
    /// Small problems solved.
    pub settled: usize,
}

/// A working set is swept once it is larger than this.
const LARGE: usize = 12;
/// Patterns up to this are their own working set.
const ALL: usize = 16;
/// So many are added at once.
const ADDED: usize = 8;
/// The sample before is smaller by this factor: odd, so that rows and columns of a grid do not
/// fall out of step with it.
const COARSER: usize = 15;
/// The smallest sample.
const FEW: usize = 32;
/// After so many looks, features that differ by no more than rounding are taken as alike.
const PATIENCE: usize = 6;
/// What stops it for good.
const MOST: usize = 1000;

impl Problem<'_> {
    /// The best place, from a pose that closes the locks.
    pub(super) fn minimise(&self, from: Pose, effort: &mut Effort) -> Settled {
        let mut found = Settled {
            point: Point { pose: from, s: f64::NEG_INFINITY },
            held: self.limit.iter().map(|t| ActiveCondition::new(*t)).collect(),
            locks: self.locks.iter().map(|t| ActiveCondition::lock(*t)).collect(),
            size: 0.0,
            noise: self.noise,
            worst: f64::NEG_INFINITY,
        };
        if self.walls.len() <= ADDED {
            found
                .held
                .extend(self.walls.iter().map(|(k, b)| ActiveCondition::new(Touch::bound(*k, b))));
        }
        let mut stride = 1;
        if self.members.len() <= ALL {
            let all = self.members.iter().enumerate();
            found.held.extend(all.map(|(k, m)| ActiveCondition::new(Touch::member(k, m))));
            found.settle(self.lever);
            effort.settled += 1;
        }
        while self.members.len() / (stride * COARSER) >= FEW {
            stride *= COARSER;
        }
        for round in 0..MOST {
            let before = found.point.s;
            let added = self.add(&mut found, stride, effort);
            if added == 0 {
                if stride == 1 {
                    break;
                }
                stride /= COARSER;
                continue;
            }
            found.settle(self.lever);
            effort.settled += 1;
            // What takes no part goes, as long as s rises: so no set comes again.
            let rises = found.point.s > before + 2.0 * ROUNDING * found.size;
            if found.held.len() > LARGE && rises && round < MOST / 2 {
                found.held.retain(|h| h.part != Part::Idle || h.touch.whose == Whose::Turn);
            }
        }
        found
    }

    /// Adds what is outside to the working set.
    fn add(&self, found: &mut Settled, stride: usize, effort: &mut Effort) -> usize {
        let Point { pose, s } = found.point;
        let rounding = ROUNDING * found.size;
        let mut alike = rounding;
        if stride == 1 {
            effort.looks += 1;
            if effort.looks > PATIENCE {
                alike = rounding.max(self.noise);
            }
        }
        let list = Worst::look(self.members, stride, &pose, s + rounding).list();
        found.worst = list.first().map_or(s, |worst| worst.0);
        let mut outside: Vec<(f64, Touch)> = list
            .into_iter()
            .filter(|(over, _)| *over > s + alike)
            .filter_map(|(over, k)| Some((over, Touch::member(k, self.members.get(k)?))))
            .collect();
        let mut passed: Vec<_> = self
            .walls
            .iter()
            .map(|(k, b)| {
                let touch = Touch::bound(*k, b);
                (touch.line(&pose, self.lever).over(0.0), touch)
            })
            .filter(|(over, _)| *over > rounding)
            .collect();
        passed.sort_by(|a, b| b.0.total_cmp(&a.0));
        outside.extend(passed.into_iter().take(ADDED));
        let mut added = 0;
        for (_, touch) in outside {
            if found.held.iter().all(|h| h.touch.whose != touch.whose) {
                found.held.push(ActiveCondition::new(touch));
                added += 1;
            }
        }
        added
    }
}
