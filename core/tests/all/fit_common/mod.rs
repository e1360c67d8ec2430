//! Random patterns, and the same problem given to a general conic solver.

use super::random::Random;
use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettings, DefaultSolver, IPSolver, SolverStatus, SupportedConeT};
use quarterturn_core::fit::{Bound, Counterpart, Freedom, Member, Turn, Zone};

/// One problem.
#[derive(Clone, Debug)]
pub(crate) struct Case {
    pub(crate) members: Vec<Member>,
    pub(crate) bounds: Vec<Bound>,
    pub(crate) freedom: Freedom,
    /// What deviations are like, mm.
    pub(crate) size: f64,
}

fn normal(r: &mut Random) -> [f64; 2] {
    match r.remainder(4) {
        0 => [1.0, 0.0],
        1 => [0.0, 1.0],
        2 => [0.6, 0.8],
        _ => {
            let a = r.range(0.0, std::f64::consts::TAU);
            let (x, y) = (libm::cos(a), libm::sin(a));
            let n = libm::hypot(x, y);
            [x / n, y / n]
        }
    }
}

/// A random pattern of 1 to `most` features.
pub(crate) fn case(r: &mut Random, most: f64) -> Case {
    let n = r.log_range(1.0, most + 0.999) as usize;
    let scale = r.log_range(1.0, 1000.0);
    let size = r.log_range(0.001, 1.0).min(0.004 * scale);
    let away = if r.chance(0.2) { r.range(-10.0, 10.0) * scale } else { 0.0 };
    let alike = r.chance(0.3);
    let slots = match r.remainder(4) {
        0 | 1 => 0.0,
        2 => 0.3,
        _ => 1.0,
    };
    let grid = r.chance(0.3);
    let line = r.chance(0.1);
    let one = size * r.range(0.0, 1.0);
    let off = [r.range(-1.0, 1.0) * size, r.range(-1.0, 1.0) * size];
    let place = |r: &mut Random| {
        let x = r.range(-0.5, 0.5) * scale;
        let y = if line { 0.3 * x } else { r.range(-0.5, 0.5) * scale };
        if grid {
            [
                (x / scale * 8.0).round() * scale / 8.0 + away,
                (y / scale * 8.0).round() * scale / 8.0,
            ]
        } else {
            [x + away, y]
        }
    };
    let near = |r: &mut Random, n: [f64; 2]| {
        [n[0] + off[0] + size * r.range(-1.0, 1.0), n[1] + off[1] + size * r.range(-1.0, 1.0)]
    };
    let members = (0..n)
        .map(|_| {
            let nominal = place(r);
            let measured = near(r, nominal);
            let radius = if alike { one } else { size * r.range(0.0, 1.5) };
            let zone = if r.chance(slots) {
                Zone::Planes { normal: normal(r), half: radius }
            } else {
                Zone::Round { radius }
            };
            Member { nominal, measured, zone }
        })
        .collect();
    let mut freedom = Freedom::FREE;
    let mut bounds = Vec::new();
    let mut datum = |r: &mut Random, zone: Zone| {
        let nominal = place(r);
        let measured = near(r, nominal);
        bounds.push(Bound::within(nominal, measured, zone));
    };
    let regardless = |b: &mut Bound| {
        b.counterpart = match b.zone() {
            Zone::Round { .. } => Counterpart::Round,
            Zone::Planes { normal, .. } => Counterpart::Planes { normal },
        }
    };
    match r.remainder(9) {
        0 => {}
        1 => freedom = Freedom::SLIDING,
        2 => {
            datum(r, Zone::Round { radius: 0.0 });
            bounds.iter_mut().for_each(regardless);
        }
        3 => {
            datum(r, Zone::Round { radius: 0.0 });
            // A clocking slot: somewhere else, roughly across the line from the hole.
            let angle = r.range(0.0, std::f64::consts::TAU);
            let far = r.range(0.3, 1.0) * scale;
            let from = bounds[0].nominal;
            let (x, y) = (far * libm::cos(angle), far * libm::sin(angle));
            let nominal = [from[0] + x, from[1] + y];
            let across = angle + std::f64::consts::FRAC_PI_2 + r.range(-0.5, 0.5);
            let normal = [libm::cos(across), libm::sin(across)];
            let measured = near(r, nominal);
            bounds.push(Bound::within(nominal, measured, Zone::Planes { normal, half: 0.0 }));
            bounds.iter_mut().for_each(regardless);
        }
        4 => {
            let radius = size * r.range(0.3, 3.0);
            datum(r, Zone::Round { radius });
            datum(r, Zone::Round { radius: size * 0.5 });
        }
        5 => {
            datum(r, Zone::Round { radius: 0.0 });
            let radius = size * r.range(0.5, 2.0);
            datum(r, Zone::Round { radius });
            if r.chance(0.7) {
                bounds.iter_mut().take(1).for_each(regardless);
            }
        }
        6 => {
            let half = size * r.range(0.3, 3.0);
            datum(r, Zone::Planes { normal: [1.0, 0.0], half });
            datum(r, Zone::Planes { normal: [0.0, 1.0], half });
            let across = normal(r);
            datum(r, Zone::Planes { normal: across, half: 2.0 * half });
        }
        7 => {
            freedom.turn = Turn::Within(size / scale * r.range(0.1, 2.0));
            datum(r, Zone::Round { radius: 2.0 * size });
        }
        _ => {
            freedom.x = r.chance(0.5);
            freedom.y = r.chance(0.3);
            if r.chance(0.3) {
                freedom.turn = Turn::Locked;
            }
        }
    }
    Case { members, bounds, freedom, size }
}

