//! Weighted least-squares adjustment of heights, as surveyors adjust a levelling network.
//!
//! A part is measured in several orientations, each height relative to some zero. What is wanted
//! are the coordinates of its features, with the covariance that shared zeros and common errors
//! leave between them; what is there besides are offsets nobody knows, orientations that are a
//! little out of square, and now and then a wrong reading. All of it is one adjustment of
//! observation equations (E. M. Mikhail and F. Ackermann, *Observations and Least Squares*;
//! C. D. Ghilani, *Adjustment Computations*). With φ the stated angle of a direction and δ its
//! angle error, which several directions may share, an observation of a point is
//!
//! ```text
//! height + v = x cos(φ + δ) + y sin(φ + δ) + c + Σ a s,      v ~ N(0, σ²)
//! ```
//!
//! where c is the offset it was taken with, and s are systematic errors that enter with the
//! coefficients a (a probe constant with 0, ½ or 1; an error of scale with the height). Angle
//! errors, offsets and systematic errors are exact, known with a standard uncertainty, or free:
//! [`Prior`]. Plain numbers in and out: millimetres and radians, counter-clockwise from +X.
//!
//! Results are sums of coordinates and angle errors: [`LinearForm`].
//!
//! ```
//! use quarterturn_core::network::{
//!     Direction, Fixed, Network, Observation, Offset, Place, Point, Prior,
//! };
//! // Two points seen from 0 and from 90 degrees over offsets that nobody knows; the first is
//! // the origin.
//! let quarter = std::f64::consts::FRAC_PI_2;
//! let network = Network {
//!     points: vec![Point::axis([0.0, 0.0]), Point::axis([30.0, 20.0])],
//!     directions: vec![Direction::exact(0.0), Direction::exact(quarter)],
//!     offsets: (0..2).map(|direction| Offset { direction, prior: Prior::Free }).collect(),
//!     observations: vec![
//!         Observation::new(0, 0, 55.000, 0.002),
//!         Observation::new(1, 0, 85.010, 0.002),
//!         Observation::new(0, 1, 12.500, 0.002),
//!         Observation::new(1, 1, 32.480, 0.002),
//!     ],
//!     fixed: vec![
//!         Fixed { point: 0, angle: 0.0, value: 0.0 },
//!         Fixed { point: 0, angle: quarter, value: 0.0 },
//!     ],
//!     ..Network::default()
//! };
//! let adjusted = network.adjust().unwrap();
//! let Place::Determined { at, covariance } = adjusted.points[1] else { panic!() };
//! assert!((at[0] - 30.010).abs() < 1e-12 && (at[1] - 19.980).abs() < 1e-12);
//! assert!((covariance[0][0] - 2.0 * 0.002 * 0.002).abs() < 1e-18);
//! ```
//!
//! # How
//!
//! Points meet each other only through the few *shared* unknowns (angle errors, offsets, systematic
//! errors). Ordered points first, the equations have the shape of an arrow: a block
//! of one or two columns for each point, and a border. So every point is eliminated by itself,
//! by Householder reflections of the few rows that see it; what is left of these rows has only
//! shared unknowns and goes into one small triangle. This is the Schur complement on the shared
//! unknowns, formed by orthogonal transformations and not through normal equations, whose
//! condition is the square: weights may differ by 10¹², and do (G. H. Golub and C. F. Van Loan,
//! *Matrix Computations*, 5.3; Å. Björck, *Numerical Methods for Least Squares Problems*, 6.3 on
//! block angular problems). The cost is linear in the number of points.
//!
//! With angle errors the equations are not linear; they are linearised again and again
//! (Gauss–Newton) until a step would move no quantity by more than about 10⁻⁹ of its own
//! standard uncertainty.
//!
//! # Systematic errors are considered
//!
//! A systematic error s that is known with a standard uncertainty u is not corrected by the
//! observations. Coordinates, offsets and angle errors are the weighted least-squares estimate with
//! s as stated, and their covariance includes what s may be. With A the equations of what is
//! estimated, W the weights and A₂ the coefficients of s, P = diag(u²):
//!
//! ```text
//! x = (AᵀWA)⁻¹ AᵀW (l − A₂ s)
//! V = (AᵀWA)⁻¹ + B P Bᵀ,      B = (AᵀWA)⁻¹ AᵀW A₂
//! ```
//!
//! These are the consider parameters of S. F. Schmidt (G. J. Bierman, *Factorization Methods for
//! Discrete Sequential Estimation*, chapter VIII; from memory). Estimated from the redundancy, a
//! systematic error would carry the misfit of one feature into the coordinates of all others: a
//! coordinate that follows from a feature's own two readings would move because other features were
//! read once more. Each column of B is the error that a systematic error of one unit makes. In the
//! triangle of the shared unknowns the considered ones have the last columns; `consider.rs` says how
//! everything follows from it. A free systematic error ([`Prior::Free`]) has no uncertainty to
//! consider and is estimated like an offset.
//!
//! The test of the readings is another question: does what was read contradict what was assumed?
//! There the systematic errors are unknowns, and their stated values observations. Residuals,
//! redundancies, χ² and degrees of freedom are those of this full adjustment, with the same
//! equations, solved once more with all columns. Where there are angle errors too, the equations are
//! those linearised at the considered estimate; redundancies then differ from a full adjustment
//! linearised at its own solution by what is of second order in the difference of the angles.
//!
//! # What is not determined
//!
//! Rank has nothing to do with weights, so it is never read from the weighted equations alone.
//!
//! 1. Per point, by geometry: directions closer than [`PARALLEL`] are one direction, and what
//!    lies across it stays at the stated value and is not reported.
//! 2. Of the shared unknowns: the weighted triangle, with its columns scaled, is either so well
//!    conditioned that nothing can be missing; or the free unknowns are eliminated a second time
//!    with equal weights, and the singular vectors that belong to the singular value zero are
//!    the movements that no observation would notice. Carried back into each point they say
//!    which of its coordinates they move: both, one direction, or none ([`Place`]).
//! 3. The movements are then stopped by inner constraints (a free network in the sense of
//!    Mikhail and Ackermann): one added row for each, which changes no residual and no quantity
//!    that is determined.
//!
//! A sum of several coordinates may be determined although none of them is: over an offset that
//! nothing ties, the difference of two heights. It is determined if no movement changes it, and then
//! its value and its covariance do not depend on where the inner constraints stopped the movements
//! ([`Adjusted::is_determined`]).
//!
//! An angle error needs arms, the coordinates along the plate. Where an arm is not determined, the
//! one stated with the point is used ([`Point::near`]), and counts as exact.
//!
//! # Reliability
//!
//! Every observation has its redundancy number r and its normalised residual w, Baarda's data
//! snooping, in the full adjustment: [`Fit`], [`Adjusted::suspects`].

mod adjusted;
mod block;
mod consider;
mod eliminate;
mod fault;
mod form;
mod freedom;
mod influence;
mod jacobi;
mod joint;
mod layout;
mod model;
mod portion;
mod problem;
mod propagation;
mod refine;
mod reliability;
mod solve;
mod state;
mod structure;
mod triangle;
mod unnoticed;

#[cfg(test)]
mod tests;

pub use adjusted::{Adjusted, Estimate, Place, Shared};
pub use fault::Fault;
pub use form::LinearForm;
pub use freedom::PARALLEL;
pub use influence::Influence;
pub use model::{Direction, Fixed, Network, Observation, Offset, Point, Prior, Shape, Systematic};
pub use portion::Portion;
pub use propagation::Propagation;
pub use reliability::{CRITICAL, Fit, Suspect};
