//! `bench_sheet [FEATURES PIECES]`: how long the sheets of a lot take as one PDF, and the most memory
//! that it took. Run it with `--release` on a quiet machine:
//!
//! ```text
//! cargo run --release -p quarterturn-core --example bench_sheet
//! ```
//!
//! A made-up plate in two orientations, 200 features of 50 pieces where nothing else is said, the full
//! record of every piece. The target is less than 2 s and 300 MB.

#[path = "common/lot.rs"]
mod lot;
#[path = "common/plate.rs"]
mod plate;

use quarterturn_core::sheet::{Extent, Which, document, pages};
use std::process::ExitCode;
use std::time::Instant;

fn main() -> ExitCode {
    let mut counts = std::env::args().skip(1).filter_map(|a| a.parse().ok());
    let (features, pieces) = (counts.next().unwrap_or(200), counts.next().unwrap_or(50));
    let job = plate::plate(features, pieces, 0.0);
    let before = most_memory();
    let start = Instant::now();
    let bytes = match document(&job, Which::EveryPiece, Extent::Full, 0) {
        Ok(bytes) => bytes.len(),
        Err(why) => {
            eprintln!("{why}");
            return ExitCode::FAILURE;
        }
    };
    let took = start.elapsed();
    let most = most_memory();
    let count = pages(&job, Which::EveryPiece, Extent::Full).len();
    println!("{features} features, {pieces} pieces: {count} pages, {bytes} bytes");
    println!("{:.3} s", took.as_secs_f64());
    match (before, most) {
        (Some(before), Some(most)) => {
            println!("at most {most} kB of memory, {before} kB of it before")
        }
        _ => println!("this system does not say how much memory was taken"),
    }
    ExitCode::SUCCESS
}

/// The most memory that this process has taken so far, in kB, where the system says it (Linux).
fn most_memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse().ok()
}
