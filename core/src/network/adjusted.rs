//! What the adjustment found.

use super::block::{product, subtract};
use super::consider::Considered;
use super::form::Ground;
use super::influence::Rows;
use super::joint::Joint;
use super::layout::{Layout, Which};
use super::model::{Prior, Shape};
use super::problem::{FixedPart, Problem};
use super::reliability::Fit;
use super::solve::Solved;
use super::state::{State, up};
use super::structure::{Loose, Structure};
use crate::quantity::vector::{cross, dot};

/// What is known of a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// Both coordinates.
    Determined {
        /// (x, y), mm.
        at: [f64; 2],
        /// Covariance of (x, y), mm².
        covariance: [[f64; 2]; 2],
    },
    /// One coordinate: of a point that was seen from one direction, or whose other directions
    /// hang on offsets that nothing ties; of a plane always, along its normal. The coordinate
    /// across it is not known.
    OneDirection {
        /// Angle of the direction from +X, rad.
        angle: f64,
        /// The coordinate along it, mm.
        along: f64,
        /// Its variance, mm².
        variance: f64,
    },
    /// Observed, but all of it hangs on offsets, angle errors or free systematic errors that nothing
    /// ties. Differences from other points that hang on the same may be determined all the same:
    /// [`Adjusted::is_determined`].
    NotTied,
    /// Not observed.
    Unseen,
}

/// A value with its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Most probable value.
    pub value: f64,
    /// Standard uncertainty; 0 where it is exact.
    pub standard: f64,
}

/// What is known of an angle error, an offset or a systematic error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    /// The adjusted value; None where nothing determines it. A considered systematic error keeps
    /// its stated value and standard uncertainty.
    pub estimate: Option<Estimate>,
    /// How well what was known of it beforehand fits the observations, if it was known within an
    /// uncertainty: that of the full adjustment, as for the observations.
    pub prior: Option<Fit>,
}

/// The adjusted network. All lists are in the order of those of the network.
///
/// Coordinates, offsets and angle errors are estimated with the systematic errors as stated, and
/// their covariances include what these may be. Residuals, redundancies, χ² and the degrees of
/// freedom are those of the full adjustment, in which the systematic errors are unknowns with their
/// stated values as observations: a test of the readings must not take for a gross error what a
/// systematic error within its uncertainty explains.
#[derive(Clone, Debug)]
pub struct Adjusted {
    /// What is known of each point.
    pub points: Vec<Place>,
    /// Each angle error δ, rad.
    pub angle_errors: Vec<Shared>,
    /// Each offset, mm.
    pub offsets: Vec<Shared>,
    /// Each systematic error.
    pub systematics: Vec<Shared>,
    /// How each observation fits.
    pub observations: Vec<Fit>,
    /// Σ v²/σ² over the observations and the values known beforehand.
    pub chi_square: f64,
    /// Degrees of freedom: observations and values known beforehand, less the unknowns that they
    /// determine.
    pub degrees: usize,
    /// Whether the whole may be turned and no observation would notice: every angle error is free,
    /// and no datum holds the rotation.
    pub rotation_free: bool,
    /// Linearisations made; 1 where no angle is adjusted.
    pub iterations: usize,
    /// Whether the last one moved nothing any more. If not, the figures are not to be trusted.
    pub converged: bool,
    joint: Joint,
    pub(super) rows: Rows,
    pub(super) ground: Ground,
}

impl Adjusted {
    pub(super) fn joint(&self) -> &Joint {
        &self.joint
    }

