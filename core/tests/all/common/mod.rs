//! What several tests share: files of the repository, findings and comparisons.

use proptest::prelude::ProptestConfig;
use quarterturn_core::Job;
use quarterturn_core::findings::{FeatureFinding, PieceFinding};
use std::path::PathBuf;

/// A path of the repository, from its top level.
pub(crate) fn path(of: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..").join(of)
}

/// The text of a file of the repository.
pub(crate) fn text(of: &str) -> String {
    let path = path(of);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// A job file of the repository.
pub(crate) fn job(of: &str) -> Job {
    quarterturn_core::job::read(&text(of)).unwrap_or_else(|e| panic!("{of}: {e}"))
}

/// The finding of the feature with this number.
pub(crate) fn feature<'a>(piece: &'a PieceFinding, number: &str) -> &'a FeatureFinding {
    piece
        .features
        .iter()
        .find(|f| f.number == number)
        .unwrap_or_else(|| panic!("no finding of feature {number}"))
}

/// Whether two lengths in millimetres are the same to a billionth of a millimetre.
pub(crate) fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9
}

/// Fails unless `is` is within `within` of what it should be.
#[track_caller]
pub(crate) fn close(is: f64, should: f64, within: f64) {
    assert!((is - should).abs() <= within, "{is} instead of {should} (±{within})");
}

/// Fails unless both coordinates are within `within` of what they should be.
#[track_caller]
pub(crate) fn near(is: [f64; 2], should: [f64; 2], within: f64) {
    let off = |i: usize| (is[i] - should[i]).abs();
    assert!(off(0) < within && off(1) < within, "{is:?} instead of {should:?} (±{within})");
}

/// Returns the covariance of a feature's coordinates that are determined, in mm², that follows when
/// every centre reading of the first piece is changed by `u`, one after the other.
pub(crate) fn covariance_by_changes(job: &Job, number: &str, u: f64) -> [[f64; 2]; 2] {
    let at = |job: &Job| {
        let findings = quarterturn_core::evaluate(job);
        let found = feature(&findings.pieces[0], number);
        [found.x, found.y].map(|c| c.at().map_or(0.0, quarterturn_core::quantity::Length::to_mm))
    };
    let was = at(job);
    let mut sum = [[0.0; 2]; 2];
    for i in 0..job.pieces[0].readings.len() {
        let mut other = job.clone();
        other.pieces[0].readings[i].centre[0].0 += u;
        let is = at(&other);
        let d = [is[0] - was[0], is[1] - was[1]];
        for (row, a) in sum.iter_mut().zip(d) {
            for (cell, b) in row.iter_mut().zip(d) {
                *cell += a * b;
            }
        }
    }
    sum
}

/// So many cases of a property, unless `PROPTEST_CASES` says otherwise. Cases that fail are printed
/// and not kept in files.
pub(crate) fn cases(count: u32) -> ProptestConfig {
    let default = ProptestConfig::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { default.cases } else { count };
    ProptestConfig { cases, failure_persistence: None, ..default }
}

/// Whether golden files are to be written anew instead of compared.
pub(crate) fn updating() -> bool {
    std::env::var_os("QUARTERTURN_UPDATE").is_some_and(|v| v == "1")
}

/// Compares `is` with the file at `of`, line by line, or writes the file when updating.
pub(crate) fn golden(of: &str, is: &str) {
    let path = path(of);
    let found = std::fs::read_to_string(&path);
    if found.as_ref().is_ok_and(|was| was == is) {
        return;
    }
    if updating() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        // Written beside it and moved there: another test may be reading it.
        let beside = path.with_extension("new");
        std::fs::write(&beside, is).unwrap();
        std::fs::rename(&beside, &path).unwrap();
        return;
    }
    let was = found.unwrap_or_else(|e| {
        panic!("{of}: {e}. Write it with QUARTERTURN_UPDATE=1 and look at it.")
    });
    panic!(
        "{of} is not what comes out now (- was, + is):\n{}\nIf it should change, run the test with \
         QUARTERTURN_UPDATE=1 and read the difference.",
        difference(&was, is)
    );
}

/// The lines that differ, each with its number; at most sixty.
fn difference(was: &str, is: &str) -> String {
    let (was, is): (Vec<&str>, Vec<&str>) = (was.lines().collect(), is.lines().collect());
    // Longest common subsequence: `common[i][j]` lines of was[i..] and is[j..] can be paired.
    let mut common = vec![vec![0_usize; is.len() + 1]; was.len() + 1];
    for i in (0..was.len()).rev() {
        for j in (0..is.len()).rev() {
            common[i][j] = if was[i] == is[j] {
                common[i + 1][j + 1] + 1
            } else {
                common[i + 1][j].max(common[i][j + 1])
            };
        }
    }
    let (mut i, mut j, mut lines) = (0, 0, Vec::new());
    while i < was.len() || j < is.len() {
        if i < was.len() && j < is.len() && was[i] == is[j] {
            (i, j) = (i + 1, j + 1);
        } else if j == is.len() || i < was.len() && common[i + 1][j] >= common[i][j + 1] {
            lines.push(format!("{:>4} - {}", i + 1, was[i]));
            i += 1;
        } else {
            lines.push(format!("{:>4} + {}", j + 1, is[j]));
            j += 1;
        }
    }
    let more = lines.len().saturating_sub(60);
    lines.truncate(60);
    if more > 0 {
        lines.push(format!("... and {more} more lines"));
    }
    lines.join("\n")
}
