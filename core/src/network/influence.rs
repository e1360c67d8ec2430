//! What a result owes to each observation and to each value known beforehand.
//!
//! The estimate is linear in them: y = Σ gᵢ lᵢ + Σ hⱼ sⱼ. All are independent, so Var y =
//! Σ (gᵢ σᵢ)² + Σ (hⱼ uⱼ)² (Mikhail and Ackermann, propagation of covariance). The weights are the
//! inverse variances of the observations and of what is estimated: gᵢ σᵢ is the product of two rows
//! over the unit errors, that of y and that of the adjusted observation, in the columns of what is
//! estimated. A considered systematic error contributes its own column of the row of y.

use super::block::{product, subtract};
use super::freedom::Freedom;
use super::joint::Joint;
use super::layout::{Layout, Which};
use super::model::Prior;
use super::problem::Problem;
use super::propagation::Propagation;
use super::state::State;
use super::triangle::Inverse;
use crate::quantity::vector::dot;

/// A result and the part that each source has in its standard uncertainty: with their signs, in
/// mm; their squares add up to the variance. All lists are in the order of those of the network.
#[derive(Clone, Debug, PartialEq)]
pub struct Influence {
    /// Variance of the result, mm².
    pub variance: f64,
    /// Each observation.
    pub observations: Vec<f64>,
    /// What was known beforehand of each angle error.
    pub angle_errors: Vec<f64>,
    /// What was known beforehand of each offset.
    pub offsets: Vec<f64>,
    /// What was known beforehand of each systematic error.
    pub systematics: Vec<f64>,
}

/// What is kept of the equations for it.
#[derive(Clone, Debug)]
pub(super) struct Rows {
    /// For each observation: its point, and its row in the point's own unknowns times Rᵢ⁻¹.
    own: Vec<(usize, [f64; 2])>,
    /// σ of each observation.
    standards: Vec<f64>,
    /// Where the entries of each observation start, and the end.
    starts: Vec<usize>,
    /// Column and coefficient, divided by σ, of what is estimated.
    entries: Vec<(usize, f64)>,
    unknowns: Vec<(Which, Prior)>,
    /// Number of columns that are estimated.
    estimated: usize,
    counts: [usize; 3],
    /// The column of each systematic error.
    systematics: Vec<Option<usize>>,
    /// R⁻¹ with the considered systematic errors as stated.
    inverse: Inverse,
}

impl Rows {
    pub(super) fn new(
        problem: &Problem<'_>,
        state: &State,
        layout: &Layout,
        joint: &Joint,
        inverse: Inverse,
    ) -> Self {
        let network = problem.network;
        let systematics = network.systematics.len();
        let estimated = layout.estimated();
        let mut rows = Self {
            own: Vec::with_capacity(network.observations.len()),
            standards: network.observations.iter().map(|o| o.standard).collect(),
            starts: Vec::with_capacity(network.observations.len() + 1),
            entries: Vec::with_capacity(network.observations.len()),
            unknowns: layout.unknowns.clone(),
            estimated,
            counts: [network.angle_errors.len(), network.offsets.len(), systematics],
            systematics: (0..systematics).map(|m| layout.column(Which::Systematic(m))).collect(),
            inverse,
        };
        for o in &network.observations {
            rows.starts.push(rows.entries.len());
            let freedom: &Freedom = joint.freedom(o.point);
            let own = freedom.weights(state.ups[network.direction_of(o)]).map(|x| x / o.standard);
            rows.own.push((o.point, joint.own(o.point).solve_transposed(freedom.dims(), own)));
            layout.row(problem, state, o, |c, a| {
                if c < estimated {
                    rows.entries.push((c, a / o.standard));
                }
            });
        }
        rows.starts.push(rows.entries.len());
        rows
    }

    pub(super) fn inverse(&self) -> &Inverse {
        &self.inverse
    }

    /// Number of columns that are estimated.
    pub(super) fn estimated(&self) -> usize {
        self.estimated
    }

    /// The point of an observation, and its row in the point's own unknowns.
    pub(super) fn own(&self, observation: usize) -> (usize, [f64; 2]) {
        self.own[observation]
    }

    /// The columns of an observation, and its coefficients there.
    fn entries(&self, observation: usize) -> &[(usize, f64)] {
        &self.entries[self.starts[observation]..self.starts[observation + 1]]
    }

    /// Row `c` of the inverse in the columns that are estimated, from `c` on.
    pub(super) fn estimated_row(&self, c: usize) -> &[f64] {
        &self.inverse.row(c)[..self.estimated.saturating_sub(c)]
    }

