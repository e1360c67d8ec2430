//! The pattern judged as its functional gauge would judge it: a minimax fit.

mod cone;
mod eigen;
mod exchange;
#[expect(clippy::module_inception, reason = "a file is named for what lives in it")]
mod fit;
mod freedom;
mod held;
mod interior;
mod member;
mod polish;
mod pose;
mod reduce;
mod scan;
mod settle;
mod touch;
mod unfit;

pub use exchange::Effort;
pub use fit::{Certificate, Fit, Hold, fit};
pub use freedom::{Freedom, Turn};
pub use member::{Bound, Member, Zone};
pub use unfit::{Unfit, Which};
