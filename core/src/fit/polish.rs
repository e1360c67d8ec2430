//! Newton's method on the conditions of optimality, with the rotation as it is.
//!
//! Once it is known which conditions hold the optimum, they are equations. With J their
//! derivatives, λ the multipliers and H the second derivatives of s + Σ λ (|deviation| - radius -
//! s), a step δ of the unknowns (x, y, φ, s) closes the conditions in the range of Jᵀ and goes to
//! the lowest point in what is left (J. Nocedal and S. Wright, *Numerical Optimization*, 18.1 and
//! 16.2, the null-space form). The second derivatives of the rotation are part of H, so this is
//! relinearising until the rotation stands still, but quadratic in the end.
//!
//! More conditions than unknowns may hold the optimum at once. So all are weighted with their
//! multipliers: of conditions that say the same each moves by its share, and one that hardly
//! takes part hardly matters.

use super::active::{ActiveCondition, Part};
use super::eigen::add_square;
use super::pose::Pose;
use super::range::Range;
use crate::quantity::vector::{dot, norm};

/// Where Newton's method stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub(super) pose: Pose,
    /// mm.
    pub(super) s: f64,
}

/// What lengths are like.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    /// The largest that a deviation is made of, mm.
    pub(super) size: f64,
    /// Below this two lengths are the same, mm.
    pub(super) rounding: f64,
    /// By how much a push may pass its weight before it is cut off.
    pub(super) excess: f64,
    /// How many conditions may be left out, one after the other, where Newton's method fails.
    pub(super) trials: usize,
}

/// Rounding in a length, as part of the lengths it is made of.
pub(super) const ROUNDING: f64 = 2e-14;
/// Rounding in a sum of multipliers.
pub(super) const BALANCE: f64 = 1e-12;

/// The pushes of the locks that balance those of what is held, as they are.
pub(super) fn balance(
    point: &Point,
    held: &[ActiveCondition],
    locks: &mut [ActiveCondition],
    lever: f64,
) {
    if locks.is_empty() {
        return;
    }
    for h in locks.iter_mut() {
        h.force = [0.0; 2];
    }
    let shares: Vec<f64> = held
        .iter()
        .chain(&*locks)
        .map(|h| if h.part == Part::Lock { share(h, point, lever) } else { 0.0 })
        .collect();
    let system = system(point, held, locks, &shares, lever);
    let change = Range::of(&system.normal).solve(&system.gradient);
    for (h, share) in locks.iter_mut().zip(shares.iter().skip(held.len())) {
        give(h, *share, &change, point, lever);
    }
}

/// What Newton's method needs of all conditions at one point.
struct System {
    /// Jᵀ Λ J.
    normal: [[f64; 4]; 4],
    /// Jᵀ Λ times what the conditions lack.
    open: [f64; 4],
    /// Gradient of the Lagrangian.
    gradient: [f64; 4],
    /// Its second derivatives.
    bent: [[f64; 4]; 4],
    /// The most that a condition lacks, mm.
    lacks: f64,
}

