//! What must hold in the repository and no compiler sees.
//!
//! - Paths that `DEVELOPERS.md` names exist: a map that has rotted leads astray.
//! - `core` names no crate of the browser: it runs natively, and so do its tests.
//! - A folder of `core` imports only from those that it stands on ([`crate::folders`]).
//! - The top level holds what it shall hold and nothing else.

use std::path::Path;

use anyhow::{Context, Result, bail};

use crate::{folders, places, say};

/// Entries of the top level, besides dot files, licences and what git ignores.
const TOP: [&str; 11] = [
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    "Trunk.toml",
    "clippy.toml",
    "app",
    "core",
    "public",
    "tests",
];
const TOOLS: &str = "xtask";
/// Made by builds; git ignores them.
const BUILT: [&str; 2] = ["target", "dist"];
/// Crates that bring the browser.
const OF_BROWSER: [&str; 8] = [
    "web-sys",
    "js-sys",
    "wasm-bindgen",
    "wasm-bindgen-futures",
    "leptos",
    "gloo",
    "console_error_panic_hook",
    "quarterturn-app",
];

/// `cargo xtask tidy`.
///
/// # Errors
/// When something does not hold; all of it is listed first.
pub(crate) fn command() -> Result<()> {
    let step = say::step("Checking what must hold in the repository");
    let root = places::root();
    let read = |name: &str| {
        std::fs::read_to_string(root.join(name)).with_context(|| format!("reading {name}"))
    };
    let mut complaints = top_level(&root)?;
    complaints.extend(lost_paths(&read("DEVELOPERS.md")?, &root)?);
    complaints.extend(folders::out_of_order(&root.join("core/src"))?);
    complaints.extend(browser_crates(&read("core/Cargo.toml")?));
    for complaint in &complaints {
        eprintln!("    {complaint}");
    }
    match complaints.len() {
        0 => {
            step.done();
            Ok(())
        }
        1 => bail!("one thing is not tidy"),
        count => bail!("{count} things are not tidy"),
    }
}

fn top_level(root: &Path) -> Result<Vec<String>> {
    let mut complaints = Vec::new();
    for entry in std::fs::read_dir(root)? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        if !belongs_at_the_top(&name) {
            complaints.push(format!("{name} does not belong at the top level"));
        }
    }
    complaints.sort();
    Ok(complaints)
}

fn belongs_at_the_top(name: &str) -> bool {
    name.starts_with('.')
        || name.starts_with("LICENSE")
        || name == TOOLS
        || TOP.contains(&name)
        || BUILT.contains(&name)
}

/// Paths in backticks that do not exist.
fn lost_paths(text: &str, root: &Path) -> Result<Vec<String>> {
    let mut complaints = Vec::new();
    for (number, span) in code_spans(text) {
        let found = match kind_of(span) {
            Kind::Path => exists(root, Path::new(span.trim_end_matches('/')))?,
            Kind::FileName => holds_file(root, span)?,
            Kind::Other => true,
        };
        if !found {
            complaints.push(format!("DEVELOPERS.md, line {number}: `{span}` does not exist"));
        }
    }
    Ok(complaints)
}

/// Code within lines, with the line's number from 1; fenced blocks are left out.
fn code_spans(text: &str) -> Vec<(usize, &str)> {
    let mut spans = Vec::new();
    let mut fenced = false;
    for (index, line) in text.lines().enumerate() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
        } else if !fenced {
            let inside = line.split('`').skip(1).step_by(2);
            spans.extend(inside.map(|span| (index + 1, span)));
        }
    }
    spans
}

#[derive(Debug, PartialEq, Eq)]
enum Kind {
    /// Starts at the top level of the repository.
    Path,
    /// A file's name alone, anywhere in the repository.
    FileName,
    /// No path: a command, a name in the code, something built.
    Other,
}

fn kind_of(span: &str) -> Kind {
    let path_like = !span.is_empty()
        && !span.contains("::")
        && span.chars().all(|c| c.is_ascii_alphanumeric() || "._-/*".contains(c));
    if !path_like {
        return Kind::Other;
    }
    match span.split_once('/') {
        Some((first, _)) => {
            let known = TOP.contains(&first)
                || first == TOOLS
                || (first.starts_with('.') && first.len() > 2);
            if known { Kind::Path } else { Kind::Other }
        }
        None => {
            let ending = Path::new(span).extension().and_then(|it| it.to_str());
            let file = matches!(
                ending,
                Some("rs" | "toml" | "md" | "json" | "html" | "css" | "js" | "svg" | "lock")
            );
            if file { Kind::FileName } else { Kind::Other }
        }
    }
}

/// Does the path exist? A star stands for any letters within one name.
fn exists(folder: &Path, path: &Path) -> Result<bool> {
    let mut parts = path.components();
    let Some(first) = parts.next() else {
        return Ok(true);
    };
    let pattern = first.as_os_str().to_string_lossy();
    let rest = parts.as_path();
    if !pattern.contains('*') {
        let next = folder.join(first);
        return Ok(next.exists() && exists(&next, rest)?);
    }
    if folder.is_dir() {
        for entry in std::fs::read_dir(folder)? {
            let entry = entry?;
            if matches(&pattern, &entry.file_name().to_string_lossy())
                && exists(&entry.path(), rest)?
            {
                return Ok(true);
            }
        }
    }
    Ok(false)
}

