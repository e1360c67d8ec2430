//! Programs and files from npm, each in a folder of its own in the cache.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use super::debian;
use crate::child::{command, run, version_line};
use crate::places::{cached, which};
use crate::say;
use crate::version::Version;

/// The package of `wasm-opt`. Its versions count up; every second month brings one.
const BINARYEN: &str = "132.0.0";
/// The oldest `wasm-opt` that reads what the compiler writes.
const WASM_OPT_AT_LEAST: u64 = 108;
/// The checker of accessibility.
const AXE: &str = "4.14.1";

/// `wasm-opt`, which makes the page's modules smaller: npm's, or where there is no npm, Debian's,
/// which is older and slower.
///
/// # Errors
/// When neither can be installed.
pub(crate) fn wasm_opt() -> Result<PathBuf> {
    let folder = cached("binaryen", BINARYEN)?;
    let file = folder.join("node_modules/.bin/wasm-opt");
    let wanted = Version::first_in(BINARYEN).map_or(0, |it| it.major());
    if wasm_opt_version(&file) == Some(wanted) {
        return Ok(file);
    }
    if which("npm").is_some() {
        match install("binaryen", BINARYEN, &folder) {
            Ok(()) if wasm_opt_version(&file) == Some(wanted) => return Ok(file),
            Ok(()) => say::note("npm's binaryen does not run here; trying Debian's"),
            Err(trouble) => say::note(&format!("{trouble:#}; trying Debian's binaryen")),
        }
    }
    debian::ensure(&[debian::Need::program("wasm-opt", "binaryen")])?;
    let file = which("wasm-opt").context("wasm-opt is not found")?;
    match wasm_opt_version(&file) {
        Some(version) if version >= WASM_OPT_AT_LEAST => Ok(file),
        _ => bail!("{} is older than version {WASM_OPT_AT_LEAST}", file.display()),
    }
}

fn wasm_opt_version(file: &Path) -> Option<u64> {
    Some(Version::first_in(&version_line(file)?)?.major())
}

/// The checker of accessibility: one script that a test puts into the page.
///
/// # Errors
/// When it cannot be installed.
pub(crate) fn axe() -> Result<PathBuf> {
    let folder = cached("axe-core", AXE)?;
    let package = folder.join("node_modules/axe-core");
    let script = package.join("axe.min.js");
    if script.is_file() && package_version(&package).as_deref() == Some(AXE) {
        return Ok(script);
    }
    debian::ensure(&[debian::Need::program("npm", "npm")])?;
    install("axe-core", AXE, &folder)?;
    if !script.is_file() {
        bail!("npm's axe-core {AXE} holds no axe.min.js");
    }
    Ok(script)
}

/// The version in a package's own description.
fn package_version(package: &Path) -> Option<String> {
    let text = std::fs::read_to_string(package.join("package.json")).ok()?;
    let description: serde_json::Value = serde_json::from_str(&text).ok()?;
    Some(description.get("version")?.as_str()?.to_owned())
}

fn install(package: &str, version: &str, folder: &Path) -> Result<()> {
    let step =
        say::step(&format!("Installing {package} {version} from npm into {}", folder.display()));
    std::fs::create_dir_all(folder).with_context(|| format!("making {}", folder.display()))?;
    run(command("npm")
        .arg("install")
        .arg("--prefix")
        .arg(folder)
        .args(["--no-audit", "--no-fund", "--ignore-scripts"])
        .arg(format!("{package}@{version}")))?;
    step.done();
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_package_that_is_not_there_has_no_version() {
        assert_eq!(package_version(Path::new("/no/such/package")), None);
    }
}
