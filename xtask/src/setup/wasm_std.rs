//! The standard library that the page is compiled against.
//!
//! rustup's is the way. Where rustup cannot fetch it (a mirror of a few registries, no network),
//! Debian's compiler for web browsers brings the library's sources, and the library is built with
//! the page; native builds keep the ordinary toolchain.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use super::debian;
use crate::child::{answer, command, run, version_line};
use crate::places::{cached, which};
use crate::say;
use crate::version::Version;

const TARGET: &str = "wasm32-unknown-unknown";

/// Debian's compiler, its cargo and the library's sources.
const DEBIAN: [debian::Need; 4] = [
    debian::Need::package("rustc-web"),
    debian::Need::package("cargo-web"),
    debian::Need::package("rust-web-src"),
    debian::Need::package("libstd-rust-web-dev"),
];
const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_CARGO: &str = "/usr/bin/cargo";

/// Where the page's standard library comes from.
pub(crate) enum WasmStd {
    /// The toolchain has it.
    Toolchain,
    /// It is built from Debian's sources, and linked by this linker.
    Debian {
        /// A linker for wasm.
        linker: PathBuf,
    },
}

/// What the user asked for by `QUARTERTURN_WASM_STD`.
#[derive(Debug, PartialEq, Eq)]
enum Choice {
    RustupThenDebian,
    Rustup,
    Debian,
}

impl Choice {
    fn of(word: Option<&str>) -> Result<Self> {
        match word {
            None | Some("") => Ok(Self::RustupThenDebian),
            Some("rustup") => Ok(Self::Rustup),
            Some("debian") => Ok(Self::Debian),
            Some(other) => {
                bail!("QUARTERTURN_WASM_STD is '{other}', but it can only be rustup or debian")
            }
        }
    }
}

impl WasmStd {
    /// Finds the library, or sets it up: from rustup if it can be had there.
    ///
    /// # Errors
    /// When it cannot be had.
    pub(crate) fn set_up() -> Result<Self> {
        let choice = Choice::of(std::env::var("QUARTERTURN_WASM_STD").ok().as_deref())?;
        if choice == Choice::Debian {
            return Self::debian();
        }
        if toolchain_has_it() {
            return Ok(Self::Toolchain);
        }
        let refused = Refusal::of_this_toolchain()?;
        if choice == Choice::RustupThenDebian && refused.is_known() {
            say::note(&format!(
                "the page's standard library comes from Debian's sources, as rustup could not \
                 fetch it; to ask rustup again, remove {}",
                refused.0.display()
            ));
            return Self::debian();
        }
        match from_rustup() {
            Ok(()) => Ok(Self::Toolchain),
            Err(trouble) if choice == Choice::Rustup => Err(trouble),
            Err(trouble) => {
                say::note(&format!(
                    "{trouble:#}; building the library from Debian's sources instead"
                ));
                let found = Self::debian()?;
                refused.remember()?;
                Ok(found)
            }
        }
    }

    fn debian() -> Result<Self> {
        debian::ensure(&DEBIAN)?;
        let needed = Version::first_in(env!("CARGO_PKG_RUST_VERSION"));
        let found = version_line(DEBIAN_RUSTC).and_then(|line| Version::first_in(&line));
        if found < needed {
            bail!(
                "{DEBIAN_RUSTC} is older than {}, which this project needs",
                env!("CARGO_PKG_RUST_VERSION")
            );
        }
        Ok(Self::Debian { linker: linker()? })
    }

    /// Makes a command build the page against this library; `folders` come first on its `PATH`.
    pub(crate) fn apply(&self, command: &mut Command, folders: &[PathBuf]) -> Result<()> {
        let mut path = folders.to_vec();
        if let Self::Debian { linker } = self {
            path.push(PathBuf::from("/usr/bin"));
            command
                .env("RUSTC", DEBIAN_RUSTC)
                .env("CARGO", DEBIAN_CARGO)
                // Building the standard library is an unstable feature of a stable compiler.
                .env("RUSTC_BOOTSTRAP", "1")
                .env("CARGO_UNSTABLE_BUILD_STD", "std,panic_abort")
                .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker);
        }
        let inherited = std::env::var_os("PATH").unwrap_or_default();
        path.extend(std::env::split_paths(&inherited));
        let path: OsString = std::env::join_paths(path).context("a folder's name holds a colon")?;
        command.env("PATH", path);
        Ok(())
    }

    /// The cargo that builds the page.
    pub(crate) fn cargo(&self) -> &'static str {
        match self {
            Self::Toolchain => "cargo",
            Self::Debian { .. } => DEBIAN_CARGO,
        }
    }
}

