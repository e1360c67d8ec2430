//! The browser of the tests and its driver. They must be of one version, or no session starts.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use super::debian;
use crate::child::version_line;
use crate::places::which;
use crate::say;
use crate::version::Version;

/// A browser and the driver that belongs to it.
pub(crate) struct Browser {
    /// The browser's program.
    pub(crate) chromium: PathBuf,
    /// Its driver's program.
    pub(crate) driver: PathBuf,
}

const NEEDS: [debian::Need; 3] = [
    debian::Need::program("chromium", "chromium"),
    debian::Need::program("chromedriver", "chromium-driver"),
    // A bare machine has no letters to draw with, and the browser does not bring any.
    debian::Need::package("fonts-dejavu-core"),
];

impl Browser {
    /// The pair named by the environment, or else Debian's, installed if it is missing.
    ///
    /// # Errors
    /// When it cannot be installed, or browser and driver do not belong together.
    pub(crate) fn set_up() -> Result<Self> {
        if let Some(own) = Self::of_environment()? {
            return Ok(own);
        }
        debian::ensure(&NEEDS)?;
        let pair = Self::of_path()?;
        if pair.belong_together() {
            return Ok(pair);
        }
        say::note("the browser and its driver are of different versions");
        debian::install(&["chromium", "chromium-driver"])?;
        let pair = Self::of_path()?;
        if pair.belong_together() {
            Ok(pair)
        } else {
            bail!(
                "{} and {} are of different versions",
                pair.chromium.display(),
                pair.driver.display()
            )
        }
    }

    fn of_environment() -> Result<Option<Self>> {
        let named = |name| std::env::var_os(name).filter(|value| !value.is_empty());
        match (named("QUARTERTURN_CHROMIUM"), named("QUARTERTURN_CHROMEDRIVER")) {
            (None, None) => Ok(None),
            (Some(chromium), Some(driver)) => {
                Ok(Some(Self { chromium: chromium.into(), driver: driver.into() }))
            }
            _ => bail!(
                "QUARTERTURN_CHROMIUM and QUARTERTURN_CHROMEDRIVER belong together: set both or none"
            ),
        }
    }

    fn of_path() -> Result<Self> {
        Ok(Self {
            chromium: which("chromium").context("chromium is not found")?,
            driver: which("chromedriver").context("chromedriver is not found")?,
        })
    }

    fn belong_together(&self) -> bool {
        let major = |program: &Path| {
            version_line(program)
                .and_then(|line| Version::first_in(&line))
                .map(|version| version.major())
        };
        let browser = major(&self.chromium);
        browser.is_some() && browser == major(&self.driver)
    }
}
