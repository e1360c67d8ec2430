//! Setting up: what is missing is announced and installed, what is there in the right version is
//! left alone.
//!
//! - `wasm_std`: the standard library of the page, from rustup or from Debian's sources
//! - `crates`: programs built from crates.io into the cache
//! - `npm`: programs and files from npm in the cache
//! - `debian`: Debian's packages
//! - `browser`: the browser of the tests and its driver

mod browser;
mod crates;
mod debian;
mod npm;
mod wasm_std;

use std::path::{Path, PathBuf};

use anyhow::Result;

pub(crate) use browser::Browser;
pub(crate) use wasm_std::WasmStd;

/// What building the page needs.
pub(crate) struct PageTools {
    /// Where the page's standard library comes from.
    pub(crate) wasm_std: WasmStd,
    /// The bundler.
    pub(crate) trunk: PathBuf,
    /// Programs that the bundler calls.
    called: [PathBuf; 2],
}

impl PageTools {
    /// All programs that have a part in the page besides the compiler.
    pub(crate) fn programs(&self) -> impl Iterator<Item = &Path> {
        std::iter::once(&self.trunk).chain(&self.called).map(PathBuf::as_path)
    }

    /// Folders of the programs that the bundler is to find on its `PATH`.
    pub(crate) fn folders(&self) -> Vec<PathBuf> {
        self.called.iter().filter_map(|program| program.parent()).map(Path::to_path_buf).collect()
    }
}

/// Sets up what building the page needs.
///
/// # Errors
/// When something is missing and cannot be installed.
pub(crate) fn for_page() -> Result<PageTools> {
    Ok(PageTools {
        wasm_std: WasmStd::set_up()?,
        trunk: crates::trunk()?,
        called: [crates::wasm_bindgen()?, npm::wasm_opt()?],
    })
}

/// Sets up what the tests outside the browser need: readers of PDF files.
///
/// # Errors
/// When something is missing and cannot be installed.
pub(crate) fn for_native_tests() -> Result<()> {
    debian::ensure(&[
        debian::Need::program("pdftotext", "poppler-utils"),
        debian::Need::program("pdftoppm", "poppler-utils"),
        debian::Need::program("qpdf", "qpdf"),
    ])
}

/// What the browser's tests need.
pub(crate) struct BrowserTools {
    /// The browser and its driver.
    pub(crate) browser: Browser,
    /// The checker of accessibility, one script.
    pub(crate) axe: PathBuf,
}

/// Sets up what the browser's tests need.
///
/// # Errors
/// When something is missing and cannot be installed.
pub(crate) fn for_browser_tests() -> Result<BrowserTools> {
    let browser = Browser::set_up()?;
    let axe = npm::axe()?;
    Ok(BrowserTools { browser, axe })
}

/// Sets up what the lints need: two components of the toolchain, which a minimal one lacks.
///
/// # Errors
/// When one is missing and rustup cannot add it.
pub(crate) fn for_lints() -> Result<()> {
    for (component, command) in [("rustfmt", "fmt"), ("clippy", "clippy")] {
        let there =
            || crate::child::answer(crate::child::command("cargo").args([command, "--version"]));
        if there().is_some() {
            continue;
        }
        let step = crate::say::step(&format!("Adding {component} to the toolchain (rustup)"));
        crate::child::run(crate::child::command("rustup").args(["component", "add", component]))?;
        step.done();
    }
    Ok(())
}
