//! How a result follows from places, sizes and touches. Defined below the document, so that the
//! kinds of relations can state it too.

pub use crate::chance::{Sensitivities, SizeRef};
