//! Programs built from crates.io, each into a folder of its own in the cache.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::child::{command, run, version_line};
use crate::places::{cached, which};
use crate::say;
use crate::version::Version;

/// The bundler's version: chosen here, not by what a machine happens to have.
const TRUNK: &str = "0.21.14";

/// The bundler, in its one version.
///
/// # Errors
/// When it cannot be built.
pub(crate) fn trunk() -> Result<PathBuf> {
    // Locked, for with newer dependencies it does not compile. Without its client for downloads,
    // which is not wanted here, and optimised only a little: it waits for others most of its time,
    // and so does whoever builds it.
    program("trunk", "trunk", TRUNK, |install| {
        install
            .args(["--locked", "--no-default-features"])
            .env("CARGO_PROFILE_RELEASE_LTO", "off")
            .env("CARGO_PROFILE_RELEASE_OPT_LEVEL", "1")
            .env("CARGO_PROFILE_RELEASE_CODEGEN_UNITS", "16");
    })
}

/// The tool that binds the page to the browser, in the version of the library in the page.
///
/// # Errors
/// When it cannot be built.
pub(crate) fn wasm_bindgen() -> Result<PathBuf> {
    let version = crate::lockfile::version("wasm-bindgen")?;
    program("wasm-bindgen", "wasm-bindgen-cli", &version, |_| {})
}

fn program(
    name: &str,
    package: &str,
    version: &str,
    adjust: impl FnOnce(&mut std::process::Command),
) -> Result<PathBuf> {
    if let Some(own) = which(name).filter(|own| is(own, version)) {
        return Ok(own);
    }
    let folder = cached(name, version)?;
    let file = folder.join("bin").join(name);
    if is(&file, version) {
        return Ok(file);
    }
    let step = say::step(&format!(
        "Building {package} {version} from crates.io into {} (some minutes, once)",
        folder.display()
    ));
    std::fs::create_dir_all(&folder).with_context(|| format!("making {}", folder.display()))?;
    let mut install = command("cargo");
    install
        // Out of reach of the workspace's settings.
        .current_dir(&folder)
        .args(["install", package, "--version", version, "--force"])
        .arg("--root")
        .arg(&folder)
        // Cargo then builds in a folder that it takes away again.
        .env_remove("CARGO_TARGET_DIR");
    adjust(&mut install);
    run(&mut install)?;
    if !is(&file, version) {
        bail!("{} was built, but does not say that it is {version}", file.display());
    }
    step.done();
    Ok(file)
}

/// Does the program say that it has exactly this version?
fn is(program: &Path, version: &str) -> bool {
    let said = version_line(program).and_then(|line| Version::first_in(&line));
    said.is_some() && said == Version::first_in(version)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_exact_version_will_do() {
        let cargo = which("cargo").unwrap();
        let line = version_line(&cargo).unwrap();
        let version = line.split_whitespace().nth(1).unwrap();
        assert!(is(&cargo, version));
        assert!(!is(&cargo, "0.0.1"));
        assert!(!is(Path::new("/no/such/program"), "1"));
    }
}
