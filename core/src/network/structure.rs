//! What the geometry leaves undetermined: movements that no observation would notice.

use super::block::{product, subtract};
use super::eliminate::{Factor, Weights, factor};
use super::jacobi::singular;
use super::layout::{Layout, Which};
use super::model::Direction;
use super::problem::Problem;
use super::state::State;
use super::unnoticed::{Moved, Unnoticed};

/// A singular value below this part of the largest is zero. The columns have length 1, so it
/// speaks of angles between them.
const ZERO: f64 = 1e-10;

/// A movement below this part of what the unknowns could do at most is none.
pub(super) const STILL: f64 = 1e-8;

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
    /// What the movements do to points and angle errors.
    pub(super) unnoticed: Unnoticed,
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
            unnoticed: Unnoticed::default(),
            turns: false,
        }
    }

    /// Finds the movements at `state`: the free unknowns alone, with equal weights.
    pub(super) fn find(problem: &Problem<'_>, state: &State, full: &Layout) -> Self {
        let points = problem.network.points.len();
        let layout =
            Layout::new(problem, |which, prior| prior.is_free() && full.column(which).is_some());
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
        let mut unnoticed = Unnoticed::new(free.len());
        for (point, all) in structure.loose.iter_mut().enumerate() {
            let moved = Moved::of(&layout, &factor, &free, point);
            *all = moved.loose(factor.freedoms[point].dims());
            unnoticed.push_point(moved);
        }
        for k in 0..problem.network.angle_errors.len() {
            let column = layout.column(Which::AngleError(k));
            unnoticed.push_angle_error(column.map(|c| {
                let moved = free.iter().map(|z| z[c] / factor.scale[c]).collect();
                (moved, 1.0 / factor.scale[c])
            }));
        }
        structure.unnoticed = unnoticed;
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

/// Whether the movements together can turn every direction that is used by the same angle.
fn turns(problem: &Problem<'_>, layout: &Layout, factor: &Factor, free: &[Vec<f64>]) -> bool {
    let network = problem.network;
    let mut used = vec![false; network.directions.len()];
    for o in &network.observations {
        used[network.direction_of(o)] = true;
    }
    let used = network.directions.iter().zip(used).filter(|(_, used)| *used);
    let column =
        |d: &Direction| d.angle_errors.iter().find_map(|k| layout.column(Which::AngleError(*k)));
    let columns: Option<Vec<usize>> = used.map(|(d, _)| column(d)).collect();
    let Some(mut columns) = columns.filter(|c| !c.is_empty()) else { return false };
    columns.sort_unstable();
    columns.dedup();
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
