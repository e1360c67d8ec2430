//! Systematic errors that are considered and not estimated.
//!
//! With the considered systematic errors s in the last columns, the triangle of the shared unknowns
//! is
//!
//! ```text
//! R₁₁ R₁₂ | z₁
//! 0   R₂₂ | z₂
//! ```
//!
//! R₂₂ and z₂ hold what the observations and the stated values together say of s. Only the full
//! adjustment uses them. The estimate takes s as stated, x₁ = R₁₁⁻¹ z₁, and its covariance is that
//! of the triangle with R₂₂ replaced by diag(1/u):
//!
//! ```text
//! R₁₁⁻¹ R₁₁⁻ᵀ + R₁₁⁻¹ R₁₂ diag(u²) R₁₂ᵀ R₁₁⁻ᵀ
//! ```
//!
//! the observations' part and the considered part (the consider parameters of S. F. Schmidt;
//! G. J. Bierman, *Factorization Methods for Discrete Sequential Estimation*, chapter VIII, from
//! memory).

use super::layout::Layout;
use super::triangle::{Inverse, Triangle};

/// The inverse of the triangle with diag(1/u) in place of R₂₂, and the way back.
#[derive(Debug)]
pub(super) struct Considered {
    pub(super) inverse: Inverse,
    estimated: usize,
    /// diag(1/u) R₂₂⁻¹, row by row: what turns the last columns into those of R⁻¹.
    back: Vec<f64>,
}

impl Considered {
    /// `full` is the inverse of `triangle`.
    pub(super) fn new(layout: &Layout, triangle: &Triangle, full: &Inverse) -> Self {
        let (n, estimated) = (layout.width(), layout.estimated());
        let standards: Vec<f64> = (layout.unknowns[estimated..].iter())
            .map(|(_, prior)| prior.standard().unwrap_or_default())
            .collect();
        let count = standards.len();
        let mut back = vec![0.0; count * count];
        for (i, u) in standards.iter().enumerate() {
            for (k, r) in full.row(estimated + i).iter().enumerate() {
                back[i * count + i + k] = r / u;
            }
        }
        let mut inverse = full.clone();
        for i in 0..n {
            let row = inverse.row_mut(i);
            if i >= estimated {
                row.fill(0.0);
                row[0] = standards[i - estimated];
                continue;
            }
            let (head, tail) = row.split_at_mut(estimated - i);
            for (j, (cell, u)) in tail.iter_mut().zip(&standards).enumerate() {
                let column = head.iter().enumerate();
                let sum: f64 = column.map(|(k, r)| r * triangle.at(i + k, estimated + j)).sum();
                *cell = -sum * u;
            }
        }
        Self { inverse, estimated, back }
    }

    /// Turns a row over the unit errors of the estimate, from column `from` on, into that of the
    /// full adjustment.
    pub(super) fn to_full(&self, row: &mut [f64], from: usize) {
        let tail = &mut row[self.estimated.saturating_sub(from)..];
        let count = self.inverse.width() - self.estimated;
        let first = count - tail.len();
        for j in (0..tail.len()).rev() {
            let sum = (0..=j).map(|i| tail[i] * self.back[(first + i) * count + first + j]).sum();
            tail[j] = sum;
        }
    }
}
