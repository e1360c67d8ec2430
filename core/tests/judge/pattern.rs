//! The minimax fit of a pattern by a general conic solver, made linear in the rotation again and again
//! until the rotation stands still.

use super::document::{Pair, dot, turned};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettings, DefaultSolver, IPSolver, SolverStatus, SupportedConeT};

/// A zone about a basic place: a disc, or two planes across a direction.
#[derive(Clone, Debug)]
pub(crate) struct Zone {
    pub measured: Pair,
    pub basic: Pair,
    pub across: Option<Pair>,
    /// Radius, or half the distance of the planes.
    pub half: f64,
}

/// What is to be fitted: members want to be inside, bounds must be; nothing turns if `turns` is false.
#[derive(Clone, Debug, Default)]
pub(crate) struct Problem {
    pub members: Vec<Zone>,
    pub bounds: Vec<Zone>,
    pub turns: bool,
}

#[derive(Clone, Copy, Debug)]
pub(crate) enum Fit {
    /// The least s: what the worst member lies outside its zone, as a radius.
    Best {
        s: f64,
        pose: Pose,
    },
    /// The bounds cannot all be kept, by this much in radius.
    Infeasible {
        excess: f64,
    },
    Failed,
}

/// Points turn about the pivot and move.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pose {
    pub pivot: Pair,
    pub shift: Pair,
    pub turn: f64,
}

impl Pose {
    pub(crate) fn place(&self, p: Pair) -> Pair {
        let v = turned([p[0] - self.pivot[0], p[1] - self.pivot[1]], self.turn);
        [v[0] + self.pivot[0] + self.shift[0], v[1] + self.pivot[1] + self.shift[1]]
    }
}

/// How far outside its zone a point lies, negative inside.
pub(crate) fn outside(z: &Zone, pose: &Pose) -> f64 {
    let p = pose.place(z.measured);
    let d = [p[0] - z.basic[0], p[1] - z.basic[1]];
    z.across.map_or_else(|| libm::hypot(d[0], d[1]), |n| dot(n, d).abs()) - z.half
}

/// A room that arithmetic cannot tell from none.
pub(crate) const NO_ROOM: f64 = 1e-9;

struct Rows {
    entries: Vec<(usize, usize, f64)>,
    right: Vec<f64>,
    cones: Vec<SupportedConeT<f64>>,
}

impl Rows {
    /// A row right - coefficients . (x, y, turn, s).
    fn row(&mut self, right: f64, coefficients: [f64; 4]) {
        let k = self.right.len();
        self.right.push(right);
        self.entries.extend(
            coefficients.into_iter().enumerate().filter(|(_, c)| *c != 0.0).map(|(j, c)| (k, j, c)),
        );
    }

    fn zone(&mut self, z: &Zone, pose: &Pose, lever: f64, unit: f64, slack: bool) {
        let p = pose.place(z.measured);
        let gap = [(p[0] - z.basic[0]) / unit, (p[1] - z.basic[1]) / unit];
        let arm = [
            (p[0] - pose.pivot[0] - pose.shift[0]) / lever,
            (p[1] - pose.pivot[1] - pose.shift[1]) / lever,
        ];
        // Rows of d(gap) = dx, dy and the turn times the arm.
        let x = [1.0, 0.0, -arm[1]];
        let y = [0.0, 1.0, arm[0]];
        let s = if slack { 1.0 } else { 0.0 };
        let half = z.half / unit;
        match z.across {
            Some(n) => {
                let g = dot(n, gap);
                let c = [0, 1, 2].map(|j| n[0] * x[j] + n[1] * y[j]);
                if !slack && z.half == 0.0 {
                    self.row(g, [-c[0], -c[1], -c[2], 0.0]);
                    self.cones.push(SupportedConeT::ZeroConeT(1));
                } else {
                    self.row(half - g, [c[0], c[1], c[2], -s]);
                    self.row(half + g, [-c[0], -c[1], -c[2], -s]);
                    self.cones.push(SupportedConeT::NonnegativeConeT(2));
                }
            }
            None if !slack && z.half == 0.0 => {
                self.row(gap[0], [-x[0], -x[1], -x[2], 0.0]);
                self.row(gap[1], [-y[0], -y[1], -y[2], 0.0]);
                self.cones.push(SupportedConeT::ZeroConeT(2));
            }
            None => {
                self.row(half, [0.0, 0.0, 0.0, -s]);
                self.row(gap[0], [-x[0], -x[1], -x[2], 0.0]);
                self.row(gap[1], [-y[0], -y[1], -y[2], 0.0]);
                self.cones.push(SupportedConeT::SecondOrderConeT(3));
            }
        }
    }
}

