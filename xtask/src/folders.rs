//! The order of core's folders: each stands on those before it, and imports nothing from those behind.

use std::path::Path;

use anyhow::{Context, Result};

/// The folders of `core/src`, from the ground up. `mark` knows nothing of the part, and what is asked
/// between features brings its symbol with it; words come last.
const ORDER: [&str; 23] = [
    "quantity", "capture", "grade", "mark", "chance", "feature", "fit", "form", "network",
    "notation", "cause", "relation", "job", "callout", "entry", "pattern", "bench", "adjust",
    "frame", "findings", "show", "picture", "sheet",
];

/// What does not keep the order.
pub(crate) fn out_of_order(core: &Path) -> Result<Vec<String>> {
    let mut complaints = Vec::new();
    let mut folders = vec![core.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in
            std::fs::read_dir(&folder).with_context(|| format!("listing {}", folder.display()))?
        {
            let path = entry?.path();
            let within = path.strip_prefix(core)?;
            let Some(of) = within.iter().next().and_then(|first| first.to_str()) else { continue };
            if path.is_dir() {
                if within.components().count() == 1 && !ORDER.contains(&of) {
                    complaints.push(format!("core/src/{of} has no place in the order of folders"));
                }
                folders.push(path);
            } else if within.components().count() > 1 && is_code(&path) {
                let text = std::fs::read_to_string(&path)?;
                complaints.extend(upward(of, &text).into_iter().map(|(line, to)| {
                    format!(
                        "core/src/{}:{line}: {of} imports {to}, which is above it",
                        within.display()
                    )
                }));
            }
        }
    }
    complaints.sort();
    Ok(complaints)
}

/// Whether this is code of the program, and not a file of tests.
fn is_code(path: &Path) -> bool {
    path.extension().is_some_and(|e| e == "rs") && path.file_stem().is_some_and(|n| n != "tests")
}

/// The imports in a file of the folder `of` that go up: line, from 1, and folder. Comments and the
/// tests at the end of the file may look anywhere.
fn upward(of: &str, text: &str) -> Vec<(usize, String)> {
    let level = |folder: &str| ORDER.iter().position(|f| *f == folder);
    let Some(own) = level(of) else { return Vec::new() };
    let mut found = Vec::new();
    for (i, line) in text.lines().enumerate() {
        if line.starts_with("#[cfg(test)]") {
            break;
        }
        let code = line.split("//").next().unwrap_or_default();
        for after in code.split("crate::").skip(1) {
            let name: String =
                after.chars().take_while(|c| c.is_ascii_lowercase() || *c == '_').collect();
            if level(&name).is_some_and(|to| to > own) {
                found.push((i + 1, name));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::upward;

    #[test]
    fn an_import_that_goes_up_is_found() {
        let text = "//! See [`crate::show`].\nuse crate::job::Job;\nuse crate::show::sentence;\n";
        assert_eq!(upward("findings", text), [(3, "show".to_owned())]);
        assert_eq!(upward("sheet", text), []);
        let within = "    let x = crate::sheet::pages(job);\n";
        assert_eq!(upward("show", within), [(1, "sheet".to_owned())]);
    }

    #[test]
    fn tests_and_comments_may_look_up() {
        let text = "// crate::show\n#[cfg(test)]\nmod tests {\n    use crate::show::sum;\n}\n";
        assert_eq!(upward("quantity", text), []);
    }
}
