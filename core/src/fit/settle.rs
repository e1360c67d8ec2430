//! The optimum of a handful of conditions.

use super::active::{ActiveCondition, Part};
use super::certificate::Weighed;
use super::interior::Interior;
use super::polish::{BALANCE, Point, ROUNDING, Scale, balance, polish};
use super::pose::Pose;
use super::reduce::Reduced;
use super::touch::{Linearised, Touch};
use crate::quantity::vector::{dot, norm};

/// A handful of conditions, and the best place for them.
#[derive(Clone, Debug)]
pub(super) struct Settled {
    pub(super) point: Point,
    pub(super) held: Vec<ActiveCondition>,
    pub(super) locks: Vec<ActiveCondition>,
    /// Lengths in here are like this, mm.
    pub(super) size: f64,
    /// Rounding that came with the coordinates, mm.
    pub(super) noise: f64,
    /// The most that any feature passes its radius by, as last looked at, mm.
    pub(super) worst: f64,
}

/// A turn in one step beyond which the linear model is not to be trusted, rad.
pub(super) const FAR: f64 = 0.25;

/// What stops it for good.
const MOST: usize = 100;

/// One trial to end with Newton's method.
#[derive(Clone, Copy, Debug)]
struct Look {
    /// How close the interior-point method comes before.
    to: f64,
    /// How many conditions may be left out, one after the other, where Newton's method fails.
    trials: usize,
    /// Whether what differs by no more than rounding is taken as alike.
    rough: bool,
}

/// The trials, one after the other.
const LOOKS: [Look; 3] = [
    Look { to: 1e-4, trials: 0, rough: false },
    Look { to: 1e-8, trials: 2, rough: false },
    Look { to: 1e-11, trials: 4, rough: false },
];

impl Settled {
    /// Finds the optimum of what is held, from the pose that is given.
    ///
    /// The rotation is made linear where the pattern is; the conic problem gives a step; Newton's
    /// method ends it, or the pattern is moved and all begins again.
    pub(super) fn settle(&mut self, lever: f64) {
        let mut reach = f64::INFINITY;
        let mut before = 0.0;
        let mut best: Option<(f64, Self)> = None;
        for _ in 0..MOST {
            let pose = self.point.pose;
            let lines: Vec<Linearised> =
                self.held.iter().map(|h| h.touch.line(&pose, lever)).collect();
            let locks: Vec<Linearised> =
                self.locks.iter().map(|h| h.touch.line(&pose, lever)).collect();
            let reduced = Reduced::of(&locks, &lines);
            let mut lines: Vec<Linearised> = lines.iter().map(|l| reduced.line(l)).collect();
            if reach.is_finite() {
                let near = Touch::turn(reach).line(&Pose::at([0.0; 2]), lever);
                lines.push(reduced.line(&near));
            }
            let mut interior = Interior::new(&lines);
            let mut looked: Vec<Interior<'_>> = Vec::new();
            let mut step = [0.0; 3];
            for look in LOOKS {
                interior.run(look.to);
                step = reduced.step(&interior.y);
                if step[2].abs() > 1.01 * FAR.min(reach) * lever {
                    break;
                }
                if self.end(&interior, &lines, after(pose, step, lever), lever, look) {
                    return;
                }
                self.keep(&mut best, lever);
                looked.push(interior.clone());
            }
            // What differs by no more than rounding is alike. The first looks see less of it.
            if looked.len() == LOOKS.len() {
                for (look, interior) in LOOKS.iter().zip(&looked).skip(1) {
                    let look = Look { rough: true, trials: 4, ..*look };
                    step = reduced.step(&interior.y);
                    if self.end(interior, &lines, after(pose, step, lever), lever, look) {
                        return;
                    }
                    self.keep(&mut best, lever);
                }
            }
            if step[2].abs() > 1.01 * FAR.min(reach) * lever {
                self.point.pose = pose;
                reach = FAR;
                continue;
            }
            // To and fro: the steps are too long. Always forth: they may be longer.
            if step[2] * before < 0.0 {
                reach = 0.5 * step[2].abs().min(before.abs()) / lever;
            } else {
                reach *= 1.5;
            }
            before = step[2];
            if dot(&step, &step).sqrt() <= 1e-13 * self.size {
                break;
            }
        }
        if let Some((_, best)) = best {
            *self = best;
        }
    }