/// Holes and slots that conform with room to spare once shifted, and some that are far out, whose
/// indices come with it.
pub(crate) fn with_bad_ones(r: &mut Random, count: usize, bad: usize) -> (Case, Vec<usize>) {
    let mut planted: Vec<usize> = Vec::new();
    while planted.len() < bad.min(count) {
        let k = r.remainder(count);
        if !planted.contains(&k) {
            planted.push(k);
        }
    }
    planted.sort_unstable();
    let shift = [r.range(-0.01, 0.01), r.range(-0.01, 0.01)];
    let slots = if r.chance(0.3) { 0.3 } else { 0.0 };
    let members = (0..count)
        .map(|k| {
            let nominal = [r.range(-100.0, 100.0), r.range(-100.0, 100.0)];
            let angle = r.range(0.0, std::f64::consts::TAU);
            let normal = [libm::cos(angle), libm::sin(angle)];
            let out = match planted.contains(&k) {
                true => r.range(0.15, 0.3) * if r.chance(0.5) { 1.0 } else { -1.0 },
                false => r.range(-0.015, 0.015),
            };
            let measured = [0, 1].map(|axis| nominal[axis] + shift[axis] + out * normal[axis]);
            let radius = r.range(0.02, 0.03);
            let zone = match r.chance(slots) {
                true => Zone::Planes { normal, half: radius },
                false => Zone::Round { radius },
            };
            Member { nominal, measured, zone }
        })
        .collect();
    let freedom = if r.chance(0.5) { Freedom::FREE } else { Freedom::SLIDING };
    let mut bounds = Vec::new();
    if r.chance(0.5) {
        let nominal = [r.range(-100.0, 100.0), r.range(-100.0, 100.0)];
        let zone = Zone::Round { radius: r.range(0.015, 0.05) };
        bounds.push(Bound::within(nominal, nominal, zone));
    }
    (Case { members, bounds, freedom, size: 0.05 }, planted)
}

/// The same with every figure a multiple of a gauge's last digit, so that ties and zeros abound.
pub(crate) fn read_off(mut case: Case, digit: f64) -> Case {
    let round = |v: f64| (v / digit).round() * digit;
    let zone = |zone: Zone| match zone {
        Zone::Round { radius } => Zone::Round { radius: round(radius) },
        Zone::Planes { normal, half } => Zone::Planes { normal, half: round(half) },
    };
    for m in &mut case.members {
        (m.nominal, m.measured) = (m.nominal.map(round), m.measured.map(round));
        m.zone = zone(m.zone);
    }
    for b in &mut case.bounds {
        (b.nominal, b.measured) = (b.nominal.map(round), b.measured.map(round));
        if let Counterpart::Boundary(room) = &mut b.counterpart {
            *room = zone(*room);
        }
    }
    case
}

