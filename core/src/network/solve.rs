//! Gauss–Newton: linearise, eliminate, step, until nothing moves.

use super::adjusted::Adjusted;
use super::block::product;
use super::eliminate::{Factor, Weights, factor};
use super::fault::{Fault, check};
use super::layout::{Layout, Which};
use super::model::Network;
use super::problem::Problem;
use super::refine::refinement;
use super::state::State;
use super::structure::Structure;
use super::triangle::Inverse;

/// Linearisations at most.
const LIMIT: usize = 10;

/// No angle moves by more than this in one step, rad.
const STRIDE: f64 = 0.3;

/// Refinements at most, once the linearisation stands still.
const REFINEMENTS: usize = 4;

/// No quantity moves any more: by no more than this part of its own standard uncertainty.
const STILL: f64 = 1e-9;

/// Up to here the scaled inverse proves that nothing is undetermined.
const CERTAIN: f64 = 1e6;

/// Beyond this double precision holds nothing of some unknown.
const HOPELESS: f64 = 1e13;

/// A change of all unknowns.
#[derive(Debug)]
pub(super) struct Step {
    shared: Vec<f64>,
    own: Vec<[f64; 2]>,
}

impl Step {
    /// Carries `shared` back into the points: qᵢ = Rᵢ⁻¹ (zᵢ − Tᵢ x).
    pub(super) fn back(
        layout: &Layout,
        factor: &Factor,
        shared: Vec<f64>,
        z: impl Fn(usize) -> [f64; 2],
    ) -> Self {
        let own = (factor.own.iter().enumerate())
            .map(|(point, own)| {
                let dims = factor.freedoms[point].dims();
                let mut z = z(point);
                for (k, z) in z.iter_mut().enumerate().take(dims) {
                    for (t, &c) in factor.t(layout, point, k).iter().zip(layout.of(point)) {
                        *z -= t * shared[c];
                    }
                }
                own.solve(dims, z)
            })
            .collect();
        Self { shared, own }
    }

    /// The part of the step that turns no angle by more than [`STRIDE`].
    fn stride(&self, layout: &Layout) -> f64 {
        let angles = self.shared.iter().zip(&layout.unknowns);
        let most = angles.fold(0.0, |most: f64, (x, (which, _))| match which {
            Which::AngleError(_) => most.max(x.abs()),
            _ => most,
        });
        if most > STRIDE { STRIDE / most } else { 1.0 }
    }

    /// Makes this part of the step.
    fn take(
        &self,
        part: f64,
        problem: &Problem<'_>,
        layout: &Layout,
        factor: &Factor,
        state: &mut State,
    ) {
        for (x, &(which, _)) in self.shared.iter().zip(&layout.unknowns) {
            *state.shared_mut(which) += part * x;
        }
        for ((p, q), freedom) in state.points.iter_mut().zip(&self.own).zip(&factor.freedoms) {
            for (q, b) in q.iter().zip(freedom.basis()) {
                p[0] += part * q * b[0];
                p[1] += part * q * b[1];
            }
        }
        state.turn(problem.network);
    }
}

/// One linearisation, solved for the shared unknowns.
pub(super) struct Solved {
    pub(super) factor: Factor,
    pub(super) inverse: Inverse,
    pub(super) structure: Structure,
    /// Qᵀb of the shared unknowns.
    right: Vec<f64>,
    /// √ of the change in Σ v²/σ² of the linear equations, the considered systematic errors
    /// staying as stated: no quantity moves by more than this many of its own standard
    /// uncertainties.
    moves: f64,
}