    /// The states are the estimate's and that of the full adjustment.
    pub(super) fn new(
        problem: &Problem<'_>,
        [state, full]: [&State; 2],
        layout: &Layout,
        solved: Solved,
        iterations: usize,
        converged: bool,
    ) -> Self {
        let network = problem.network;
        let Solved { factor, inverse, structure, .. } = solved;
        let considered = Considered::new(layout, &factor.triangle, &inverse);
        let inverse = &considered.inverse;
        let joint = Joint::new(layout, factor, inverse);
        let points = (0..network.points.len())
            .map(|point| place(problem, state, &structure, &joint, point))
            .collect();

        let mut chi_square = 0.0;
        let mut observations = vec![Fit::new(0.0, 1.0, 0.0); network.observations.len()];
        let mut gone = vec![0.0; layout.width()];
        for point in 0..network.points.len() {
            let freedom = joint.freedom(point);
            for &i in problem.of(point) {
                let o = &network.observations[i];
                let u = state.ups[network.direction_of(o)];
                let own = freedom.weights(u).map(|x| x / o.standard);
                // The row of Q that belongs to the observation: R⁻ᵀ of its row of A.
                let own = joint.own(point).solve_transposed(freedom.dims(), own);
                gone.fill(0.0);
                layout.row(problem, state, o, |c, a| {
                    subtract(-a / o.standard, inverse.row(c), &mut gone[c..]);
                });
                for (k, own) in own.iter().enumerate().take(freedom.dims()) {
                    subtract(*own, joint.m(point, k), &mut gone);
                }
                considered.to_full(&mut gone, 0);
                let taken = own[0] * own[0] + own[1] * own[1] + product(&gone, &gone);
                let residual = full.misclosure(network, o);
                chi_square += (residual / o.standard) * (residual / o.standard);
                observations[i] = Fit::new(residual, o.standard, 1.0 - taken);
            }
        }

        let unknowns: usize = (0..network.points.len()).map(|p| joint.freedom(p).dims()).sum();
        let known = layout.unknowns.iter().filter(|(_, p)| p.standard().is_some()).count();
        let rank = unknowns + layout.width() - structure.movements.len();

        let exact = |prior: Prior| Shared {
            estimate: (!prior.is_free()).then(|| Estimate { value: prior.start(), standard: 0.0 }),
            prior: None,
        };
        let mut angle_errors: Vec<Shared> =
            network.angle_errors.iter().map(|prior| exact(*prior)).collect();
        let mut offsets: Vec<Shared> = network.offsets.iter().map(|c| exact(c.prior)).collect();
        let mut systematics: Vec<Shared> =
            network.systematics.iter().map(|s| exact(s.prior)).collect();
        for (c, &(which, prior)) in layout.unknowns.iter().enumerate() {
            let variance = product(inverse.row(c), inverse.row(c));
            let own = &mut gone[c..];
            own.copy_from_slice(inverse.row(c));
            considered.to_full(own, c);
            let in_full = product(own, own);
            let value = state.shared(which);
            let shared = Shared {
                estimate: structure.determined[c]
                    .then(|| Estimate { value, standard: variance.sqrt() }),
                prior: prior.standard().map(|u| {
                    let residual = prior.start() - full.shared(which);
                    chi_square += (residual / u) * (residual / u);
                    Fit::new(residual, u, 1.0 - in_full / (u * u))
                }),
            };
            match which {
                Which::AngleError(k) => angle_errors[k] = shared,
                Which::Offset(j) => offsets[j] = shared,
                Which::Systematic(m) => systematics[m] = shared,
            }
        }

        Self {
            points,
            angle_errors,
            offsets,
            systematics,
            observations,
            chi_square,
            degrees: (network.observations.len() + known).saturating_sub(rank),
            rotation_free: structure.turns,
            iterations,
            converged,
            rows: Rows::new(problem, state, layout, &joint, considered.inverse),
            ground: Ground::new(problem, state, layout, &joint, structure.unnoticed),
            joint,
        }
    }

    /// Covariance of (x, y) of point `i` with (x, y) of point `j`, mm². Of a point with one
    /// coordinate it is that of its projection on that direction; None where nothing is known of
    /// one of the points, or there is none of that index.
    #[must_use]
    pub fn covariance(&self, i: usize, j: usize) -> Option<[[f64; 2]; 2]> {
        let (left, right) = (self.known(i)?, self.known(j)?);
        let roots = |point: usize, known: &[[f64; 2]]| -> Vec<_> {
            known.iter().map(|d| (*d, self.joint.root(point, *d))).collect()
        };
        let (left, right) = (roots(i, &left), roots(j, &right));
        let mut found = [[0.0; 2]; 2];
        for (d, a) in &left {
            for (e, b) in &right {
                let c = a.times(b);
                for (d, row) in d.iter().zip(&mut found) {
                    for (e, cell) in e.iter().zip(row) {
                        *cell += d * c * e;
                    }
                }
            }
        }
        Some(found)
    }

