//! Compressed copies beside the files of `dist/`: `x.wasm.br` and `x.wasm.gz` beside `x.wasm`, as
//! many static web servers take them. Made once at the build, as small as can be.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io::Write as _;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

/// A way of compressing that browsers take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Coding {
    /// The smaller one.
    Brotli,
    /// The one that every server and browser knows.
    Gzip,
}

impl Coding {
    /// Both, the preferred one first.
    pub(crate) const ALL: [Self; 2] = [Self::Brotli, Self::Gzip];

    /// The name in HTTP headers.
    pub(crate) fn token(self) -> &'static str {
        match self {
            Self::Brotli => "br",
            Self::Gzip => "gzip",
        }
    }

    fn ending(self) -> &'static str {
        match self {
            Self::Brotli => "br",
            Self::Gzip => "gz",
        }
    }

    /// The compressed copy's place beside the file.
    pub(crate) fn beside(self, file: &Path) -> PathBuf {
        let mut name = file.as_os_str().to_owned();
        name.push(".");
        name.push(self.ending());
        name.into()
    }

    fn compress(self, bytes: &[u8]) -> Result<Vec<u8>> {
        match self {
            Self::Brotli => {
                let parameters = brotli::enc::BrotliEncoderParams {
                    quality: 11,
                    // The largest that every browser takes (RFC 7932, 9.1): a module is longer than
                    // the usual window.
                    lgwin: 24,
                    size_hint: bytes.len(),
                    ..Default::default()
                };
                let mut packed = Vec::new();
                brotli::BrotliCompress(&mut &*bytes, &mut packed, &parameters)?;
                Ok(packed)
            }
            Self::Gzip => {
                let mut encoder =
                    flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
                encoder.write_all(bytes)?;
                Ok(encoder.finish()?)
            }
        }
    }
}

/// Writes the copies beside all files below `folder` that gain by it. `kept` holds copies of
/// earlier builds, so that what has not changed is not compressed again.
///
/// # Errors
/// When a file cannot be read or written.
pub(crate) fn folder(folder: &Path, kept: &Path) -> Result<()> {
    std::fs::create_dir_all(kept)?;
    let files: Vec<PathBuf> = files_below(folder)?.into_iter().filter(|file| gains(file)).collect();
    // The page and the PDF writer are large and about equal: each gets a thread.
    std::thread::scope(|scope| {
        let (large, small): (Vec<&PathBuf>, Vec<&PathBuf>) =
            files.iter().partition(|file| file.extension().is_some_and(|it| it == "wasm"));
        let works: Vec<_> =
            large.into_iter().map(|file| scope.spawn(move || copies_of(file, kept))).collect();
        small.into_iter().try_for_each(|file| copies_of(file, kept))?;
        for work in works {
            work.join()
                .map_err(|_| anyhow::anyhow!("a thread of the compressor ended early"))??;
        }
        Ok(())
    })
}

/// All files below a folder, sorted, without hidden ones.
///
/// # Errors
/// When a folder cannot be read.
pub(crate) fn files_below(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        let entries =
            std::fs::read_dir(&folder).with_context(|| format!("reading {}", folder.display()))?;
        for entry in entries {
            let entry = entry?;
            if entry.file_name().to_string_lossy().starts_with('.') {
                continue;
            }
            if entry.file_type()?.is_dir() {
                folders.push(entry.path());
            } else {
                files.push(entry.path());
            }
        }
    }
    files.sort();
    Ok(files)
}

/// Kinds of files that are not compressed already.
fn gains(file: &Path) -> bool {
    file.extension().and_then(|it| it.to_str()).is_some_and(|it| {
        matches!(
            it,
            "html" | "js" | "css" | "json" | "wasm" | "svg" | "txt" | "ttf" | "otf" | "webmanifest"
        )
    })
}

fn copies_of(file: &Path, kept: &Path) -> Result<()> {
    let bytes = std::fs::read(file).with_context(|| format!("reading {}", file.display()))?;
    for coding in Coding::ALL {
        let store = kept.join(format!("{}.{}", key(&bytes), coding.ending()));
        let packed = match std::fs::read(&store) {
            Ok(packed) => packed,
            Err(_) => {
                let packed = coding.compress(&bytes)?;
                // Into its place by one step: a build that is broken off leaves no half of it.
                let part = store.with_extension(format!("{}-part", coding.ending()));
                std::fs::write(&part, &packed)?;
                std::fs::rename(&part, &store)?;
                packed
            }
        };
        let copy = coding.beside(file);
        // A copy that is hardly smaller costs the browser more than the wire.
        if packed.len() + 64 < bytes.len() {
            std::fs::write(&copy, &packed)
                .with_context(|| format!("writing {}", copy.display()))?;
        } else if copy.exists() {
            std::fs::remove_file(&copy)?;
        }
    }
    Ok(())
}

fn key(bytes: &[u8]) -> String {
    let mut hasher = DefaultHasher::new();
    bytes.hash(&mut hasher);
    format!("{}-{:016x}", bytes.len(), hasher.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read as _;

    fn scratch(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("xtask-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(folder.join("dist/inner")).unwrap();
        folder
    }

    #[test]
    fn copies_unpack_to_the_file_and_only_where_they_gain() {
        let here = scratch("copies");
        let text = "height gauge ".repeat(500);
        std::fs::write(here.join("dist/inner/page.js"), &text).unwrap();
        std::fs::write(here.join("dist/short.css"), "a{}").unwrap();
        std::fs::write(here.join("dist/picture.png"), &text).unwrap();
        folder(&here.join("dist"), &here.join("kept")).unwrap();

        let file = here.join("dist/inner/page.js");
        let mut unpacked = String::new();
        flate2::read::GzDecoder::new(std::fs::File::open(Coding::Gzip.beside(&file)).unwrap())
            .read_to_string(&mut unpacked)
            .unwrap();
        assert_eq!(unpacked, text);
        let mut unpacked = Vec::new();
        brotli::BrotliDecompress(
            &mut std::fs::File::open(Coding::Brotli.beside(&file)).unwrap(),
            &mut unpacked,
        )
        .unwrap();
        assert_eq!(unpacked, text.as_bytes());
        assert!(!here.join("dist/short.css.br").exists());
        assert!(!here.join("dist/picture.png.gz").exists());
        std::fs::remove_dir_all(here).unwrap();
    }

    #[test]
    fn a_changed_file_gets_a_new_copy() {
        let here = scratch("changed");
        let file = here.join("dist/data.json");
        let copy = Coding::Gzip.beside(&file);
        std::fs::write(&file, "1 ".repeat(400)).unwrap();
        folder(&here.join("dist"), &here.join("kept")).unwrap();
        let first = std::fs::read(&copy).unwrap();
        std::fs::write(&file, "2 ".repeat(400)).unwrap();
        folder(&here.join("dist"), &here.join("kept")).unwrap();
        assert_ne!(std::fs::read(&copy).unwrap(), first);
        std::fs::remove_dir_all(here).unwrap();
    }
}