/// What the general solver finds.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Found {
    /// The least s, with pivot, shift of the pivot and turn.
    Optimum {
        s: f64,
        #[allow(dead_code, reason = "the benchmark reads it")]
        pivot: [f64; 2],
        #[allow(dead_code, reason = "the benchmark reads it")]
        shift: [f64; 2],
        turn: f64,
    },
    Infeasible,
    Failed,
}

struct Rows {
    entries: Vec<(usize, usize, f64)>,
    b: Vec<f64>,
    cones: Vec<SupportedConeT<f64>>,
}

impl Rows {
    /// A row value - coefficients . (x, y, phi, s), with value and s in units.
    fn row(&mut self, value: f64, coefficients: [f64; 4]) {
        let k = self.b.len();
        self.b.push(value);
        for (j, c) in coefficients.into_iter().enumerate() {
            if c != 0.0 {
                self.entries.push((k, j, c));
            }
        }
    }

    fn zone(&mut self, line: &Linear, unit: f64, rises: f64) {
        let [a, b] = line.rows;
        let (u, v) = (line.gap[0] / unit, line.gap[1] / unit);
        let radius = line.radius / unit;
        if line.flat && rises == 0.0 && radius == 0.0 {
            self.row(u, [-a[0], -a[1], -a[2], 0.0]);
            self.cones.push(SupportedConeT::ZeroConeT(1));
        } else if line.flat {
            self.row(radius + u, [-a[0], -a[1], -a[2], -rises]);
            self.row(radius - u, [a[0], a[1], a[2], -rises]);
            self.cones.push(SupportedConeT::NonnegativeConeT(2));
        } else if rises == 0.0 && radius == 0.0 {
            self.row(u, [-a[0], -a[1], -a[2], 0.0]);
            self.row(v, [-b[0], -b[1], -b[2], 0.0]);
            self.cones.push(SupportedConeT::ZeroConeT(2));
        } else {
            self.row(radius, [0.0, 0.0, 0.0, -rises]);
            self.row(u, [-a[0], -a[1], -a[2], 0.0]);
            self.row(v, [-b[0], -b[1], -b[2], 0.0]);
            self.cones.push(SupportedConeT::SecondOrderConeT(3));
        }
    }
}

struct Linear {
    gap: [f64; 2],
    rows: [[f64; 3]; 2],
    radius: f64,
    flat: bool,
}

/// The rotation linear at `turn`, moments over `lever`.
fn linear(
    nominal: [f64; 2],
    measured: [f64; 2],
    zone: Zone,
    pivot: [f64; 2],
    shift: [f64; 2],
    turn: f64,
    lever: f64,
) -> Linear {
    let (x, y) = (measured[0] - pivot[0], measured[1] - pivot[1]);
    let (s, h) = (libm::sin(turn), libm::sin(turn / 2.0));
    let v = 2.0 * h * h;
    let (dx, dy) = (-v * x - s * y, s * x - v * y);
    let gap = [measured[0] - nominal[0] + dx + shift[0], measured[1] - nominal[1] + dy + shift[1]];
    let (ax, ay) = ((x + dx) / lever, (y + dy) / lever);
    match zone {
        Zone::Round { radius } => {
            Linear { gap, rows: [[1.0, 0.0, -ay], [0.0, 1.0, ax]], radius, flat: false }
        }
        Zone::Planes { normal: [nx, ny], half } => Linear {
            gap: [nx * gap[0] + ny * gap[1], 0.0],
            rows: [[nx, ny, ny * ax - nx * ay], [0.0; 3]],
            radius: half,
            flat: true,
        },
    }
}