fn toolchain_has_it() -> bool {
    let folder = answer(command("rustc").args(["--print", "target-libdir", "--target", TARGET]));
    let Some(Ok(files)) = folder.map(std::fs::read_dir) else {
        return false;
    };
    files.flatten().any(|file| file.file_name().to_string_lossy().starts_with("libstd-"))
}

fn from_rustup() -> Result<()> {
    if which("rustup").is_none() {
        bail!("there is no rustup here");
    }
    let step = say::step(&format!("Adding the target {TARGET} to the toolchain (rustup)"));
    run(command("rustup").args(["target", "add", TARGET]))?;
    if !toolchain_has_it() {
        bail!("rustup added the target, but the compiler in use does not have it");
    }
    step.done();
    Ok(())
}

/// The toolchain's own linker, or Debian's.
fn linker() -> Result<PathBuf> {
    if let Some(own) = linker_of_toolchain() {
        return Ok(own);
    }
    debian::ensure(&[debian::Need::program("wasm-ld", "lld")])?;
    which("wasm-ld").context("wasm-ld is not found")
}

fn linker_of_toolchain() -> Option<PathBuf> {
    let sysroot = answer(command("rustc").args(["--print", "sysroot"]))?;
    let about = answer(command("rustc").arg("-vV"))?;
    let host = about.lines().find_map(|line| line.strip_prefix("host: "))?;
    let file = Path::new(&sysroot).join("lib/rustlib").join(host).join("bin/rust-lld");
    file.is_file().then_some(file)
}

/// A note in the cache that rustup could not fetch the target for a toolchain, so that not every
/// build asks again.
struct Refusal(PathBuf);

impl Refusal {
    fn of_this_toolchain() -> Result<Self> {
        let version = version_line("rustc")
            .and_then(|line| line.split_whitespace().nth(1).map(str::to_owned))
            .context("rustc does not say its version")?;
        Ok(Self(cached("rustup-has-no-wasm-target", &version)?))
    }

    fn is_known(&self) -> bool {
        self.0.is_file()
    }

    fn remember(&self) -> Result<()> {
        if let Some(folder) = self.0.parent() {
            std::fs::create_dir_all(folder)?;
        }
        std::fs::write(
            &self.0,
            "rustup could not fetch this toolchain's wasm target; remove this file to ask again\n",
        )
        .with_context(|| format!("writing {}", self.0.display()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rustup_is_asked_unless_the_user_says_otherwise() {
        assert_eq!(Choice::of(None).unwrap(), Choice::RustupThenDebian);
        assert_eq!(Choice::of(Some("")).unwrap(), Choice::RustupThenDebian);
        assert_eq!(Choice::of(Some("rustup")).unwrap(), Choice::Rustup);
        assert_eq!(Choice::of(Some("debian")).unwrap(), Choice::Debian);
        assert!(Choice::of(Some("fedora")).is_err());
    }

    #[test]
    fn debians_library_needs_debians_compiler() {
        let mut build = Command::new("true");
        let library = WasmStd::Debian { linker: "/a/linker".into() };
        library.apply(&mut build, &["/tools".into()]).unwrap();
        let set = |name: &str| {
            build
                .get_envs()
                .find(|(key, _)| *key == name)
                .and_then(|(_, value)| value?.to_str().map(str::to_owned))
        };
        assert!(set("PATH").unwrap().starts_with("/tools:/usr/bin:"));
        assert_eq!(set("RUSTC").as_deref(), Some(DEBIAN_RUSTC));
        assert_eq!(set("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER").as_deref(), Some("/a/linker"));
    }

    #[test]
    fn the_toolchains_library_changes_no_compiler() {
        let mut build = Command::new("true");
        WasmStd::Toolchain.apply(&mut build, &[]).unwrap();
        assert!(build.get_envs().all(|(key, _)| key == "PATH"));
    }
}