/// Brings point and multipliers to where rounding ends; false, and everything as it was but the
/// multipliers, if that is no optimum of what is held.
pub(super) fn polish(
    point: &mut Point,
    held: &mut [ActiveCondition],
    locks: &mut [ActiveCondition],
    lever: f64,
    scale: Scale,
) -> bool {
    let mut at = *point;
    balance(point, held, locks, lever);
    let first = held.to_vec();
    let mut without = Vec::new();
    for _ in 0..8 {
        if !newton(&mut at, held, locks, lever, scale) {
            // Two zones may touch where both hold the optimum, and then either will do: again
            // without the weakest.
            let weakest = first
                .iter()
                .enumerate()
                .filter(|(k, h)| h.part == Part::Rim && !without.contains(k))
                .min_by(|a, b| a.1.weight.total_cmp(&b.1.weight));
            let Some((weakest, _)) = weakest.filter(|_| without.len() < scale.trials) else {
                return false;
            };
            without.push(weakest);
            at = *point;
            held.copy_from_slice(&first);
            for k in &without {
                held[*k] = ActiveCondition::new(held[*k].touch);
            }
            balance(point, held, locks, lever);
            continue;
        }
        // What pulls instead of pushing takes no part.
        let mut dropped = false;
        for h in held.iter_mut().filter(|h| h.part == Part::Rim && h.weight < -BALANCE) {
            *h = ActiveCondition::new(h.touch);
            dropped = true;
        }
        if dropped {
            continue;
        }
        // What was passed over takes part.
        let mut worst = (scale.rounding, None);
        for (k, h) in held.iter().enumerate() {
            if h.part == Part::Idle {
                let over = h.touch.line(&at.pose, lever).over(at.s);
                if over > worst.0 {
                    worst = (over, Some(k));
                }
            } else if h.part == Part::Apex && norm(h.force) > h.weight + scale.excess {
                return false;
            }
        }
        let Some(h) = worst.1.and_then(|k| held.get_mut(k)) else {
            *point = at;
            finish(point, held, locks, lever);
            return true;
        };
        h.part = Part::Rim;
        h.weight = 1e-2;
    }
    false
}

/// Puts down the pushes of an optimum.
fn finish(point: &Point, held: &mut [ActiveCondition], locks: &mut [ActiveCondition], lever: f64) {
    let mut cut = false;
    for h in held.iter_mut() {
        let push = norm(h.force);
        if h.part == Part::Rim {
            h.weight = h.weight.max(0.0);
            let u = ActiveCondition::direction(&h.touch.line(&point.pose, lever));
            h.force = u.map(|u| h.weight * u);
        } else if h.part == Part::Apex && push > h.weight {
            h.force = h.force.map(|f| f * (h.weight / push));
            cut = true;
        }
    }
    if cut {
        balance(point, held, locks, lever);
    }
}

/// Newton's method for the parts as they are.
fn newton(
    at: &mut Point,
    held: &mut [ActiveCondition],
    locks: &mut [ActiveCondition],
    lever: f64,
    scale: Scale,
) -> bool {
    let mut before = f64::INFINITY;
    let mut stalled = 0;
    // Weights stay what they were at the beginning.
    let shares: Vec<f64> = held.iter().chain(&*locks).map(|h| share(h, at, lever)).collect();
    for round in 0..12 {
        let system = system(at, held, locks, &shares, lever);
        let imbalance = system.gradient.iter().fold(0.0_f64, |m, g| m.max(g.abs()));
        let range = Range::of(&system.normal);
        let mut step = range.solve(&system.open).map(|v| -v);
        let bent = |step: &[f64; 4]| {
            let mut g = system.gradient;
            for (g, row) in g.iter_mut().zip(&system.bent) {
                *g += dot(row, step);
            }
            g
        };
        if !range.is_whole() {
            let on = range.lowest(&system.bent, &bent(&step));
            for (step, on) in step.iter_mut().zip(on) {
                *step += on;
            }
        }
        let change = range.solve(&bent(&step));
        let length = step.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        if length.is_nan() || length > 10.0 * scale.size {
            return false;
        }
        let done = length <= 1e-15 * scale.size;
        if done || (round > 1 && length >= 0.5 * before) {
            if system.lacks <= scale.rounding && imbalance <= BALANCE {
                return true;
            }
            stalled += 1;
            if stalled > 1 || (!done && length > 1e-6 * scale.size) {
                return false;
            }
        }
        before = length;
        let [x, y, turn, s] = step;
        at.pose = at.pose.moved([x, y], turn / lever);
        at.s += s;
        let old = Point { pose: at.pose.moved([-x, -y], -turn / lever), s: at.s - s };
        for (h, share) in held.iter_mut().chain(&mut *locks).zip(&shares) {
            give(h, *share, &change, &old, lever);
        }
    }
    false
}

