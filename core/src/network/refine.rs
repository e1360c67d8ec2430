//! One step of refinement with the factor at hand.
//!
//! Corrected seminormal equations: RᵀR dx = Aᵀ(b − A x), with the residuals of the unrounded
//! model. It takes away most of what rounding left where weights differ by orders of magnitude
//! (Björck, 2.4.6).

use super::block::product;
use super::eliminate::Factor;
use super::layout::Layout;
use super::problem::Problem;
use super::solve::Step;
use super::state::State;
use super::triangle::Inverse;
use crate::quantity::vector::dot;

/// The correction of `state` by the equations that were last eliminated, and how much it moves: no
/// quantity by more than this many of its own standard uncertainties. Shared unknowns from column
/// `estimated` on keep their values.
pub(super) fn refinement(
    problem: &Problem<'_>,
    state: &State,
    layout: &Layout,
    factor: &Factor,
    inverse: &Inverse,
    estimated: usize,
) -> (Step, f64) {
    let network = problem.network;
    let mut shared = vec![0.0; layout.width()];
    let mut squares = 0.0;
    let mut own = vec![[0.0; 2]; network.points.len()];
    for (point, own) in own.iter_mut().enumerate() {
        let freedom = &factor.freedoms[point];
        let mut g = [0.0; 2];
        for &i in problem.of(point) {
            let o = &network.observations[i];
            let weighted = state.misclosure(network, o) / (o.standard * o.standard);
            let u = state.ups[network.direction_of(o)];
            for (g, b) in g.iter_mut().zip(freedom.basis()) {
                *g += dot(&u, b) * weighted;
            }
            layout.row(problem, state, o, |c, a| shared[c] += a * weighted);
        }
        *own = factor.own[point].solve_transposed(freedom.dims(), g);
        squares += dot(own, own);
        for (k, own) in own.iter().enumerate().take(freedom.dims()) {
            for (t, &c) in factor.t(layout, point, k).iter().zip(layout.of(point)) {
                shared[c] -= t * own;
            }
        }
    }
    for (g, &(which, prior)) in shared.iter_mut().zip(&layout.unknowns) {
        if let Some(standard) = prior.standard() {
            *g += (prior.start() - state.shared(which)) / (standard * standard);
        }
    }
    let mut shared = inverse.transposed_times(&shared);
    shared[estimated..].fill(0.0);
    squares += product(&shared, &shared);
    (Step::back(layout, factor, inverse.times(&shared), |point| own[point]), squares.sqrt())
}
