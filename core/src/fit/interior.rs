//! The small conic problem: minimise s over a step of the linear model, for a handful of lines.
//!
//! ```text
//! minimise s    |gap + rows y| <= radius + rise s    for every line
//! ```
//!
//! A primal-dual interior-point method on second-order cones with the scaling of Nesterov and
//! Todd and the predictor and corrector of Mehrotra (L. Vandenberghe, *The CVXOPT linear and
//! quadratic cone program solvers*, 2010, section 7; S. Boyd and L. Vandenberghe, *Convex
//! Optimization*, 11.8). It does not mind ties and corners; what it leaves in digits, [Newton's
//! method](super::polish) adds.
//!
//! With slack (radius + rise s, gap + rows y) and multipliers z, both in the cone, the dual asks
//! for Σ rise z₀ = 1 and Σ rowsᵀ z̄ = 0. Equal multipliers for all features that rise, and no
//! push in any direction, satisfy it, so the start is feasible but for the bounds that are passed.

use super::cone::{Scaling, V3, margin, product, quotient, reach};
use super::touch::Linearised;
use crate::quantity::vector::dot;

/// The iteration between two looks at its result.
#[derive(Clone, Debug)]
pub(super) struct Interior<'a> {
    lines: &'a [Linearised],
    /// The step, in the coordinates the lines came with, mm.
    pub(super) y: [f64; 3],
    /// mm.
    pub(super) s: f64,
    /// One for every line.
    pub(super) cones: Vec<Cone>,
    /// A length that deviations here are like, mm.
    pub(super) size: f64,
    spare: Vec<Newton>,
}

/// Slack and multiplier of one line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cone {
    /// mm.
    pub(super) slack: V3,
    /// Without unit: those of the lines that rise sum to 1.
    pub(super) dual: V3,
}

/// What one iteration knows of one line.
#[derive(Clone, Copy, Debug)]
struct Newton {
    scaling: Scaling,
    square: [V3; 3],
    /// What the slack lacks, mm.
    rest: V3,
    step: V3,
    dual_step: V3,
}

/// What stops the iteration for good.
const MOST: usize = 60;

impl<'a> Interior<'a> {
    /// At least one line has to rise.
    pub(super) fn new(lines: &'a [Linearised]) -> Self {
        let mut over = f64::NEG_INFINITY;
        let mut longest: f64 = 0.0;
        let mut widest: f64 = 0.0;
        let mut count = 0.0;
        for line in lines {
            let length = line.length();
            if line.rise > 0.0 {
                over = over.max(length - line.radius);
                longest = longest.max(length);
                widest = widest.max(line.radius);
                count += 1.0;
            } else {
                longest = longest.max(length - line.radius);
            }
        }
        let size = longest.max(1e-6 * widest).max(1e-12);
        let s = over + size;
        // All products of slack and multiplier alike.
        let inverse: f64 =
            lines.iter().filter(|l| l.rise > 0.0).map(|l| 1.0 / (l.radius + s)).sum();
        let alike = 1.0 / inverse;
        let cones = lines
            .iter()
            .map(|line| {
                let length = line.length();
                let first = if line.rise > 0.0 {
                    line.radius + s
                } else {
                    line.radius.max(length * 1.25).max(1e-9 * size)
                };
                Cone { slack: [first, line.gap[0], line.gap[1]], dual: [alike / first, 0.0, 0.0] }
            })
            .collect();
        debug_assert!(count > 0.0, "nothing rises with s");
        Self { lines, y: [0.0; 3], s, cones, size, spare: Vec::with_capacity(lines.len()) }
    }

    /// Goes on until slack and multipliers are complementary to this part of the size, or until
    /// rounding ends it.
    pub(super) fn run(&mut self, to: f64) {
        for _ in 0..MOST {
            let gap: f64 = self.cones.iter().map(|c| dot(&c.slack, &c.dual)).sum();
            let rest = self.lines.iter().zip(&self.cones).map(|(l, c)| {
                let rest = self.rest(l, c);
                rest[0].abs() + rest[1].abs() + rest[2].abs()
            });
            let near = gap <= to * self.size && rest.fold(0.0, f64::max) <= to * self.size;
            if near || !self.step(gap) {
                break;
            }
        }
    }

    fn rest(&self, line: &Linearised, cone: &Cone) -> V3 {
        let after = line.gap_after(&self.y);
        [
            line.radius + line.rise * self.s - cone.slack[0],
            after[0] - cone.slack[1],
            after[1] - cone.slack[2],
        ]
    }

