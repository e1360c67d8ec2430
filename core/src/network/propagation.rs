//! What a sum of coordinates and angle errors has of every error: found once, for all variances and
//! covariances of it.

use super::adjusted::Adjusted;
use super::block::{product, subtract};
use super::form::LinearForm;
use crate::quantity::vector::dot;

/// A determined sum as a row over independent unit errors: Rᵢ⁻ᵀ Bᵢᵀ w for each point, in the order of
/// the points, and what all of it has of those of the shared unknowns.
#[derive(Clone, Debug)]
pub struct Propagation<'a> {
    pub(super) adjusted: &'a Adjusted,
    pub(super) own: Vec<(usize, [f64; 2])>,
    pub(super) shared: Vec<f64>,
}

impl Propagation<'_> {
    /// The part of a point.
    pub(super) fn own(&self, point: usize) -> [f64; 2] {
        let found = self.own.binary_search_by_key(&point, |(i, _)| *i);
        found.map_or([0.0; 2], |at| self.own[at].1)
    }

    /// The part of the estimated shared unknowns.
    pub(super) fn estimated(&self) -> &[f64] {
        &self.shared[..self.adjusted.rows.estimated()]
    }

    /// Covariance with another sum, mm².
    #[must_use]
    pub fn covariance(&self, other: &Self) -> f64 {
        let own: f64 = self.own.iter().map(|(i, a)| dot(a, &other.own(*i))).sum();
        own + product(&self.shared, &other.shared)
    }

    /// Variance, mm².
    #[must_use]
    pub fn variance(&self) -> f64 {
        self.own.iter().map(|(_, own)| dot(own, own)).sum::<f64>()
            + product(&self.shared, &self.shared)
    }
}

impl Adjusted {
    /// How this sum follows from all errors. None where something in it is not determined.
    #[must_use]
    pub fn propagation(&self, form: &LinearForm) -> Option<Propagation<'_>> {
        Some(self.row(&*self.counted(form)?))
    }

    /// The same of a sum that the observations determine ([`Self::is_determined`]).
    #[must_use]
    pub fn determined(&self, form: &LinearForm) -> Option<Propagation<'_>> {
        self.is_determined(form).then(|| self.row(form))
    }

    fn row(&self, form: &LinearForm) -> Propagation<'_> {
        let joint = self.joint();
        let mut shared = vec![0.0; joint.width()];
        let mut own: Vec<(usize, [f64; 2])> = Vec::with_capacity(form.points.len());
        for &(point, w) in &form.points {
            let freedom = joint.freedom(point);
            let w = joint.own(point).solve_transposed(freedom.dims(), freedom.weights(w));
            for (k, w) in w.iter().enumerate().take(freedom.dims()) {
                subtract(*w, joint.m(point, k), &mut shared);
            }
            own.push((point, w));
        }
        own.sort_by_key(|(point, _)| *point);
        own.dedup_by(|later, first| {
            let same = later.0 == first.0;
            if same {
                first.1 = [first.1[0] + later.1[0], first.1[1] + later.1[1]];
            }
            same
        });
        for &(k, w) in &form.angle_errors {
            if let Some(c) = self.ground.columns[k] {
                subtract(-w, self.rows.inverse().row(c), &mut shared[c..]);
            }
        }
        Propagation { adjusted: self, own, shared }
    }

    /// Covariance of two sums, mm². None where something in one of them is not determined.
    #[must_use]
    pub fn covariance_of(&self, a: &LinearForm, b: &LinearForm) -> Option<f64> {
        Some(self.propagation(a)?.covariance(&self.propagation(b)?))
    }

    /// Variance of this sum, mm². None where something in it is not determined.
    #[must_use]
    pub fn variance_of(&self, form: &LinearForm) -> Option<f64> {
        Some(self.propagation(form)?.variance())
    }
}
