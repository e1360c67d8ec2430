//! All facts of a piece adjusted together, without a datum of the drawing.
//!
//! Every reading, zero and rest is one observation of x cos φ + y sin φ + c ([`crate::network`]). The
//! offsets c are unknown, and so are the errors of angle; nothing of the drawing is held. What comes
//! out is therefore known up to how the part as a whole lies on the bench: single coordinates mean
//! nothing, differences do. A datum frame ([`crate::frame`]) makes such differences, [`Form`]s, and
//! asks here for their values and uncertainties.

mod adjustment;
mod contribution;
mod fit;
mod form;
mod network;
mod sensitivity;
mod variance;

pub use adjustment::{Adjustment, AdjustmentFault};
pub use contribution::{Source, VarianceContribution, effective_degrees};
pub use fit::{Residual, Test, ZeroResidual};
pub use form::Form;
pub use network::adjust;
pub use sensitivity::{BenchSensitivities, Sensitivities, SizeRef};
pub use variance::Propagated;