    /// One step of Mehrotra's method; false if there is none.
    fn step(&mut self, gap: f64) -> bool {
        let mut newton = std::mem::take(&mut self.spare);
        newton.clear();
        let mut a = [[0.0; 4]; 4];
        let mut b = [0.0, 0.0, 0.0, -1.0];
        for (line, cone) in self.lines.iter().zip(&self.cones) {
            let Some(scaling) = Scaling::of(&cone.slack, &cone.dual) else { return false };
            let square = scaling.inverse_square();
            let rest = self.rest(line, cone);
            add_normal(&mut a, line, &square);
            let pull = square.map(|row| -dot(&row, &rest));
            add_transposed(&mut b, line, &pull);
            newton.push(Newton { scaling, square, rest, step: [0.0; 3], dual_step: [0.0; 3] });
        }
        let Some(factor) = Cholesky::of(a) else { return false };
        // Predictor: straight at complementarity.
        let d = factor.solve(b);
        let (mut primal, mut dual) = (1.0_f64, 1.0_f64);
        for ((line, cone), n) in self.lines.iter().zip(&self.cones).zip(&mut newton) {
            n.step = onward(line, &d, &n.rest);
            let h = n.square.map(|row| dot(&row, &n.step));
            n.dual_step = [0, 1, 2].map(|k| -cone.dual[k] - h[k]);
            primal = primal.min(reach(&cone.slack, n.scaling.dets[0], &n.step));
            dual = dual.min(reach(&cone.dual, n.scaling.dets[1], &n.dual_step));
        }
        let ahead: f64 = self
            .cones
            .iter()
            .zip(&newton)
            .map(|(c, n)| {
                dot(&along(&c.slack, primal, &n.step), &along(&c.dual, dual, &n.dual_step))
            })
            .sum();
        let share = (ahead / gap).clamp(0.0, 1.0);
        let center = share * share * share;
        #[expect(clippy::cast_precision_loss, reason = "a handful of lines")]
        let target = center * gap / self.cones.len() as f64;
        // Corrector: the same matrix, with the centre and what the predictor left.
        for ((line, cone), n) in self.lines.iter().zip(&self.cones).zip(&mut newton) {
            let scaled = n.scaling.times(&cone.dual);
            let left = product(&n.scaling.undo(&n.step), &n.scaling.times(&n.dual_step));
            let wanted = [target - left[0], -left[1], -left[2]];
            n.dual_step = n.scaling.undo(&quotient(&scaled, n.scaling.det, &wanted));
            add_transposed(&mut b, line, &n.dual_step);
        }
        let d = factor.solve(b);
        let (mut primal, mut dual) = (f64::INFINITY, f64::INFINITY);
        for ((line, cone), n) in self.lines.iter().zip(&self.cones).zip(&mut newton) {
            n.step = onward(line, &d, &n.rest);
            let h = n.square.map(|row| dot(&row, &n.step));
            n.dual_step = [0, 1, 2].map(|k| n.dual_step[k] - cone.dual[k] - h[k]);
            primal = primal.min(reach(&cone.slack, n.scaling.dets[0], &n.step));
            dual = dual.min(reach(&cone.dual, n.scaling.dets[1], &n.dual_step));
        }
        let keep = 1.0 - 0.1 * share.clamp(0.001, 0.1);
        let (primal, dual) = ((keep * primal).min(1.0), (keep * dual).min(1.0));
        let sound = primal.is_finite() && dual.is_finite() && d.iter().all(|d| d.is_finite());
        if !sound || (primal < 1e-8 && dual < 1e-8) {
            return false;
        }
        for (y, d) in self.y.iter_mut().zip(&d) {
            *y += primal * d;
        }
        self.s += primal * d[3];
        for (cone, n) in self.cones.iter_mut().zip(&newton) {
            cone.slack = along(&cone.slack, primal, &n.step);
            cone.dual = along(&cone.dual, dual, &n.dual_step);
        }
        self.spare = newton;
        true
    }

    /// How far inside the cone slack and multiplier of a line are.
    pub(super) fn inside(&self, k: usize) -> Option<(f64, f64)> {
        self.cones.get(k).map(|c| (margin(&c.slack), margin(&c.dual)))
    }
}

fn along(v: &V3, by: f64, d: &V3) -> V3 {
    [v[0] + by * d[0], v[1] + by * d[1], v[2] + by * d[2]]
}

/// Change of the slack of a line for a step of the unknowns, and what it lacked.
fn onward(line: &Linearised, d: &[f64; 4], rest: &V3) -> V3 {
    let x = [d[0], d[1], d[2]];
    [line.rise * d[3] + rest[0], dot(&line.rows[0], &x) + rest[1], dot(&line.rows[1], &x) + rest[2]]
}

