//! What the geometry leaves undetermined: movements that no observation would notice.

use super::block::{product, subtract};
use super::eliminate::{Factor, Weights, factor};
use super::jacobi::singular;
use super::layout::{Layout, Which};
use super::problem::Problem;
use super::state::State;

/// A singular value below this part of the largest is zero. The columns have length 1, so it
/// speaks of angles between them.
const ZERO: f64 = 1e-10;

/// A movement below this part of what the unknowns could do at most is none.
const STILL: f64 = 1e-8;

/// What of a point the unnoticed movements move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Loose {
    /// Nothing: what was seen of it is determined.
    No,
    /// All but the coordinate along this unit vector.
    AllBut([f64; 2]),
    /// All of it.
    All,
}

/// The movements that no observation would notice, and what they move.
#[derive(Debug)]
pub(super) struct Structure {
    /// One for each movement: per column of the full layout, each unknown divided by the length
    /// of its column. Orthonormal.
    pub(super) movements: Vec<Vec<f64>>,
    /// Per column of the full layout: whether it is determined.
    pub(super) determined: Vec<bool>,
    /// Per point.
    pub(super) loose: Vec<Loose>,
    /// Whether one of the movements turns everything as one body.
    pub(super) turns: bool,
}

impl Structure {
    /// Nothing is undetermined.
    pub(super) fn sound(points: usize, width: usize) -> Self {
        Self {
            movements: Vec::new(),
            determined: vec![true; width],
            loose: vec![Loose::No; points],
            turns: false,
        }
    }

    /// Finds the movements at `state`: the free unknowns alone, with equal weights.
    pub(super) fn find(problem: &Problem<'_>, state: &State, full: &Layout) -> Self {
        let points = problem.network.points.len();
        let layout = Layout::new(problem, |which, prior| prior.is_free() && full.has(which));
        let factor = factor(problem, state, &layout, Weights::Equal);
        let n = layout.width();
        let columns = (0..n)
            .map(|j| {
                let rows = (0..n).map(|i| if i <= j { factor.triangle.at(i, j) } else { 0.0 });
                rows.map(|x| x / factor.scale[j]).collect()
            })
            .collect();
        let found = singular(columns);
        let largest = found.values.iter().fold(1.0, |a: f64, b| a.max(*b));
        let free: Vec<Vec<f64>> = (found.values.iter().zip(found.right))
            .filter(|(value, _)| **value <= ZERO * largest)
            .map(|(_, vector)| vector)
            .collect();
        let mut structure = Self::sound(points, full.width());
        if free.is_empty() {
            return structure;
        }
        // The free unknowns are among those of the full layout, in the same order.
        let places: Vec<usize> =
            (0..full.width()).filter(|&c| full.unknowns[c].1.is_free()).collect();
        for (j, &c) in places.iter().enumerate() {
            structure.determined[c] = free.iter().all(|z| z[j].abs() <= STILL);
        }
        structure.loose = (0..points).map(|point| loose(&layout, &factor, &free, point)).collect();
        structure.turns = turns(problem, &layout, &factor, &free);
        structure.movements = free
            .iter()
            .map(|z| {
                let mut all = vec![0.0; full.width()];
                for (j, &c) in places.iter().enumerate() {
                    all[c] = z[j];
                }
                all
            })
            .collect();
        structure
    }
}

/// What the movements do to a point: q = −R⁻¹ T D⁻¹ z for each of them.
fn loose(layout: &Layout, factor: &Factor, free: &[Vec<f64>], point: usize) -> Loose {
    let (columns, dims) = (layout.of(point), factor.freedoms[point].dims());
    if dims == 0 || columns.is_empty() {
        return Loose::No;
    }
    let mut most = 0.0;
    let mut moved = [vec![0.0; free.len()], vec![0.0; free.len()]];
    for (k, &c) in columns.iter().enumerate() {
        let mut t = [0.0; 2];
        for (d, t) in t.iter_mut().enumerate().take(dims) {
            *t = factor.t(layout, point, d)[k] / factor.scale[c];
        }
        let q = factor.own[point].solve(dims, t);
        for (q, moved) in q.iter().zip(&mut moved) {
            most += q * q;
            for (moved, z) in moved.iter_mut().zip(free) {
                *moved -= q * z[c];
            }
        }
    }
    let still = STILL * f64::sqrt(most);
    let [x, y] = moved;
    let length = |v: &[f64]| product(v, v).sqrt();
    if dims == 1 {
        return if length(&x) <= still { Loose::No } else { Loose::All };
    }
    // Turned until the movements along both axes are uncorrelated: the ellipse they fill.
    let angle = 0.5 * libm::atan2(2.0 * product(&x, &y), product(&x, &x) - product(&y, &y));
    let (s, c) = (libm::sin(angle), libm::cos(angle));
    let along: Vec<f64> = x.iter().zip(&y).map(|(x, y)| c * x + s * y).collect();
    let across: Vec<f64> = x.iter().zip(&y).map(|(x, y)| c * y - s * x).collect();
    match (length(&along) <= still, length(&across) <= still) {
        (true, true) => Loose::No,
        (false, true) => Loose::AllBut([-s, c]),
        (true, false) => Loose::AllBut([c, s]),
        (false, false) => Loose::All,
    }
}

/// Whether the movements together can turn every direction that is used by the same angle.
fn turns(problem: &Problem<'_>, layout: &Layout, factor: &Factor, free: &[Vec<f64>]) -> bool {
    let network = problem.network;
    let mut used = vec![false; network.directions.len()];
    for o in &network.observations {
        used[network.direction_of(o)] = true;
    }
    let mut columns = Vec::new();
    for (c, &(which, _)) in layout.unknowns.iter().enumerate() {
        if let Which::Error(k) = which
            && used[k]
        {
            columns.push(c);
        }
    }
    if columns.is_empty() || columns.len() < used.iter().filter(|u| **u).count() {
        return false;
    }
    let angles =
        free.iter().map(|z| columns.iter().map(|&c| z[c] / factor.scale[c]).collect()).collect();
    let found = singular(angles);
    let largest = columns.iter().fold(0.0, |a: f64, &c| a.max(1.0 / factor.scale[c]));
    let mut rest = vec![1.0; columns.len()];
    for (vector, value) in found.left.iter().zip(&found.values) {
        if *value > STILL * largest {
            let share = product(&rest, vector) / (value * value);
            subtract(share, vector, &mut rest);
        }
    }
    let most = product(&vec![1.0; columns.len()], &vec![1.0; columns.len()]);
    product(&rest, &rest) <= 1e-12 * most
}
