//! What a result owes to each observation and to each value known beforehand.
//!
//! The estimate is linear in them: y = Σ gᵢ lᵢ + Σ hⱼ sⱼ. All are independent, and the weights are
//! the inverse variances, so Var y = Σ (gᵢ σᵢ)² + Σ (hⱼ τⱼ)², and gᵢ σᵢ is the covariance of y with
//! the adjusted observation, divided by σᵢ (Mikhail and Ackermann, propagation of covariance).

use super::adjusted::Adjusted;
use super::block::product;
use super::freedom::Freedom;
use super::joint::{Joint, Root};
use super::layout::{Layout, Which};
use super::model::Prior;
use super::problem::Problem;
use super::state::{State, dot};
use super::triangle::Inverse;

/// A result and the part that each source has in its standard uncertainty: with their signs, in
/// mm; their squares add up to the variance. All lists are in the order of those of the network.
#[derive(Clone, Debug, PartialEq)]
pub struct Influence {
    /// Variance of the result, mm².
    pub variance: f64,
    /// Each observation.
    pub observations: Vec<f64>,
    /// What was known beforehand of each error of angle.
    pub directions: Vec<f64>,
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
    /// Where the entries of each observation start, and the end.
    starts: Vec<usize>,
    /// Column and coefficient, divided by σ.
    entries: Vec<(usize, f64)>,
    unknowns: Vec<(Which, Prior)>,
    counts: [usize; 3],
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
        let mut rows = Self {
            own: Vec::with_capacity(network.observations.len()),
            starts: Vec::with_capacity(network.observations.len() + 1),
            entries: Vec::new(),
            unknowns: layout.unknowns.clone(),
            counts: [network.directions.len(), network.offsets.len(), network.systematics.len()],
            inverse,
        };
        for o in &network.observations {
            rows.starts.push(rows.entries.len());
            let freedom: &Freedom = joint.freedom(o.point);
            let u = state.ups[network.direction_of(o)];
            let mut own = [0.0; 2];
            for (own, b) in own.iter_mut().zip(freedom.basis()) {
                *own = dot(u, *b) / o.standard;
            }
            rows.own.push((o.point, joint.own(o.point).solve_transposed(freedom.dims(), own)));
            layout.row(problem, state, o, |c, a| rows.entries.push((c, a / o.standard)));
        }
        rows.starts.push(rows.entries.len());
        rows
    }

    pub(super) fn inverse(&self) -> &Inverse {
        &self.inverse
    }

    /// The point of an observation, and its row in the point's own unknowns.
    pub(super) fn own(&self, observation: usize) -> (usize, [f64; 2]) {
        self.own[observation]
    }

    /// The columns of an observation, and its coefficients there.
    pub(super) fn entries(&self, observation: usize) -> &[(usize, f64)] {
        &self.entries[self.starts[observation]..self.starts[observation + 1]]
    }

    /// Offsets that are known beforehand: index, column and standard uncertainty.
    pub(super) fn known_offsets(&self) -> impl Iterator<Item = (usize, usize, f64)> + '_ {
        self.unknowns.iter().enumerate().filter_map(|(c, &(which, prior))| match which {
            Which::Offset(j) => prior.standard().map(|u| (j, c, u)),
            _ => None,
        })
    }
}

impl Adjusted {
    /// The roots of such a sum, and the shared part of all of them together.
    pub(super) fn roots(&self, of: &[(usize, [f64; 2])]) -> Option<(Vec<Root>, Vec<f64>)> {
        let joint = self.joint();
        let mut roots: Vec<Root> = Vec::new();
        for (point, weights) in of {
            for d in self.known(*point)? {
                let share = dot(*weights, d);
                roots.push(joint.root(*point, d.map(|d| d * share)));
            }
        }
        let mut shared = vec![0.0; joint.width()];
        for root in &roots {
            for (sum, part) in shared.iter_mut().zip(root.shared()) {
                // The root of a point has the shared unknowns with the other sign.
                *sum -= part;
            }
        }
        Some((roots, shared))
    }

    /// What the sum of these coordinates, each of a point along a vector that weighs its x and y,
    /// owes to each source. Of a point with one coordinate the part along that counts. None where
    /// nothing is known of one of the points.
    #[must_use]
    pub fn influence(&self, of: &[(usize, [f64; 2])]) -> Option<Influence> {
        let rows = &self.rows;
        let joint = self.joint();
        let (roots, shared) = self.roots(of)?;
        let by_column: Vec<f64> =
            (0..joint.width()).map(|c| product(rows.inverse.row(c), &shared[c..])).collect();
        let mut points: Vec<Option<([f64; 2], [f64; 2])>> = vec![None; joint.points()];
        let observations = rows.own.iter().zip(rows.starts.windows(2)).map(|((point, own), at)| {
            let (of_point, m) = *points[*point].get_or_insert_with(|| {
                let mut sum = [0.0; 2];
                for root in roots.iter().filter(|r| r.point() == *point) {
                    sum[0] += root.own()[0];
                    sum[1] += root.own()[1];
                }
                let mut m = [0.0; 2];
                for (k, m) in m.iter_mut().enumerate().take(joint.freedom(*point).dims()) {
                    *m = product(joint.m(*point, k), &shared);
                }
                (sum, m)
            });
            let entries = &rows.entries[at[0]..at[1]];
            let direct: f64 = entries.iter().map(|&(c, a)| a * by_column[c]).sum();
            dot(*own, of_point) + direct - dot(*own, m)
        });
        let observations: Vec<f64> = observations.collect();
        let [directions, offsets, systematics] = rows.counts.map(|n| vec![0.0; n]);
        let own = |a: &Root, b: &Root| {
            if a.point() == b.point() { dot(a.own(), b.own()) } else { 0.0 }
        };
        let pairs = roots.iter().flat_map(|a| roots.iter().map(move |b| (a, b)));
        let variance = product(&shared, &shared) + pairs.map(|(a, b)| own(a, b)).sum::<f64>();
        let mut found = Influence { variance, observations, directions, offsets, systematics };
        for (c, &(which, prior)) in rows.unknowns.iter().enumerate() {
            let Some(standard) = prior.standard() else { continue };
            let slot = match which {
                Which::Error(k) => &mut found.directions[k],
                Which::Offset(j) => &mut found.offsets[j],
                Which::Systematic(m) => &mut found.systematics[m],
            };
            *slot = by_column[c] / standard;
        }
        Some(found)
    }
}
