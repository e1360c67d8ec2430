//! Where things are: the checkout, what is built in it, and the cache outside it.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

/// The top of the checkout.
pub(crate) fn root() -> PathBuf {
    // The package is rebuilt when the checkout moves, so the path it was compiled under holds.
    let package = Path::new(env!("CARGO_MANIFEST_DIR"));
    package.parent().unwrap_or(package).to_path_buf()
}

/// The built page.
pub(crate) fn dist() -> PathBuf {
    root().join("dist")
}

/// Cargo's target directory for native builds.
fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(dir) if !dir.is_empty() => root().join(dir),
        _ => root().join("target"),
    }
}

/// Cargo's target directory for the page: of its own, for its compiler may be another one, and so
/// that a native build and a build of the page do not wait for each other's lock.
pub(crate) fn page_target() -> PathBuf {
    target().join("page")
}

/// The folder of a tool in the cache. A second checkout finds it there.
///
/// # Errors
/// When neither `XDG_CACHE_HOME` nor `HOME` says where the cache is.
pub(crate) fn cached(tool: &str, version: &str) -> Result<PathBuf> {
    Ok(cache()?.join(format!("{tool}-{version}")))
}

fn cache() -> Result<PathBuf> {
    let set = |name| std::env::var_os(name).filter(|value| !value.is_empty());
    let base = match set("XDG_CACHE_HOME").map(PathBuf::from) {
        // The XDG specification has relative paths ignored.
        Some(dir) if dir.is_absolute() => dir,
        _ => Path::new(&set("HOME").context("neither XDG_CACHE_HOME nor HOME is set")?)
            .join(".cache"),
    };
    Ok(base.join("quarterturn"))
}

/// The first program of that name on `PATH` or in the system's own folders (a plain user's `PATH`
/// lacks `/usr/sbin`).
pub(crate) fn which(program: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path)
        .chain(["/usr/bin", "/bin", "/usr/sbin", "/sbin"].map(PathBuf::from))
        .map(|folder| folder.join(program))
        .find(|file| is_program(file))
}

fn is_program(file: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt as _;
    file.metadata().is_ok_and(|it| it.is_file() && it.permissions().mode() & 0o111 != 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_root_holds_the_workspace() {
        assert!(root().join("Cargo.lock").is_file());
    }

    #[test]
    fn programs_are_found_by_name() {
        assert!(which("sh").is_some());
        assert!(which("no-such-program-here").is_none());
    }
}
