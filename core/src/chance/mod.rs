//! Statistics of readings, the uncertainty of a result, and what it means for a verdict.
//!
//! ```text
//! sample        mean and standard deviation of repeats
//! degrees       variances with their degrees       -> effective degrees of freedom
//! interval      one dimension                      -> probability of conformity
//! disc          round position zone, fixed or growing with the size
//! decide        margin and expanded uncertainty    -> decision
//! normal, student, chi_square, fisher   the distributions; gamma, beta   beneath them
//! ```
//!
//! A kernel: plain numbers in, plain numbers out. Lengths are in millimetres, variances in square
//! millimetres, probabilities from 0 to 1. An argument outside its domain (a negative variance,
//! degrees of freedom below zero, not a number) gives NaN, and a decision on NaN is
//! [`Decision::NotProven`]; nothing panics.
//!
//! Sources: JCGM 100:2008 (GUM), JCGM 102:2011, JCGM 106:2012, ISO 14253-1:2017; for the
//! functions DLMF (chapters 7 and 8) and Abramowitz and Stegun, chapter 26.

pub mod beta;
mod bivariate;
pub mod chi_square;
mod decide;
mod degrees;
mod disc;
pub mod fisher;
pub mod gamma;
mod gauss;
mod interval;
pub mod normal;
mod panels;
mod sample;
mod sensitivity;
mod slope;
mod strip;
pub mod student;
mod summit;
#[cfg(test)]
mod testing;

pub use bivariate::Bivariate;
pub use decide::{Capability, Decision, Rule, Share, capability, decide};
pub use degrees::{coverage_factor, effective_degrees};
pub use disc::{GrowingBy, in_disc, in_growing_disc};
pub use interval::in_interval;
pub use sample::{Pooled, Sample, pooled};
pub use sensitivity::{Sensitivities, SizeRef};

/// What double precision may add or lose on the way to a decision, in millimetres.
///
/// A value without any uncertainty is inside its limits up to this; so a verdict that depends on
/// a probability agrees with one that compares lengths.
const NOISE: f64 = crate::quantity::NOISE.to_mm();
