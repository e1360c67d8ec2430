//! `sheet JOB.json OUT.pdf [--blank]`: writes the layout sheet of every piece, or the blank sheet.

use quarterturn_core::mark::pdf;
use quarterturn_core::sheet::{Which, about, pages};
use quarterturn_core::{Job, job};
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let paths: Vec<&String> = arguments.iter().filter(|a| !a.starts_with("--")).collect();
    let [from, to] = paths.as_slice() else {
        eprintln!("usage: sheet JOB.json OUT.pdf [--blank]");
        return ExitCode::from(2);
    };
    match write(from, to, arguments.iter().any(|a| a == "--blank")) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{from}: {e}");
            ExitCode::FAILURE
        }
    }
}

fn write(from: &str, to: &str, empty: bool) -> Result<(), Box<dyn std::error::Error>> {
    let job: Job = job::read(&std::fs::read_to_string(from)?)?;
    let pages = pages(&job, if empty { Which::Blank(0) } else { Which::EveryPiece });
    let seconds = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH)?.as_secs();
    std::fs::write(to, pdf(&pages, &about(&job, seconds))?)?;
    Ok(())
}
