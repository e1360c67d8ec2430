//! One linearisation: every point eliminated by itself, what is left in one triangle.
//!
//! The rows of point i, divided by their standard uncertainties, are \[Aᵢ Bᵢ | bᵢ\], Aᵢ in its
//! own unknowns and Bᵢ in the shared ones. Reflections turn them into
//!
//! ```text
//! Rᵢ Tᵢ | zᵢ       kept: qᵢ = Rᵢ⁻¹ (zᵢ − Tᵢ x)
//! 0  Cᵢ | dᵢ       into the triangle of the shared unknowns x
//! ```

use super::block::{Block, product};
use super::freedom::Freedom;
use super::layout::Layout;
use super::problem::Problem;
use super::state::State;
use super::triangle::Triangle;
use crate::quantity::vector::dot;

/// Which weights the rows get.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Weights {
    /// Those of the standard uncertainties, with a row for everything known beforehand.
    Stated,
    /// All the same, and nothing known beforehand: only the geometry counts.
    Equal,
}

/// Rᵢ and zᵢ of a point.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Own {
    /// r₁₁, r₁₂, r₂₂; of one unknown only the first.
    pub(super) r: [f64; 3],
    /// zᵢ.
    pub(super) z: [f64; 2],
}

impl Own {
    /// R⁻¹ v of `dims` unknowns.
    pub(super) fn solve(&self, dims: usize, v: [f64; 2]) -> [f64; 2] {
        let [a, b, c] = self.r;
        match dims {
            0 => [0.0; 2],
            1 => [v[0] / a, 0.0],
            _ => {
                let y = v[1] / c;
                [(v[0] - b * y) / a, y]
            }
        }
    }

    /// R⁻ᵀ v of `dims` unknowns.
    pub(super) fn solve_transposed(&self, dims: usize, v: [f64; 2]) -> [f64; 2] {
        let [a, b, c] = self.r;
        match dims {
            0 => [0.0; 2],
            1 => [v[0] / a, 0.0],
            _ => {
                let x = v[0] / a;
                [x, (v[1] - b * x) / c]
            }
        }
    }
}

/// The equations of one linearisation, triangular.
#[derive(Debug)]
pub(super) struct Factor {
    pub(super) freedoms: Vec<Freedom>,
    pub(super) own: Vec<Own>,
    /// Tᵢ of all points: where point i starts is told by the layout, two rows each.
    t: Vec<f64>,
    pub(super) triangle: Triangle,
    /// Length of every column of shared unknowns; 1 where nothing touches it.
    pub(super) scale: Vec<f64>,
    /// Σ zᵢ² over the points, and what the reflections can make of rounding in it.
    pub(super) local: f64,
    pub(super) rounding: f64,
}

impl Factor {
    /// Row `k` of Tᵢ, in the columns that `layout` lists for the point.
    pub(super) fn t(&self, layout: &Layout, point: usize, k: usize) -> &[f64] {
        let (start, n) = (layout.start(point), layout.of(point).len());
        &self.t[2 * start + k * n..2 * start + (k + 1) * n]
    }
}

/// Linearises at `state` and eliminates.
pub(super) fn factor(
    problem: &Problem<'_>,
    state: &State,
    layout: &Layout,
    weights: Weights,
) -> Factor {
    let network = problem.network;
    let width = layout.width();
    let mut found = Factor {
        freedoms: Vec::with_capacity(network.points.len()),
        own: vec![Own::default(); network.points.len()],
        t: vec![0.0; 2 * layout.start(network.points.len())],
        triangle: Triangle::new(width),
        scale: vec![0.0; width],
        local: 0.0,
        rounding: 0.0,
    };
    let mut slot = vec![0; width];
    let mut block = Block::default();
    for (point, own) in found.own.iter_mut().enumerate() {
        let freedom = Freedom::of(problem, state, point);
        let (seen, columns) = (problem.of(point), layout.of(point));
        let (dims, shared, rows) = (freedom.dims(), columns.len(), seen.len());
        found.freedoms.push(freedom);
        if rows == 0 {
            continue;
        }
        for (k, &c) in columns.iter().enumerate() {
            slot[c] = dims + k;
        }
        let last = dims + shared;
        block.reset(rows, last + 1);
        for (row, &i) in seen.iter().enumerate() {
            let o = &network.observations[i];
            let weight = match weights {
                Weights::Stated => 1.0 / o.standard,
                Weights::Equal => 1.0,
            };
            let u = state.ups[network.direction_of(o)];
            for (k, b) in freedom.basis().iter().enumerate() {
                block.set(row, k, dot(&u, b) * weight);
            }
            layout.row(problem, state, o, |c, a| block.set(row, slot[c], a * weight));
            block.set(row, last, state.misclosure(network, o) * weight);
            let magnitude = (o.height.abs() + state.offsets[o.offset].abs()) * weight;
            found.rounding += magnitude * magnitude;
        }
        for (k, &c) in columns.iter().enumerate() {
            let column = block.column(dims + k, 0);
            found.scale[c] += product(column, column);
        }
        for k in 0..dims {
            block.reflect(k);
        }
        for k in 0..dims {
            own.z[k] = block.at(k, last);
            found.local += own.z[k] * own.z[k];
            for c in 0..shared {
                found.t[2 * layout.start(point) + k * shared + c] = block.at(k, dims + c);
            }
        }
        match dims {
            0 => {}
            1 => own.r[0] = block.at(0, 0),
            _ => own.r = [block.at(0, 0), block.at(0, 1), block.at(1, 1)],
        }
        let left = columns.iter().enumerate().map(|(k, &c)| (c, block.column(dims + k, dims)));
        let right = std::iter::once((width, block.column(last, dims)));
        found.triangle.push(rows - dims, left.chain(right));
    }
    if weights == Weights::Stated {
        known(state, layout, &mut found);
    }
    found.triangle.work_in();
    for s in &mut found.scale {
        *s = if *s > 0.0 { s.sqrt() } else { 1.0 };
    }
    found
}

/// A row for every shared unknown that is known beforehand: (x − value) / u = 0.
fn known(state: &State, layout: &Layout, found: &mut Factor) {
    for (c, &(which, prior)) in layout.unknowns.iter().enumerate() {
        if let Some(standard) = prior.standard() {
            let a = 1.0 / standard;
            let b = (prior.start() - state.shared(which)) / standard;
            found.scale[c] += a * a;
            found.triangle.push(1, [(c, &[a][..]), (layout.width(), &[b][..])].into_iter());
        }
    }
}
