//! `sheet JOB.json OUT.pdf [--blank | --short]`: writes the layout sheet of every piece, in full or its
//! summary alone, or the blank sheet.

use quarterturn_core::sheet::{Extent, Which, document};
use quarterturn_core::{Job, job};
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let paths: Vec<&String> = arguments.iter().filter(|a| !a.starts_with("--")).collect();
    let [from, to] = paths.as_slice() else {
        eprintln!("usage: sheet JOB.json OUT.pdf [--blank | --short]");
        return ExitCode::from(2);
    };
    let asked = |option: &str| arguments.iter().any(|a| a == option);
    let which = if asked("--blank") { Which::Blank(0) } else { Which::EveryPiece };
    let extent = if asked("--short") { Extent::Short } else { Extent::Full };
    match write(from, to, which, extent) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{from}: {e}");
            ExitCode::FAILURE
        }
    }
}

fn write(
    from: &str,
    to: &str,
    which: Which,
    extent: Extent,
) -> Result<(), Box<dyn std::error::Error>> {
    let job: Job = job::read(&std::fs::read_to_string(from)?)?;
    let seconds = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH)?.as_secs();
    std::fs::write(to, document(&job, which, extent, seconds)?)?;
    Ok(())
}