    /// The row of an observation over the unit errors of the estimated shared unknowns.
    pub(super) fn shared(&self, joint: &Joint, observation: usize) -> Vec<f64> {
        let mut row = vec![0.0; self.estimated];
        for &(c, a) in self.entries(observation) {
            subtract(-a, self.estimated_row(c), &mut row[c..]);
        }
        let (point, own) = self.own(observation);
        for (k, own) in own.iter().enumerate().take(joint.freedom(point).dims()) {
            subtract(*own, joint.m(point, k), &mut row);
        }
        row
    }

    /// Offsets that are known beforehand: index, column and standard uncertainty.
    pub(super) fn known_offsets(&self) -> impl Iterator<Item = (usize, usize, f64)> + '_ {
        self.unknowns.iter().enumerate().filter_map(|(c, &(which, prior))| match which {
            Which::Offset(j) => prior.standard().map(|u| (j, c, u)),
            _ => None,
        })
    }
}

impl Propagation<'_> {
    /// What this sum owes to each source.
    #[must_use]
    pub fn influence(&self) -> Influence {
        let (rows, joint) = (&self.adjusted.rows, self.adjusted.joint());
        let estimated = self.estimated();
        let by_column: Vec<f64> =
            (0..rows.estimated).map(|c| product(rows.estimated_row(c), &estimated[c..])).collect();
        // What each point has in common with the form, found once for its observations.
        let mut points: Vec<Option<[f64; 2]>> = vec![None; joint.points()];
        let observations = rows.own.iter().zip(rows.starts.windows(2)).map(|((point, own), at)| {
            let with_point = *points[*point].get_or_insert_with(|| {
                let mut with = self.own(*point);
                for (k, with) in with.iter_mut().enumerate().take(joint.freedom(*point).dims()) {
                    *with -= product(joint.m(*point, k), estimated);
                }
                with
            });
            let entries = &rows.entries[at[0]..at[1]];
            dot(own, &with_point) + entries.iter().map(|&(c, a)| a * by_column[c]).sum::<f64>()
        });
        let observations: Vec<f64> = observations.collect();
        let [angle_errors, offsets, systematics] = rows.counts.map(|n| vec![0.0; n]);
        let variance = self.variance();
        let mut found = Influence { variance, observations, angle_errors, offsets, systematics };
        for (c, &(which, prior)) in rows.unknowns.iter().enumerate() {
            let Some(standard) = prior.standard() else { continue };
            match which {
                Which::AngleError(k) => found.angle_errors[k] = by_column[c] / standard,
                Which::Offset(j) => found.offsets[j] = by_column[c] / standard,
                Which::Systematic(m) => found.systematics[m] = self.shared[c],
            }
        }
        found
    }

    /// By how much this sum changes with the height of one observation, mm per mm: that of
    /// [`Influence::observations`] divided by its σ. None where there is no such observation.
    #[must_use]
    pub fn gain(&self, observation: usize) -> Option<f64> {
        let rows = &self.adjusted.rows;
        let standard = rows.standards.get(observation)?;
        let (point, own) = rows.own(observation);
        Some((dot(&own, &self.own(point)) + self.shared_with(observation)) / standard)
    }

    /// What this sum and an observation have in common by the estimated shared unknowns: the product
    /// of their rows, without writing out that of the observation ([`Rows::shared`]).
    pub(super) fn shared_with(&self, observation: usize) -> f64 {
        let (rows, joint) = (&self.adjusted.rows, self.adjusted.joint());
        let estimated = self.estimated();
        let entries = rows.entries(observation).iter();
        let by_entries = entries.map(|&(c, a)| a * product(rows.estimated_row(c), &estimated[c..]));
        let (point, own) = rows.own(observation);
        let own = own.iter().enumerate().take(joint.freedom(point).dims());
        let by_own = own.map(|(k, own)| own * product(joint.m(point, k), estimated));
        by_entries.sum::<f64>() - by_own.sum::<f64>()
    }

    /// By how much this sum changes if the stated value of a systematic error rises by its standard
    /// uncertainty, mm: that of [`Influence::systematics`]. A true error that much larger than stated
    /// puts the sum wrong by the opposite of this. Zero for one that is exact or free. None where
    /// there is no such systematic error.
    #[must_use]
    pub fn systematic_part(&self, systematic: usize) -> Option<f64> {
        let rows = &self.adjusted.rows;
        let column = *rows.systematics.get(systematic)?;
        Some(column.filter(|c| *c >= rows.estimated).map_or(0.0, |c| self.shared[c]))
    }
}
