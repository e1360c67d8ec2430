//! A mark that `dist/` was made from these very files and has not been touched since, so that a
//! build with nothing to do does nothing.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use crate::compress::files_below;

/// A mark of the inputs, and the file that holds the mark of the last build.
pub(crate) struct Stamp {
    inputs: u64,
    file: PathBuf,
}

impl Stamp {
    /// Looks at the content of all inputs.
    ///
    /// # Errors
    /// When one cannot be read.
    pub(crate) fn new(inputs: &[PathBuf], file: &Path) -> Result<Self> {
        let mut hasher = DefaultHasher::new();
        for input in inputs {
            input.hash(&mut hasher);
            std::fs::read(input)
                .with_context(|| format!("reading {}", input.display()))?
                .hash(&mut hasher);
        }
        Ok(Self { inputs: hasher.finish(), file: file.to_path_buf() })
    }

    /// Was the folder made from these inputs, and is it as it was then?
    pub(crate) fn fits(&self, made: &Path) -> bool {
        let (Ok(held), Ok(mark)) = (std::fs::read_to_string(&self.file), self.mark(made)) else {
            return false;
        };
        held == mark
    }

    /// Takes the mark away, before the folder is made anew.
    ///
    /// # Errors
    /// When there is one and it cannot be removed.
    pub(crate) fn clear(&self) -> Result<()> {
        if self.file.exists() {
            std::fs::remove_file(&self.file)
                .with_context(|| format!("removing {}", self.file.display()))?;
        }
        Ok(())
    }

    /// Marks the folder as made from these inputs.
    ///
    /// # Errors
    /// When the folder cannot be read or the mark not be written.
    pub(crate) fn set(&self, made: &Path) -> Result<()> {
        std::fs::write(&self.file, self.mark(made)?)
            .with_context(|| format!("writing {}", self.file.display()))
    }

    fn mark(&self, made: &Path) -> Result<String> {
        let mut hasher = DefaultHasher::new();
        for file in files_below(made)? {
            let about = file.metadata()?;
            file.hash(&mut hasher);
            about.len().hash(&mut hasher);
            about.modified()?.hash(&mut hasher);
        }
        Ok(format!("{:016x} {:016x}\n", self.inputs, hasher.finish()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_fits_until_an_input_or_the_folder_changes() {
        let here = std::env::temp_dir().join(format!("xtask-stamp-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&here);
        let made = here.join("dist");
        std::fs::create_dir_all(&made).unwrap();
        let input = here.join("input");
        let file = here.join("stamp");
        let stamp = || Stamp::new(std::slice::from_ref(&input), &file).unwrap();
        std::fs::write(&input, "1").unwrap();
        std::fs::write(made.join("page"), "page").unwrap();

        assert!(!stamp().fits(&made), "no build yet");
        stamp().set(&made).unwrap();
        assert!(stamp().fits(&made), "nothing changed");
        std::fs::write(&input, "2").unwrap();
        assert!(!stamp().fits(&made), "another input");
        stamp().set(&made).unwrap();
        std::fs::write(made.join("page"), "spoilt").unwrap();
        assert!(!stamp().fits(&made), "the folder was changed");
        stamp().set(&made).unwrap();
        stamp().clear().unwrap();
        assert!(!stamp().fits(&made), "the mark was taken away");
        std::fs::remove_dir_all(&here).unwrap();
    }
}
