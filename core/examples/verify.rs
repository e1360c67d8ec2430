//! `verify SHEET.pdf [--job OUT.json]`: whether the sheet belongs to the job that it carries and is
//! unchanged, as JSON; writes the job to a file where that is asked for. Succeeds only for a sheet that is
//! unchanged.

use quarterturn_core::job::write;
use quarterturn_core::sheet::{SheetState, verify};
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (from, job) = match arguments.as_slice() {
        [from] => (from, None),
        [from, option, to] if option == "--job" => (from, Some(to)),
        _ => {
            eprintln!("usage: verify SHEET.pdf [--job OUT.json]");
            return ExitCode::from(2);
        }
    };
    let found = std::fs::read(from)
        .map_err(|e| e.to_string())
        .and_then(|bytes| verify(&bytes).map_err(|e| e.to_string()));
    let found = match found {
        Ok(found) => found,
        Err(e) => {
            eprintln!("{from}: {e}");
            return ExitCode::from(2);
        }
    };
    let says = serde_json::json!({
        "state": found.state,
        "says": found.state.says(),
        "sha256": found.sha256,
        "made": found.made,
    });
    println!("{says:#}");
    if let Some(Err(e)) = job.map(|to| std::fs::write(to, write(&found.job))) {
        eprintln!("{e}");
        return ExitCode::from(2);
    }
    if found.state == SheetState::Unchanged { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