/// Pivot and lever the general solver works with.
pub(crate) fn pivot(case: &Case) -> ([f64; 2], f64) {
    let mut sum = [0.0; 2];
    for m in &case.members {
        sum[0] += m.measured[0];
        sum[1] += m.measured[1];
    }
    let n = case.members.len() as f64;
    let pivot = [sum[0] / n, sum[1] / n];
    let lever = case
        .members
        .iter()
        .map(|m| m.measured)
        .chain(case.bounds.iter().map(|b| b.measured))
        .map(|p| libm::hypot(p[0] - pivot[0], p[1] - pivot[1]))
        .fold(0.0, f64::max);
    (pivot, if lever > 0.0 { lever } else { 1.0 })
}

/// One linear problem: the step (x, y, phi) and s, all mm.
pub(crate) fn clarabel_once(
    case: &Case,
    pivot: [f64; 2],
    shift: [f64; 2],
    turn: f64,
    lever: f64,
    tolerance: f64,
) -> Result<([f64; 3], f64), SolverStatus> {
    let unit = case.size;
    let mut rows = Rows { entries: Vec::new(), b: Vec::new(), cones: Vec::new() };
    for m in &case.members {
        let line = linear(m.nominal, m.measured, m.zone, pivot, shift, turn, lever);
        rows.zone(&line, unit, 1.0);
    }
    for b in &case.bounds {
        let line = linear(b.nominal, b.measured, b.zone(), pivot, shift, turn, lever);
        rows.zone(&line, unit, 0.0);
    }
    for (free, normal) in [(case.freedom.x, [1.0, 0.0]), (case.freedom.y, [0.0, 1.0])] {
        if !free {
            let zone = Zone::Planes { normal, half: 0.0 };
            let line = linear([0.0; 2], [0.0; 2], zone, pivot, shift, turn, lever);
            rows.zone(&line, unit, 0.0);
        }
    }
    let limit = match case.freedom.turn {
        Turn::Free => None,
        Turn::Locked => Some(0.0),
        Turn::Within(w) => Some(w),
    };
    if let Some(w) = limit {
        let line = Linear {
            gap: [turn * lever, 0.0],
            rows: [[0.0, 0.0, 1.0], [0.0; 3]],
            radius: w * lever,
            flat: true,
        };
        rows.zone(&line, unit, 0.0);
    }
    let m = rows.b.len();
    let (i, (j, v)): (Vec<_>, (Vec<_>, Vec<_>)) =
        rows.entries.iter().map(|(i, j, v)| (*i, (*j, *v))).unzip();
    let a = CscMatrix::new_from_triplets(m, 4, i, j, v);
    let p = CscMatrix::<f64>::zeros((4, 4));
    let settings = DefaultSettings::<f64> {
        verbose: false,
        tol_gap_abs: tolerance,
        tol_gap_rel: tolerance,
        tol_feas: tolerance,
        max_iter: 200,
        ..DefaultSettings::default()
    };
    let mut solver =
        DefaultSolver::new(&p, &[0.0, 0.0, 0.0, 1.0], &a, &rows.b, &rows.cones, settings)
            .map_err(|_| SolverStatus::Unsolved)?;
    solver.solve();
    let x = &solver.solution.x;
    match solver.solution.status {
        SolverStatus::PrimalInfeasible | SolverStatus::AlmostPrimalInfeasible => {
            Err(solver.solution.status)
        }
        SolverStatus::Solved | SolverStatus::AlmostSolved | SolverStatus::InsufficientProgress => {
            Ok(([x[0] * unit, x[1] * unit, x[2] * unit], x[3] * unit))
        }
        other => Err(other),
    }
}

/// The whole of it: linear again and again until the rotation stands still. Also how many linear
/// problems that were.
pub(crate) fn clarabel_counted(case: &Case, tolerance: f64) -> (Found, usize) {
    let (pivot, lever) = pivot(case);
    let (mut shift, mut turn) = ([0.0; 2], 0.0);
    for round in 1..=20 {
        match clarabel_once(case, pivot, shift, turn, lever, tolerance) {
            Ok((x, s)) => {
                shift = [shift[0] + x[0], shift[1] + x[1]];
                turn += x[2] / lever;
                // What the linear model leaves out is the square of the step over the lever.
                if x[2] * x[2] / lever < 1e-11 * case.size {
                    return (Found::Optimum { s, pivot, shift, turn }, round);
                }
            }
            Err(SolverStatus::PrimalInfeasible | SolverStatus::AlmostPrimalInfeasible) => {
                return (Found::Infeasible, round);
            }
            Err(_) => return (Found::Failed, round),
        }
    }
    (Found::Failed, 20)
}

