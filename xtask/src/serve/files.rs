//! From an address to a file of the served folder, and to none outside it.

use std::path::{Path, PathBuf};

/// The file that a request's target names, if the folder holds it. `folder` is canonical.
pub(super) fn find(folder: &Path, target: &str) -> Option<PathBuf> {
    let mut file = folder.to_path_buf();
    file.extend(segments(target)?);
    if target_path(target).ends_with('/') {
        file.push("index.html");
    }
    // Links are followed only within the folder.
    let file = file.canonicalize().ok()?;
    (file.starts_with(folder) && file.is_file()).then_some(file)
}

fn target_path(target: &str) -> &str {
    target.split(['?', '#']).next().unwrap_or_default()
}

/// The names between the slashes, percent signs resolved; None if one of them could lead elsewhere.
fn segments(target: &str) -> Option<Vec<String>> {
    target_path(target)
        .split('/')
        .filter(|segment| !segment.is_empty())
        .map(|segment| decode(segment).filter(|name| is_plain(name)))
        .collect()
}

/// A name of a file or folder, not a way to another one. Hidden files are nobody's business.
fn is_plain(name: &str) -> bool {
    !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\', '\0'])
}

fn decode(segment: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(segment.len());
    let mut rest = segment.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(if byte == b'%' {
            let digits = [rest.next()?, rest.next()?];
            if !digits.iter().all(u8::is_ascii_hexdigit) {
                return None;
            }
            u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?
        } else {
            byte
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(target: &str) -> Option<String> {
        segments(target).map(|names| names.join("|"))
    }

    #[test]
    fn addresses_are_taken_apart() {
        assert_eq!(names("/").as_deref(), Some(""));
        assert_eq!(names("/fonts//a%20b.ttf?x=/../y").as_deref(), Some("fonts|a b.ttf"));
        assert_eq!(names("/%C3%A9.json").as_deref(), Some("é.json"));
    }

    #[test]
    fn ways_out_are_refused() {
        for target in [
            "/..",
            "/a/../b",
            "/%2e%2e/x",
            "/.%2E/x",
            "/a%2f..%2fb",
            "/a%5c..%5cb",
            "/a%00b",
            "/.git/config",
            "/%zz",
            "/%+1",
            "/%2",
            "/%ff",
        ] {
            assert_eq!(names(target), None, "{target}");
        }
    }
}