    /// The coordinate of `point` along the direction at `angle` from +X, with its standard
    /// uncertainty, if it is known: of a point with one coordinate only along that, either way.
    #[must_use]
    pub fn along(&self, point: usize, angle: f64) -> Option<Estimate> {
        let d = up(angle);
        match *self.points.get(point)? {
            Place::Determined { at, .. } => {
                let root = self.joint.root(point, d);
                Some(Estimate { value: dot(&at, &d), standard: root.times(&root).sqrt() })
            }
            Place::OneDirection { angle: own, along, variance } => {
                let own = up(own);
                (cross(own, d).abs() < 1e-9).then(|| Estimate {
                    value: along * dot(&own, &d).signum(),
                    standard: variance.sqrt(),
                })
            }
            Place::NotTied | Place::Unseen => None,
        }
    }

    /// The directions along which a point is known and not exact.
    pub(super) fn known(&self, point: usize) -> Option<Vec<[f64; 2]>> {
        match *self.points.get(point)? {
            Place::Determined { .. } => Some(vec![[1.0, 0.0], [0.0, 1.0]]),
            Place::OneDirection { variance, .. } if variance <= 0.0 => Some(Vec::new()),
            Place::OneDirection { angle, .. } => Some(vec![up(angle)]),
            Place::NotTied | Place::Unseen => None,
        }
    }
}

/// Puts together what was seen of a point, what is defined of it, and what hangs loose.
fn place(
    problem: &Problem<'_>,
    state: &State,
    structure: &Structure,
    joint: &Joint,
    point: usize,
) -> Place {
    let at = state.points[point];
    let freedom = joint.freedom(point);
    let one = |d: [f64; 2]| {
        let (d, angle) = stated(problem, state, point, d);
        let root = joint.root(point, d);
        Place::OneDirection { angle, along: dot(&d, &at), variance: root.times(&root) }
    };
    let both = || {
        let (x, y) = (joint.root(point, [1.0, 0.0]), joint.root(point, [0.0, 1.0]));
        let xy = x.times(&y);
        Place::Determined { at, covariance: [[x.times(&x), xy], [xy, y.times(&y)]] }
    };
    let known = match (freedom.dims(), structure.loose[point]) {
        (0, _) => None,
        (1, Loose::No) => Some(freedom.basis()[0]),
        (_, Loose::No) => return both(),
        (_, Loose::AllBut(d)) => Some(d),
        (_, Loose::All) => None,
    };
    match (problem.fixed[point], problem.normals[point], known) {
        (FixedPart::Whole, Some(normal), _) => one(normal),
        (FixedPart::Whole, None, _) | (FixedPart::Along(_), _, Some(_)) => both(),
        (FixedPart::Along(d), _, None) => {
            let (d, angle) = stated(problem, state, point, d);
            Place::OneDirection { angle, along: dot(&d, &at), variance: 0.0 }
        }
        (FixedPart::Nothing, _, Some(d)) => one(d),
        (FixedPart::Nothing, _, None) if problem.of(point).is_empty() => Place::Unseen,
        (FixedPart::Nothing, _, None) => Place::NotTied,
    }
}

/// The direction d, in the words of the input where it is one of those: a normal, a datum
/// direction or a direction the point was seen from.
fn stated(problem: &Problem<'_>, state: &State, point: usize, d: [f64; 2]) -> ([f64; 2], f64) {
    let network = problem.network;
    let normal = match network.points[point].shape {
        Shape::Axis => None,
        Shape::Plane { normal } => Some(normal),
    };
    let seen = problem.of(point).iter().map(|&i| {
        let k = network.direction_of(&network.observations[i]);
        state.angle(&network.directions[k])
    });
    let fixed = network.fixed.iter().filter(|f| f.point == point).map(|f| f.angle);
    for angle in normal.into_iter().chain(seen).chain(fixed) {
        let u = up(angle);
        if cross(u, d).abs() < 1e-9 {
            return (u, angle);
        }
    }
    (d, libm::atan2(d[1], d[0]))
}