impl Solved {
    fn at(problem: &Problem<'_>, state: &State, layout: &Layout) -> Result<Self, Fault> {
        let mut factor = factor(problem, state, layout, Weights::Stated);
        let mut structure = Structure::sound(problem.network.points.len(), layout.width());
        let mut inverse = factor.triangle.inverse();
        let condition = |inverse: &Option<Inverse>, factor: &Factor| match inverse {
            Some(inverse) => inverse.condition(&factor.scale),
            None => f64::INFINITY,
        };
        if condition(&inverse, &factor) > CERTAIN {
            structure = Structure::find(problem, state, layout);
            for movement in &structure.movements {
                let row: Vec<[f64; 1]> =
                    movement.iter().zip(&factor.scale).map(|(z, s)| [z * s]).collect();
                let left = row.iter().enumerate().map(|(c, a)| (c, &a[..]));
                factor.triangle.push(1, left);
            }
            factor.triangle.work_in();
            inverse = factor.triangle.inverse();
        }
        let Some(inverse) = inverse.filter(|i| i.condition(&factor.scale) <= HOPELESS) else {
            return Err(Fault::TooFarApart);
        };
        let right: Vec<f64> = factor.triangle.right().collect();
        let estimated = &right[..layout.estimated()];
        let moves = (factor.local + product(estimated, estimated)).sqrt();
        Ok(Self { factor, inverse, structure, right, moves })
    }

    /// Makes the step of the first `estimated` shared unknowns, shortened where an angle would take
    /// too long a stride. The others keep their values: x₁ = R₁₁⁻¹ z₁.
    fn step(&self, problem: &Problem<'_>, layout: &Layout, estimated: usize, state: &mut State) {
        let mut right = self.right.clone();
        right[estimated..].fill(0.0);
        let own = |point: usize| self.factor.own[point].z;
        let step = Step::back(layout, &self.factor, self.inverse.times(&right), own);
        step.take(step.stride(layout), problem, layout, &self.factor, state);
    }

    /// Takes away what rounding left in `state`.
    fn refine(&self, problem: &Problem<'_>, layout: &Layout, estimated: usize, state: &mut State) {
        for _ in 0..REFINEMENTS {
            let Self { factor, inverse, .. } = self;
            let (step, moves) = refinement(problem, state, layout, factor, inverse, estimated);
            step.take(1.0, problem, layout, factor, state);
            if self.stands(moves) {
                break;
            }
        }
    }

    /// Whether a step that moves so much moves nothing that matters: a billionth of its own
    /// standard uncertainty, or what the rounding of the heights makes.
    fn stands(&self, moves: f64) -> bool {
        moves <= STILL + 16.0 * f64::EPSILON * self.factor.rounding.sqrt()
    }
}

/// Adjusts `network`.
pub(super) fn adjust(network: &Network) -> Result<Adjusted, Fault> {
    check(network)?;
    let problem = Problem::new(network)?;
    let mut state = State::start(network, problem.near.clone());
    let layout = Layout::new(&problem, |_, prior| prior.is_unknown());
    if layout.has_angle_errors() {
        // A first step with the angles held brings the points where the linearisation by the
        // angles makes sense, however poor the coordinates it starts from.
        let held = Layout::new(&problem, |which, prior| {
            prior.is_unknown() && !matches!(which, Which::AngleError(_))
        });
        let solved = Solved::at(&problem, &state, &held)?;
        solved.step(&problem, &held, held.estimated(), &mut state);
    }
    let mut iterations = 0;
    loop {
        iterations += 1;
        let solved = Solved::at(&problem, &state, &layout)?;
        let converged = !layout.has_angle_errors() || solved.stands(solved.moves);
        let last = converged || iterations == LIMIT;
        let [estimated, all] = [layout.estimated(), layout.width()];
        // The same equations solved with the systematic errors as unknowns: for the residuals.
        let tested = (last && estimated < all).then(|| {
            let mut tested = state.clone();
            solved.step(&problem, &layout, all, &mut tested);
            solved.refine(&problem, &layout, all, &mut tested);
            tested
        });
        solved.step(&problem, &layout, estimated, &mut state);
        if last {
            solved.refine(&problem, &layout, estimated, &mut state);
            let states = [&state, tested.as_ref().unwrap_or(&state)];
            return Ok(Adjusted::new(&problem, states, &layout, solved, iterations, converged));
        }
    }
}