fn once(
    members: &[Zone],
    bounds: &[Zone],
    turns: bool,
    pose: &Pose,
    lever: f64,
    unit: f64,
) -> Option<[f64; 4]> {
    let mut rows = Rows { entries: Vec::new(), right: Vec::new(), cones: Vec::new() };
    for m in members {
        rows.zone(m, pose, lever, unit, true);
    }
    for b in bounds {
        rows.zone(b, pose, lever, unit, false);
    }
    if !turns {
        rows.row(0.0, [0.0, 0.0, 1.0, 0.0]);
        rows.cones.push(SupportedConeT::ZeroConeT(1));
    }
    let (i, (j, v)): (Vec<_>, (Vec<_>, Vec<_>)) =
        rows.entries.iter().map(|(i, j, v)| (*i, (*j, *v))).unzip();
    let a = CscMatrix::new_from_triplets(rows.right.len(), 4, i, j, v);
    for tolerance in [1e-11, 1e-9] {
        let settings = DefaultSettings::<f64> {
            verbose: false,
            tol_gap_abs: tolerance,
            tol_gap_rel: tolerance,
            tol_feas: tolerance,
            max_iter: 200,
            ..DefaultSettings::default()
        };
        let cost = [0.0, 0.0, 0.0, 1.0];
        let p = CscMatrix::<f64>::zeros((4, 4));
        let mut solver =
            DefaultSolver::new(&p, &cost, &a, &rows.right, &rows.cones, settings).ok()?;
        solver.solve();
        let x = &solver.solution.x;
        if matches!(
            solver.solution.status,
            SolverStatus::Solved | SolverStatus::AlmostSolved | SolverStatus::InsufficientProgress
        ) {
            return Some([x[0] * unit, x[1] * unit, x[2] * unit, x[3] * unit]);
        }
    }
    None
}

/// Minimises the worst `outside` of the members; the bounds are kept.
fn iterate(members: &[Zone], bounds: &[Zone], turns: bool, start: Pose) -> Option<(f64, Pose)> {
    let mut pose = start;
    let lever = members
        .iter()
        .chain(bounds)
        .map(|z| libm::hypot(z.measured[0] - pose.pivot[0], z.measured[1] - pose.pivot[1]))
        .fold(1.0, f64::max);
    for _ in 0..40 {
        let unit = members
            .iter()
            .chain(bounds)
            .map(|z| (outside(z, &pose) + z.half).abs().max(z.half))
            .fold(1e-3, f64::max);
        let x = once(members, bounds, turns, &pose, lever, unit)?;
        pose.shift = [pose.shift[0] + x[0], pose.shift[1] + x[1]];
        pose.turn += x[2] / lever;
        // What the linear model leaves out is half the square of the step over the lever.
        if x[2] * x[2] / lever < 1e-12 {
            return Some((x[3], pose));
        }
    }
    None
}

/// The minimax fit, with its bounds kept where they can be.
pub(crate) fn fit(problem: &Problem) -> Fit {
    let n = problem.members.len().max(1) as f64;
    let mut pivot = [0.0; 2];
    for m in &problem.members {
        pivot = [pivot[0] + m.measured[0] / n, pivot[1] + m.measured[1] / n];
    }
    let start = Pose { pivot, shift: [0.0; 2], turn: 0.0 };
    let mut bounds = problem.bounds.clone();
    if let Some(worst) = bounds.iter().map(|b| b.half).reduce(f64::min)
        && worst < -NO_ROOM
    {
        return Fit::Infeasible { excess: -worst };
    }
    for b in &mut bounds {
        if b.half < NO_ROOM {
            b.half = 0.0;
        }
    }
    // Are there places that keep all bounds? The fixed ones hold, the others give way alike.
    let (fixed, rooms): (Vec<Zone>, Vec<Zone>) =
        bounds.iter().cloned().partition(|b| b.half == 0.0);
    let mut from = start;
    if !fixed.is_empty() {
        // Points that must stand at their places and do not fit each other.
        let Some((excess, pose)) = iterate(&fixed, &[], problem.turns, start) else {
            return Fit::Failed;
        };
        if excess > NO_ROOM {
            return Fit::Infeasible { excess };
        }
        from = pose;
    }
    if !rooms.is_empty() {
        let Some((excess, pose)) = iterate(&rooms, &fixed, problem.turns, from) else {
            return Fit::Failed;
        };
        if excess > NO_ROOM {
            return Fit::Infeasible { excess };
        }
        from = pose;
        if excess > -1e-7 {
            // One place only, as far as the solver can tell.
            for b in &mut bounds {
                if b.half > 0.0 {
                    b.half += 1e-9;
                }
            }
        }
    }
    match iterate(&problem.members, &bounds, problem.turns, from)
        .or_else(|| iterate(&problem.members, &bounds, problem.turns, start))
    {
        Some((_, pose)) => {
            let s =
                problem.members.iter().map(|m| outside(m, &pose)).fold(f64::NEG_INFINITY, f64::max);
            Fit::Best { s, pose }
        }
        None => Fit::Failed,
    }
}