    /// Keeps this if it is nearer to a proof than what was kept.
    fn keep(&self, best: &mut Option<(f64, Self)>, lever: f64) {
        let doubt = self.doubt(lever);
        if best.as_ref().is_none_or(|best| doubt < best.0) {
            *best = Some((doubt, self.clone()));
        }
    }

    /// Tries to end it with Newton's method, from where the interior-point method is; if that
    /// fails, everything is as the interior-point method has it.
    fn end(
        &mut self,
        interior: &Interior<'_>,
        lines: &[Linearised],
        pose: Pose,
        lever: f64,
        look: Look,
    ) -> bool {
        self.point = Point { pose, s: interior.s };
        self.size = self.measure(lines, interior, lever);
        let noise = if look.rough { self.noise } else { 0.0 };
        take(&mut self.held, interior, lines, noise);
        let scale = Scale {
            size: self.size,
            rounding: noise.max(ROUNDING * self.size),
            excess: if look.rough { 1e-6 } else { BALANCE },
            trials: look.trials,
        };
        if polish(&mut self.point, &mut self.held, &mut self.locks, lever, scale) {
            return true;
        }
        take(&mut self.held, interior, lines, noise);
        balance(&self.point, &self.held, &mut self.locks, lever);
        // No proof to the last digit; s is then what it is at this place.
        let lines = self.held.iter().map(|h| h.touch.line(&self.point.pose, lever));
        let over = |l: Linearised| if l.rise > 0.0 { l.over(0.0) } else { f64::NEG_INFINITY };
        self.point.s = lines.map(over).fold(f64::NEG_INFINITY, f64::max);
        false
    }

    /// How far from a proof this is, mm: what is passed, what is out of balance, and the gap.
    fn doubt(&self, lever: f64) -> f64 {
        let weighed = Weighed::at(&self.point.pose, self.held.iter().chain(&self.locks), lever);
        let gap = (weighed.s - weighed.bound).abs();
        // What must hold comes first.
        let doubt = gap + 1e6 * weighed.passed + weighed.imbalance * self.size;
        if doubt.is_nan() { f64::INFINITY } else { doubt }
    }

    /// The largest length that a deviation here is made of, mm.
    fn measure(&self, lines: &[Linearised], interior: &Interior<'_>, lever: f64) -> f64 {
        let pose = &self.point.pose;
        let moved = norm(pose.shift).max((pose.turn * lever).abs()).max(interior.s.abs());
        lines.iter().fold(moved, |m, l| m.max(l.length()).max(l.radius))
    }
}

/// The pose after a step of the linear model.
fn after(pose: Pose, [x, y, turn]: [f64; 3], lever: f64) -> Pose {
    pose.moved([x, y], turn / lever)
}

/// Parts and multipliers as the interior-point method has them. A zone that has shrunk to less
/// than the noise has shrunk to nothing.
fn take(held: &mut [ActiveCondition], interior: &Interior<'_>, lines: &[Linearised], noise: f64) {
    for (k, ((h, cone), line)) in held.iter_mut().zip(&interior.cones).zip(lines).enumerate() {
        let Some((room, spare)) = interior.inside(k) else { continue };
        let push = norm([cone.dual[1], cone.dual[2]]);
        let length = norm([cone.slack[1], cone.slack[2]]);
        *h = ActiveCondition::new(h.touch);
        if line.rise > 0.0 && cone.slack[0] + length < noise.max(spare * interior.size) {
            h.part = Part::Apex;
            h.weight = cone.dual[0];
            h.force = [-cone.dual[1], -cone.dual[2]];
        } else if (cone.dual[0] + push) * interior.size > room {
            h.part = Part::Rim;
            h.weight = 0.5 * (cone.dual[0] + push);
            h.force = [-cone.dual[1], -cone.dual[2]];
        }
    }
}
