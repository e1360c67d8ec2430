//! `Cargo.lock`, as far as set-up needs it: the tool that binds the page must have the version of
//! the library in the page.

use anyhow::{Context, Result};

/// The locked version of a package.
///
/// # Errors
/// When `Cargo.lock` cannot be read or does not hold the package.
pub(crate) fn version(package: &str) -> Result<String> {
    let path = crate::places::root().join("Cargo.lock");
    let text =
        std::fs::read_to_string(&path).with_context(|| format!("reading {}", path.display()))?;
    version_in(&text, package).with_context(|| format!("Cargo.lock holds no package '{package}'"))
}

fn version_in(lock: &str, package: &str) -> Option<String> {
    let mut lines = lock.lines();
    let name = format!("name = \"{package}\"");
    lines.find(|line| *line == name)?;
    // Cargo writes the version directly under the name.
    let version = lines.next()?.strip_prefix("version = \"")?;
    Some(version.strip_suffix('"')?.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    const LOCK: &str = r#"
version = 4

[[package]]
name = "wasm-bindgen-macro"
version = "0.2.1"

[[package]]
name = "wasm-bindgen"
version = "0.2.130"
source = "somewhere"
dependencies = [
 "wasm-bindgen-macro",
]
"#;

    #[test]
    fn the_version_stands_under_the_exact_name() {
        assert_eq!(version_in(LOCK, "wasm-bindgen").as_deref(), Some("0.2.130"));
        assert_eq!(version_in(LOCK, "wasm"), None);
    }

    #[test]
    fn this_workspace_locks_the_binding_library() {
        assert!(version("wasm-bindgen").unwrap().starts_with("0.2."));
    }
}
