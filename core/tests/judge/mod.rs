//! The judge: a second evaluation of jobs, dense and slow, that shares no code with the core.
//!
//! It reads the job file by itself and follows the observation equations of surveying: every height is an
//! observation of x cos φ + y sin φ + c, all facts are adjusted together without a datum of the drawing, and
//! the datum frame of each callout is taken from the adjusted points.
#![allow(dead_code, reason = "each test takes what it needs")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::float_cmp,
    clippy::needless_range_loop,
    reason = "a test fails by panicking, exact zeros are meant, and axes are indices"
)]

mod against_core;
mod by_hand;

pub(crate) mod adjust;
pub(crate) mod answer;
mod cases;
pub(crate) mod circle;
pub(crate) mod compare;
pub(crate) mod core_answer;
pub(crate) mod document;
pub(crate) mod draft;
pub(crate) mod eigen;
pub(crate) mod frame;
mod metamorphic;
pub(crate) mod observations;
pub(crate) mod pattern;
pub(crate) mod random;
pub(crate) mod relations;
pub(crate) mod size;
pub(crate) mod spread;
pub(crate) mod uncertainty;
pub(crate) mod verdict;
