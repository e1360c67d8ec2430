//! Building the page into `dist/`.

use anyhow::{Context, Result};

use crate::{child, compress, places, say, setup};

/// Sets up what is missing and builds `dist/`, compressed copies included.
///
/// # Errors
/// When something cannot be set up or built.
pub(crate) fn build() -> Result<()> {
    let tools = setup::for_page()?;

    // The bundler works offline, so that nothing is downloaded that was not announced.
    let step = say::step("Fetching the crates that are missing");
    let mut fetch = child::command(tools.wasm_std.cargo());
    fetch.args(["fetch", "--locked", "--target", "wasm32-unknown-unknown"]);
    if let Some(host) = host() {
        // Macros and build scripts run here.
        fetch.args(["--target", &host]);
    }
    tools.wasm_std.apply(&mut fetch, &tools.folders)?;
    child::run(&mut fetch)?;
    step.done();

    let step = say::step("Building the page into dist/ (cold: some minutes)");
    let mut trunk = child::command(&tools.trunk);
    trunk
        .args(["build", "--offline", "--skip-version-check"])
        .env("CARGO_TARGET_DIR", places::page_target());
    if std::env::var_os("NO_COLOR").is_some() {
        // The convention is any value; this program takes only true and false.
        trunk.env("NO_COLOR", "true");
    }
    tools.wasm_std.apply(&mut trunk, &tools.folders)?;
    child::run(&mut trunk)?;
    step.done();

    let step = say::step("Compressing");
    compress::folder(&places::dist(), &places::page_target().join("compressed"))
        .context("compressing dist/")?;
    step.done();
    Ok(())
}

fn host() -> Option<String> {
    let about = child::answer(child::command("rustc").arg("-vV"))?;
    let host = about.lines().find_map(|line| line.strip_prefix("host: "))?;
    Some(host.to_owned())
}
