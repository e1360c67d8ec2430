//! The joint covariance of all points, worked out where it is asked for.

use super::block::{product, subtract};
use super::eliminate::{Factor, Own};
use super::freedom::Freedom;
use super::layout::Layout;
use super::triangle::Inverse;
use crate::quantity::vector::dot;

/// What is kept of the equations: Cᵢⱼ = Rᵢ⁻¹ (δᵢⱼ I + Mᵢ Mⱼᵀ) Rⱼ⁻ᵀ with Mᵢ = Tᵢ R⁻¹, R being the
/// triangle of the shared unknowns with the considered systematic errors as stated.
#[derive(Clone, Debug)]
pub(super) struct Joint {
    width: usize,
    freedoms: Vec<Freedom>,
    own: Vec<Own>,
    /// Mᵢ: two rows for each point.
    m: Vec<f64>,
}

impl Joint {
    pub(super) fn new(layout: &Layout, factor: Factor, inverse: &Inverse) -> Self {
        let width = inverse.width();
        let mut m = vec![0.0; 2 * width * factor.own.len()];
        for (point, freedom) in factor.freedoms.iter().enumerate() {
            for k in 0..freedom.dims() {
                let row = &mut m[(2 * point + k) * width..(2 * point + k + 1) * width];
                for (t, &c) in factor.t(layout, point, k).iter().zip(layout.of(point)) {
                    for (m, r) in row[c..].iter_mut().zip(inverse.row(c)) {
                        *m += t * r;
                    }
                }
            }
        }
        Self { width, freedoms: factor.freedoms, own: factor.own, m }
    }

    pub(super) fn width(&self) -> usize {
        self.width
    }

    /// Number of points.
    pub(super) fn points(&self) -> usize {
        self.own.len()
    }

    pub(super) fn freedom(&self, point: usize) -> &Freedom {
        &self.freedoms[point]
    }

    pub(super) fn own(&self, point: usize) -> &Own {
        &self.own[point]
    }

    /// Row `k` of Mᵢ.
    pub(super) fn m(&self, point: usize, k: usize) -> &[f64] {
        &self.m[(2 * point + k) * self.width..(2 * point + k + 1) * self.width]
    }

    /// The root of the coordinate of `point` along `d`: with y = Rᵢ⁻ᵀ Bᵢᵀ d, Bᵢ being the unit
    /// vectors the point is adjusted along, it is \[y | y Mᵢ\]. Covariances are products of roots.
    /// That keeps the digits where a coordinate is well known and the one across it hardly at
    /// all, which a covariance matrix turned to d does not.
    pub(super) fn root(&self, point: usize, d: [f64; 2]) -> Root {
        let freedom = &self.freedoms[point];
        let own = self.own[point].solve_transposed(freedom.dims(), freedom.weights(d));
        let mut shared = vec![0.0; self.width];
        for (k, own) in own.iter().enumerate().take(freedom.dims()) {
            subtract(-own, self.m(point, k), &mut shared);
        }
        Root { point, own, shared }
    }
}

/// A coordinate as a row over independent unit errors.
#[derive(Debug)]
pub(super) struct Root {
    point: usize,
    own: [f64; 2],
    shared: Vec<f64>,
}

impl Root {
    /// Covariance of two coordinates.
    pub(super) fn times(&self, other: &Self) -> f64 {
        let own = if self.point == other.point { dot(&self.own, &other.own) } else { 0.0 };
        own + product(&self.shared, &other.shared)
    }
}
