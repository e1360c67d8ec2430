//! What a reviewer need not look for: form, lints, and what must hold in the repository.

use anyhow::Result;

use crate::{child, say, setup, tidy};

/// `cargo xtask lint`.
///
/// # Errors
/// When a lint has something to say.
pub(crate) fn command() -> Result<()> {
    setup::for_lints()?;
    let step = say::step("Checking the form of the code");
    child::run(child::command("cargo").args(["fmt", "--all", "--check"]))?;
    step.done();
    let step = say::step("Running the lints");
    child::run(child::command("cargo").args([
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--",
        "-D",
        "warnings",
    ]))?;
    step.done();
    tidy::command()
}
