//! Other programs: started in the checkout, their output let through, their failure an error.

use std::ffi::OsStr;
use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

/// A program to be started at the top of the checkout, without what `cargo run` put into the
/// environment: passed on, it would make cargo believe that everything had changed.
pub(crate) fn command(program: impl AsRef<OsStr>) -> Command {
    let mut command = Command::new(program);
    command.current_dir(crate::places::root()).stdin(Stdio::null());
    for (name, _) in std::env::vars_os() {
        if name.to_str().is_some_and(is_from_cargo_run) {
            command.env_remove(name);
        }
    }
    if let Some(libraries) = std::env::var_os("LD_LIBRARY_PATH") {
        let own = std::env::split_paths(&libraries).filter(|folder| !is_of_toolchain(folder));
        match std::env::join_paths(own) {
            Ok(left) if !left.is_empty() => command.env("LD_LIBRARY_PATH", left),
            _ => command.env_remove("LD_LIBRARY_PATH"),
        };
    }
    command
}

fn is_from_cargo_run(name: &str) -> bool {
    matches!(name, "CARGO" | "CARGO_PRIMARY_PACKAGE" | "CARGO_CRATE_NAME" | "OUT_DIR")
        || ["CARGO_PKG_", "CARGO_MANIFEST_", "CARGO_BIN_"]
            .iter()
            .any(|start| name.starts_with(start))
}

fn is_of_toolchain(folder: &Path) -> bool {
    folder.starts_with(crate::places::root())
        || folder
            .components()
            .any(|part| part.as_os_str() == "toolchains" || part.as_os_str() == "rustlib")
}

/// Runs the program to its end with its output let through.
///
/// # Errors
/// When it cannot be started or ends with failure.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let line = line_of(command);
    eprintln!("    $ {line}");
    let status = command.status().with_context(|| format!("starting `{line}`"))?;
    if !status.success() {
        bail!("`{line}` ended with {status}");
    }
    Ok(())
}

/// What the program prints on standard output, or None if it is missing or fails.
pub(crate) fn answer(command: &mut Command) -> Option<String> {
    let output = command.stderr(Stdio::null()).output().ok()?;
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

/// The answer of `PROGRAM --version`.
pub(crate) fn version_line(program: impl AsRef<OsStr>) -> Option<String> {
    answer(command(program).arg("--version"))
}

fn line_of(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let name = program.file_name().unwrap_or(program.as_os_str());
    std::iter::once(name)
        .chain(command.get_args())
        .map(|word| {
            let word = word.to_string_lossy();
            if word.contains(' ') { format!("'{word}'") } else { word.into_owned() }
        })
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn failure_is_an_error_that_names_the_command() {
        let trouble = run(command("sh").args(["-c", "exit 3"])).unwrap_err();
        assert!(trouble.to_string().contains("sh -c 'exit 3'"), "{trouble}");
        assert!(run(&mut command("true")).is_ok());
    }

    #[test]
    fn a_missing_program_has_no_version() {
        assert_eq!(version_line("no-such-program-here"), None);
    }

    #[test]
    fn what_cargo_run_sets_is_not_passed_on() {
        let seen = answer(command("sh").args(["-c", "echo \"[$CARGO_MANIFEST_DIR]\""])).unwrap();
        assert_eq!(seen, "[]");
        assert!(is_from_cargo_run("CARGO_PKG_NAME"));
        assert!(!is_from_cargo_run("CARGO_HOME"));
        assert!(!is_from_cargo_run("CARGO_TARGET_DIR"));
    }
}
