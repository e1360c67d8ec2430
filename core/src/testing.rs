//! What the tests beside the code share.

use crate::job::{Job, read};

/// Notebook 1, as it was measured.
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
pub(crate) fn notebook() -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/notebooks/1-mast-adapter-plate.json");
    read(&std::fs::read_to_string(path).unwrap()).unwrap()
}