/// How much a condition counts among those that say the same.
fn share(h: &ActiveCondition, at: &Point, lever: f64) -> f64 {
    match h.part {
        Part::Idle => 0.0,
        Part::Rim | Part::Apex => h.weight.max(1e-6),
        Part::Lock => {
            let rows = h.touch.line(&at.pose, lever).rows;
            1.0 / (dot(&rows[0], &rows[0]).max(dot(&rows[1], &rows[1]))).max(1e-12)
        }
    }
}

const fn with_s(row: &[f64; 3], s: f64) -> [f64; 4] {
    [row[0], row[1], row[2], s]
}

/// Derivatives of the length of the deviation, and the direction of it.
fn along(h: &ActiveCondition, line: &super::touch::Linearised) -> ([f64; 4], [f64; 2]) {
    let u = ActiveCondition::direction(line);
    let row = [0, 1, 2].map(|k| u[0] * line.rows[0][k] + u[1] * line.rows[1][k]);
    debug_assert!(h.part == Part::Rim);
    (with_s(&row, -line.rise), u)
}

fn system(
    at: &Point,
    held: &[ActiveCondition],
    locks: &[ActiveCondition],
    shares: &[f64],
    lever: f64,
) -> System {
    let mut out = System {
        normal: [[0.0; 4]; 4],
        open: [0.0; 4],
        gradient: [0.0, 0.0, 0.0, 1.0],
        bent: [[0.0; 4]; 4],
        lacks: 0.0,
    };
    let mut condition = |g: &[f64; 4], lacks: f64, share: f64, multiplier: f64| {
        add_square(&mut out.normal, share, g);
        for ((open, gradient), g) in out.open.iter_mut().zip(&mut out.gradient).zip(g) {
            *open += share * lacks * g;
            *gradient += multiplier * g;
        }
        out.lacks = out.lacks.max(lacks.abs());
    };
    for (h, share) in held.iter().chain(locks).zip(shares) {
        if h.part == Part::Idle {
            continue;
        }
        let line = h.touch.line(&at.pose, lever);
        match h.part {
            Part::Idle => {}
            Part::Rim => {
                let (g, [ux, uy]) = along(h, &line);
                condition(&g, line.over(at.s), *share, h.weight);
                // The distance from a circle's centre bends across the deviation.
                let across = [0, 1, 2].map(|k| ux * line.rows[1][k] - uy * line.rows[0][k]);
                let bend = h.weight / line.length().max(f64::MIN_POSITIVE);
                add_square(&mut out.bent, bend, &with_s(&across, 0.0));
                out.bent[2][2] += h.weight * (ux * line.bend[0] + uy * line.bend[1]);
            }
            Part::Apex | Part::Lock => {
                for k in 0..2 {
                    if line.rows[k].iter().any(|v| *v != 0.0) {
                        condition(&with_s(&line.rows[k], 0.0), line.gap[k], *share, h.force[k]);
                        out.bent[2][2] += h.force[k] * line.bend[k];
                    }
                }
                if h.part == Part::Apex {
                    let lacks = -(line.radius + at.s);
                    condition(&[0.0, 0.0, 0.0, -1.0], lacks, *share, h.weight);
                }
            }
        }
    }
    out
}

/// The change of the multipliers of one condition.
fn give(h: &mut ActiveCondition, share: f64, change: &[f64; 4], old: &Point, lever: f64) {
    if h.part == Part::Idle {
        return;
    }
    let line = h.touch.line(&old.pose, lever);
    match h.part {
        Part::Idle => {}
        Part::Rim => h.weight -= share * dot(&along(h, &line).0, change),
        Part::Apex | Part::Lock => {
            for (force, row) in h.force.iter_mut().zip(&line.rows) {
                *force -= share * dot(&with_s(row, 0.0), change);
            }
            if h.part == Part::Apex {
                h.weight += share * change[3];
            }
        }
    }
}