/// Adds Gᵀ v, G being the derivatives of the slack by (y, s).
fn add_transposed(b: &mut [f64; 4], line: &Linearised, v: &V3) {
    for (k, b) in b.iter_mut().take(3).enumerate() {
        *b += line.rows[0][k] * v[1] + line.rows[1][k] * v[2];
    }
    b[3] += line.rise * v[0];
}

/// Adds Gᵀ H G, lower triangle.
fn add_normal(a: &mut [[f64; 4]; 4], line: &Linearised, h: &[V3; 3]) {
    let [p, q] = &line.rows;
    for i in 0..3 {
        let (hp, hq) = (h[1][1] * p[i] + h[1][2] * q[i], h[2][1] * p[i] + h[2][2] * q[i]);
        for j in 0..=i {
            a[i][j] += hp * p[j] + hq * q[j];
        }
        a[3][i] += line.rise * (h[0][1] * p[i] + h[0][2] * q[i]);
    }
    a[3][3] += line.rise * h[0][0];
}

/// L Lᵀ of a matrix of four rows; an unknown that nothing depends on stays 0.
#[derive(Debug)]
struct Cholesky {
    l: [[f64; 4]; 4],
}

impl Cholesky {
    fn of(mut a: [[f64; 4]; 4]) -> Option<Self> {
        for j in 0..4 {
            let [row, below @ ..] = &mut a[j..] else { return None };
            let whole = row[j];
            let pivot = whole - row[..j].iter().map(|v| v * v).sum::<f64>();
            if pivot.is_nan() || pivot.is_infinite() {
                return None;
            }
            // Nothing but rounding is left.
            let inverse = if pivot > 1e-15 * whole { 1.0 / pivot.sqrt() } else { 0.0 };
            for other in below {
                let v: f64 = other[..j].iter().zip(&row[..j]).map(|(a, b)| a * b).sum();
                other[j] = (other[j] - v) * inverse;
            }
            row[j] = inverse;
        }
        Some(Self { l: a })
    }

    fn solve(&self, mut b: [f64; 4]) -> [f64; 4] {
        let l = &self.l;
        for i in 0..4 {
            for k in 0..i {
                b[i] -= l[i][k] * b[k];
            }
            b[i] *= l[i][i];
        }
        for i in (0..4).rev() {
            for k in i + 1..4 {
                b[i] -= l[k][i] * b[k];
            }
            b[i] *= l[i][i];
        }
        b
    }
}

#[cfg(test)]
mod tests {
    use super::super::member::Zone;
    use super::super::pose::Pose;
    use super::super::touch::{Touch, Whose};
    use super::*;

    fn line(gap: [f64; 2], radius: f64, rises: bool) -> Linearised {
        let zone = Zone::Round { radius };
        let whose = Whose::Member(0);
        Touch { whose, nominal: [0.0; 2], measured: gap, zone, rises }.line(&Pose::at(gap), 1.0)
    }

    /// The circle about two points, by hand: centre in the middle. The third is inside.
    #[test]
    fn the_smallest_circle_about_three_points() {
        let lines = [
            line([0.0, 0.0], 0.0, true),
            line([0.06, 0.08], 0.0, true),
            line([0.05, 0.02], 0.0, true),
        ];
        let mut interior = Interior::new(&lines);
        interior.run(1e-11);
        assert!((interior.s - 0.05).abs() < 1e-11);
        assert!((interior.y[0] + 0.03).abs() < 1e-6 && (interior.y[1] + 0.04).abs() < 1e-6);
        let weights: Vec<f64> = interior.cones.iter().map(|c| c.dual[0]).collect();
        assert!((weights[0] - 0.5).abs() < 1e-6 && (weights[1] - 0.5).abs() < 1e-6);
        assert!(weights[2] < 1e-6);
    }

    /// By hand: the bound keeps the point 0.03 away from where it would like to be. It is passed
    /// where the iteration begins.
    #[test]
    fn a_bound_that_is_passed_at_first() {
        let lines = [line([0.10, 0.0], 0.02, true), line([0.04, 0.0], 0.03, false)];
        let mut interior = Interior::new(&lines);
        interior.run(1e-11);
        // x from -0.07 on; s = 0.10 - 0.07 - 0.02.
        assert!((interior.s - 0.01).abs() < 1e-11, "{}", interior.s);
        assert!((interior.y[0] + 0.07).abs() < 1e-10);
    }
}
