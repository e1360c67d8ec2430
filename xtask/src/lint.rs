//! What a reviewer need not look for: form, lints, and what must hold in the repository.

use std::path::PathBuf;

use anyhow::{Context, Result};

use crate::{child, places, say, setup, tidy};

/// `cargo xtask lint`.
///
/// # Errors
/// When a lint has something to say.
pub(crate) fn command() -> Result<()> {
    setup::for_lints()?;
    let step = say::step("Checking the form of the code");
    child::run(child::command("cargo").args(["fmt", "--all", "--check"]))?;
    child::run(child::command("rustfmt").args(["--edition", "2024", "--check"]).args(kinds()?))?;
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

/// The files of the kinds of relations. They are declared by a macro, which `cargo fmt` does not
/// look into.
fn kinds() -> Result<Vec<PathBuf>> {
    let folder = places::root().join("core/src/relation");
    let entries =
        std::fs::read_dir(&folder).with_context(|| format!("reading {}", folder.display()))?;
    let mut files = Vec::new();
    for entry in entries {
        let path = entry?.path();
        if path.extension().is_some_and(|it| it == "rs") {
            files.push(path);
        }
    }
    Ok(files)
}
