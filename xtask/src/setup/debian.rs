//! Debian's packages, by `apt-get`: as root, or else by `sudo`.

use std::sync::OnceLock;

use anyhow::{Result, bail};

use crate::child::{answer, command, run};
use crate::places::which;
use crate::say;

/// Something needed and the package that brings it.
pub(crate) struct Need {
    package: &'static str,
    met: Met,
}

enum Met {
    /// A program of this name is found, from wherever.
    Program(&'static str),
    /// The package itself is installed.
    Package,
}

impl Need {
    /// A program, from wherever it came.
    pub(crate) const fn program(program: &'static str, package: &'static str) -> Self {
        Self { package, met: Met::Program(program) }
    }

    /// A package that brings files rather than a program.
    pub(crate) const fn package(package: &'static str) -> Self {
        Self { package, met: Met::Package }
    }

    fn is_met(&self) -> bool {
        match self.met {
            Met::Program(program) => which(program).is_some(),
            Met::Package => installed(self.package),
        }
    }
}

/// Is the package installed?
pub(crate) fn installed(package: &str) -> bool {
    answer(command("dpkg-query").args(["--show", "--showformat=${db:Status-Status}", package]))
        .is_some_and(|status| status == "installed")
}

/// Installs the packages whose needs are not met.
///
/// # Errors
/// When `apt-get` is missing, may not be used, or fails.
pub(crate) fn ensure(needs: &[Need]) -> Result<()> {
    let mut packages: Vec<&str> =
        needs.iter().filter(|need| !need.is_met()).map(|need| need.package).collect();
    packages.dedup();
    if packages.is_empty() {
        return Ok(());
    }
    install(&packages)?;
    match needs.iter().find(|need| !need.is_met()) {
        None => Ok(()),
        Some(need) => bail!(
            "the package {} is installed, but what is needed from it is not there",
            need.package
        ),
    }
}

/// Installs packages, or brings them to the newest version.
///
/// # Errors
/// When `apt-get` is missing, may not be used, or fails.
pub(crate) fn install(packages: &[&str]) -> Result<()> {
    let list = packages.join(" ");
    if which("apt-get").is_none() {
        bail!(
            "needed are the programs of Debian's packages {list}, and there is no apt-get here to \
             install them; install them by hand and try again"
        );
    }
    let step = say::step(&format!("Installing Debian's packages {list}"));
    update()?;
    apt_get(&["install", "--yes", "--no-install-recommends"], packages)?;
    step.done();
    Ok(())
}

/// `apt-get update`, once in a run: before it, a fresh machine knows no packages.
fn update() -> Result<()> {
    static UPDATED: OnceLock<()> = OnceLock::new();
    if UPDATED.get().is_none() {
        apt_get(&["update", "--quiet"], &[])?;
        UPDATED.get_or_init(|| ());
    }
    Ok(())
}

fn apt_get(words: &[&str], packages: &[&str]) -> Result<()> {
    let root = answer(command("id").arg("-u")).is_some_and(|id| id == "0");
    let mut apt = if root {
        command("env")
    } else if which("sudo").is_some() {
        let mut sudo = command("sudo");
        sudo.arg("env");
        sudo
    } else {
        bail!(
            "installing packages needs root, and there is no sudo: as root, run `apt-get update` \
             and `apt-get install {}`, then try again",
            packages.join(" ")
        );
    };
    run(apt.args(["DEBIAN_FRONTEND=noninteractive", "apt-get"]).args(words).args(packages))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_need_that_is_met_installs_nothing() {
        assert!(ensure(&[Need::program("sh", "no-such-package-here")]).is_ok());
    }

    #[test]
    fn an_unknown_package_is_not_installed() {
        assert!(!installed("no-such-package-here"));
    }
}