/// The same as tight as the general solver can.
pub(crate) fn clarabel(case: &Case) -> Found {
    for tolerance in [1e-12, 1e-11, 1e-10, 1e-9] {
        let found = clarabel_counted(case, tolerance).0;
        if !matches!(found, Found::Failed) {
            return found;
        }
    }
    Found::Failed
}

/// The bounds of a case as a pattern of their own: boundaries are to grow, what is held regardless
/// of its size stays.
pub(crate) fn boundaries(case: &Case) -> Case {
    let boundary = |b: &&Bound| matches!(b.counterpart, Counterpart::Boundary(_));
    let grow = |b: &Bound| Member { nominal: b.nominal, measured: b.measured, zone: b.zone() };
    Case {
        members: case.bounds.iter().filter(boundary).map(grow).collect(),
        bounds: case.bounds.iter().filter(|b| !boundary(b)).copied().collect(),
        ..case.clone()
    }
}

/// The most by which a bound, a lock or the limit of the rotation is passed, mm.
pub(crate) fn passed(case: &Case, fit: &quarterturn_core::fit::Fit) -> f64 {
    let mut most = f64::NEG_INFINITY;
    for b in &case.bounds {
        let d = fit.deviation(b.nominal, b.measured);
        most = most.max(b.zone().distance(d) - b.zone().radius());
    }
    let [x, y] = fit.shift();
    if !case.freedom.x {
        most = most.max(x.abs());
    }
    if !case.freedom.y {
        most = most.max(y.abs());
    }
    let (_, lever) = pivot(case);
    match case.freedom.turn {
        Turn::Free => {}
        Turn::Locked => most = most.max(fit.turn().abs() * lever),
        Turn::Within(w) => most = most.max((fit.turn().abs() - w) * lever),
    }
    most
}

/// The certificate drawn up again from what is published: imbalance and gap, mm.
pub(crate) fn certificate(case: &Case, fit: &quarterturn_core::fit::Fit) -> (f64, f64) {
    let c = fit.certificate();
    let (pivot, lever) = pivot(case);
    let mut sums = [0.0; 3];
    let mut weights = 0.0;
    let mut bound = 0.0;
    let mut arm = |push: [f64; 2], measured: [f64; 2]| {
        let p = fit.place(measured);
        sums[0] += push[0];
        sums[1] += push[1];
        sums[2] += ((p[0] - pivot[0]) * push[1] - (p[1] - pivot[1]) * push[0]) / lever;
    };
    for h in &c.members {
        let m = &case.members[h.index];
        assert!(h.weight >= 0.0 && libm::hypot(h.push[0], h.push[1]) <= h.weight + 1e-12);
        arm(h.push, m.measured);
        let d = fit.deviation(m.nominal, m.measured);
        bound += h.push[0] * d[0] + h.push[1] * d[1] - h.weight * m.zone.radius();
        weights += h.weight;
    }
    for h in &c.bounds {
        let b = &case.bounds[h.index];
        assert!(h.weight >= 0.0 && libm::hypot(h.push[0], h.push[1]) <= h.weight + 1e-12);
        arm(h.push, b.measured);
        let d = fit.deviation(b.nominal, b.measured);
        if !fit.gauge_goes_on() && matches!(b.counterpart, Counterpart::Boundary(_)) {
            weights += h.weight;
        }
        if !h.locked {
            bound += h.push[0] * d[0] + h.push[1] * d[1] - h.weight * b.zone().radius();
        }
    }
    arm(c.shift, [0.0; 2]);
    sums[2] += c.turn / lever;
    if let Turn::Within(w) = case.freedom.turn {
        bound += c.turn * fit.turn() - c.turn.abs() * w;
    }
    let imbalance = sums.iter().fold((weights - 1.0_f64).abs(), |m, v: &f64| m.max(v.abs()));
    (imbalance, fit.s() - bound)
}
