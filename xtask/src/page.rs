//! Building the page into `dist/`.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use crate::setup::PageTools;
use crate::stamp::Stamp;
use crate::{child, compress, places, say, setup};

const TARGET: &str = "wasm32-unknown-unknown";
/// What the bundler reads; whatever lies beside the page's code and is not code.
const INDEX: &str = "app/index.html";
const STYLE: &str = "app/style";
const PUBLIC: &str = "public";
const BUNDLER: &str = "Trunk.toml";

/// Sets up what is missing and builds `dist/`, compressed copies included.
///
/// # Errors
/// When something cannot be set up or built.
pub(crate) fn build() -> Result<()> {
    let tools = setup::for_page()?;
    fetch(&tools)?;
    let programs = compile(&tools)?;

    let inputs = inputs(&tools, programs)?;
    let stamp = Stamp::new(&inputs, &places::page_target().join("dist.stamp"))?;
    if stamp.fits(&places::dist()) {
        say::note("dist/ is up to date");
        return Ok(());
    }
    stamp.clear()?;
    bundle(&tools)?;
    let step = say::step("Compressing");
    compress::folder(&places::dist(), &places::page_target().join("compressed"))
        .context("compressing dist/")?;
    step.done();
    stamp.set(&places::dist())
}

/// All that follows works offline, so that nothing is downloaded that was not announced.
fn fetch(tools: &PageTools) -> Result<()> {
    let step = say::step("Fetching the crates that are missing");
    let mut fetch = child::command(tools.wasm_std.cargo());
    fetch.args(["fetch", "--locked", "--target", TARGET]);
    if let Some(host) = host() {
        // Macros and build scripts run here.
        fetch.args(["--target", &host]);
    }
    tools.wasm_std.apply(&mut fetch, &tools.folders())?;
    child::run(&mut fetch)?;
    step.done();
    Ok(())
}

/// Compiles the page's programs just as the bundler would, so that it finds them done. Gives the
/// compiled files.
fn compile(tools: &PageTools) -> Result<Vec<PathBuf>> {
    let page = std::fs::read_to_string(places::root().join(INDEX))
        .with_context(|| format!("reading {INDEX}"))?;
    let names = programs_in(&page);
    let step =
        say::step(&format!("Compiling the page, {} (cold: some minutes)", names.join(" and ")));
    for (name, bare) in names.iter().zip(without_defaults(&page)) {
        let mut compile = child::command(tools.wasm_std.cargo());
        compile
            .args(["build", "--manifest-path", "app/Cargo.toml", "--release"])
            .args(["--offline", "--locked", "--target", TARGET, "--bin", name])
            .env("CARGO_TARGET_DIR", places::page_target());
        if bare {
            compile.arg("--no-default-features");
        }
        tools.wasm_std.apply(&mut compile, &tools.folders())?;
        child::run(&mut compile)?;
    }
    step.done();
    let folder = places::page_target().join(TARGET).join("release");
    Ok(names.iter().map(|name| folder.join(format!("{name}.wasm"))).collect())
}

/// The programs that the page has the bundler build.
fn programs_in(page: &str) -> Vec<&str> {
    page.split("data-bin=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

/// Of each of them, whether the page wants it without the default features.
fn without_defaults(page: &str) -> impl Iterator<Item = bool> + '_ {
    page.split("data-bin=\"").skip(1).map(|rest| {
        rest.split('>').next().unwrap_or(rest).contains("data-cargo-no-default-features")
    })
}

/// Everything that `dist/` is made from.
fn inputs(tools: &PageTools, programs: Vec<PathBuf>) -> Result<Vec<PathBuf>> {
    let root = places::root();
    let mut inputs = programs;
    inputs.extend([root.join(INDEX), root.join(BUNDLER)]);
    for folder in [STYLE, PUBLIC] {
        inputs.extend(compress::files_below(&root.join(folder))?);
    }
    inputs.extend(tools.programs().map(Path::to_path_buf));
    Ok(inputs)
}

fn bundle(tools: &PageTools) -> Result<()> {
    let step = say::step("Bundling the page into dist/");
    let mut trunk = child::command(&tools.trunk);
    trunk
        .args(["build", "--offline", "--skip-version-check"])
        .env("CARGO_TARGET_DIR", places::page_target())
        // Its errors say where in the project the fault is; a trace says where in the bundler.
        .env("RUST_BACKTRACE", "0");
    if std::env::var_os("NO_COLOR").is_some() {
        // The convention is any value; this program takes only true and false.
        trunk.env("NO_COLOR", "true");
    }
    tools.wasm_std.apply(&mut trunk, &tools.folders())?;
    child::run(&mut trunk)?;
    step.done();
    Ok(())
}

fn host() -> Option<String> {
    let about = child::answer(child::command("rustc").arg("-vV"))?;
    let host = about.lines().find_map(|line| line.strip_prefix("host: "))?;
    Some(host.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_names_its_programs() {
        let page = std::fs::read_to_string(places::root().join(INDEX)).unwrap();
        assert_eq!(programs_in(&page), ["quarterturn-app", "press"]);
        assert_eq!(without_defaults(&page).collect::<Vec<_>>(), [true, false]);
    }
}
