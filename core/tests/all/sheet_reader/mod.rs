//! Sheets of random jobs are read back from their marks and held against the findings and against
//! themselves: nothing overlaps, leaves the paper or is cut short, every figure is there, no figure
//! contradicts the verdict beside it, sums add up as printed.
//!
//! `SHEETS=20000` reads so many random jobs instead of the usual few hundred, `SHEET_SEED=7` one of
//! them.

mod boxes;
mod content;
mod jobs;
mod layout;

use content::Sheet;
use quarterturn_core::Job;
use quarterturn_core::findings::Ready;
use quarterturn_core::mark::Page;
use quarterturn_core::sheet::{blank, sheet};

/// So many random jobs are read unless `SHEETS` says otherwise.
const USUALLY: u64 = 200;

fn from_environment(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}

fn laid_out(pages: &[Page]) -> Vec<String> {
    let mut found = Vec::new();
    for (i, page) in pages.iter().enumerate() {
        let faults = layout::faults(page, i + 1, pages.len());
        found.extend(faults.into_iter().map(|f| format!("page {}: {f}", i + 1)));
    }
    found
}

/// Everything that is wrong with the sheets of a job: the report of its first piece and the blank
/// sheet.
fn faults(job: &Job) -> Vec<String> {
    let ready = Ready::of(job);
    let finding = ready.piece(0).unwrap();
    let pages = sheet(job, &ready, 0, &finding);
    let mut found = laid_out(&pages);
    found.extend(Sheet::read(job, &finding, &pages).faults());
    let empty = blank(job, &ready, 0);
    found.extend(laid_out(&empty).into_iter().map(|f| format!("blank, {f}")));
    found
}

/// Fails with the kinds of faults, the most frequent first, each with an example.
fn none(faulty: &[(String, Vec<String>)], of: u64) {
    if faulty.is_empty() {
        return;
    }
    let mut text = format!("{} of {of} jobs have faults:\n", faulty.len());
    for (job, found) in faulty.iter().take(12) {
        text.push_str(&format!("{job}: {} faults\n", found.len()));
        for fault in found.iter().take(6) {
            text.push_str(&format!("    {fault}\n"));
        }
    }
    panic!("{text}");
}

#[test]
fn sheets_of_random_jobs_say_it_rightly() {
    let one = from_environment("SHEET_SEED");
    let count = from_environment("SHEETS").unwrap_or(USUALLY);
    let seeds = one.map_or(0..count, |seed| seed..seed + 1);
    let mut faulty = Vec::new();
    for seed in seeds {
        let (job, changes) = jobs::any(seed);
        let found = faults(&job);
        if !found.is_empty() {
            faulty.push((format!("seed {seed} ({})", changes.join(", ")), found));
        }
    }
    none(&faulty, count);
}

/// Every change alone, so that none hides behind another.
#[test]
fn each_kind_of_job_alone_says_it_rightly() {
    let mut faulty = Vec::new();
    for (name, change) in jobs::CHANGES {
        for seed in 0..3 {
            let found = faults(&jobs::with(seed, change));
            if !found.is_empty() {
                faulty.push((format!("{name}, seed {seed}"), found));
            }
        }
    }
    none(&faulty, 60);
}