/// Does any folder of the repository hold a file of that name?
fn holds_file(root: &Path, name: &str) -> Result<bool> {
    let mut folders = vec![root.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder)? {
            let entry = entry?;
            let found = entry.file_name().to_string_lossy().into_owned();
            if entry.file_type()?.is_dir() {
                let elsewhere =
                    folder == root && (BUILT.contains(&found.as_str()) || found == ".git");
                if !elsewhere {
                    folders.push(entry.path());
                }
            } else if matches(name, &found) {
                return Ok(true);
            }
        }
    }
    Ok(false)
}

fn matches(pattern: &str, name: &str) -> bool {
    match pattern.split_once('*') {
        None => pattern == name,
        Some((start, end)) => name.strip_prefix(start).is_some_and(|rest| {
            (0..=rest.len()).filter_map(|at| rest.get(at..)).any(|tail| matches(end, tail))
        }),
    }
}

/// Crates of the browser among the dependencies of a manifest, of whatever kind.
fn browser_crates(manifest: &str) -> Vec<String> {
    let mut complaints = Vec::new();
    let mut among_dependencies = false;
    for line in manifest.lines() {
        let line = line.split('#').next().unwrap_or_default().trim();
        let name = if let Some(section) = line.strip_prefix('[') {
            let section = section.trim_end_matches(']');
            among_dependencies = section.ends_with("dependencies");
            // [dependencies.name] names a crate by its head.
            match section.rsplit_once("dependencies.") {
                Some((_, name)) => name,
                None => continue,
            }
        } else if among_dependencies {
            line.split(['=', '.']).next().unwrap_or_default()
        } else {
            continue;
        };
        let name = name.trim().trim_matches('"');
        let renamed = OF_BROWSER.iter().find(|it| line.contains(&format!("package = \"{it}\"")));
        if let Some(found) = OF_BROWSER.iter().find(|it| **it == name).or(renamed) {
            complaints
                .push(format!("core/Cargo.toml depends on {found}, but core has no browser in it"));
        }
    }
    complaints
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_told_from_other_code() {
        assert_eq!(kind_of("core/src/callout/"), Kind::Path);
        assert_eq!(kind_of(".ci/run"), Kind::Path);
        assert_eq!(kind_of("tests/tests/browser_*.rs"), Kind::Path);
        assert_eq!(kind_of("Trunk.toml"), Kind::FileName);
        for other in [
            "cargo xtask test",
            "dist/index.html",
            "text/javascript",
            "Length::mm",
            "evaluate",
            "./target",
            "0.21.14",
        ] {
            assert_eq!(kind_of(other), Kind::Other, "{other}");
        }
    }

    #[test]
    fn code_in_fences_is_passed_over() {
        let text = "see `a.rs` and `b.rs`\n```\n`c.rs`\n```\n`d.rs`";
        assert_eq!(code_spans(text), [(1, "a.rs"), (1, "b.rs"), (5, "d.rs")]);
    }

    #[test]
    fn lost_paths_are_named_with_their_line() {
        let text = "`xtask/src/tidy.rs`, `xtask/src/t*y.rs`, `tidy.rs`\n\
                    `xtask/src/lost.rs` `xtask/src/no*.rs` `nowhere_at_all.rs`";
        let complaints = lost_paths(text, &places::root()).unwrap();
        assert_eq!(complaints.len(), 3, "{complaints:?}");
        assert!(complaints.iter().all(|it| it.contains("line 2")));
    }

    #[test]
    fn stars_stand_for_any_letters() {
        assert!(matches("browser_*.rs", "browser_job.rs"));
        assert!(matches("*", "é"));
        assert!(!matches("browser_*.rs", "sheets.rs"));
    }

    #[test]
    fn the_browser_is_found_in_any_kind_of_dependency() {
        let manifest = "[package]\nname = \"web-sys\"\n\
            [dependencies]\nserde = \"1\" # web-sys\njs-sys = \"0.3\"\n\
            [target.'cfg(unix)'.dependencies]\nweb = { package = \"web-sys\", version = \"0.3\" }\n\
            [dev-dependencies.leptos]\nversion = \"1\"\n\
            [features]\nleptos = []\n";
        let complaints = browser_crates(manifest);
        assert_eq!(complaints.len(), 3, "{complaints:?}");
        assert!(complaints[0].contains("js-sys"));
        assert!(complaints[1].contains("web-sys"));
        assert!(complaints[2].contains("leptos"));
    }

    #[test]
    fn strays_at_the_top_are_seen() {
        assert!(belongs_at_the_top("LICENSE-MIT"));
        assert!(belongs_at_the_top(".gitignore"));
        assert!(belongs_at_the_top("xtask"));
        assert!(!belongs_at_the_top("notes.txt"));
        assert!(!belongs_at_the_top("package.json"));
    }
}
