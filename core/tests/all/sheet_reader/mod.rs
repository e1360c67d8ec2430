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

use boxes::Seen;
use content::Sheet;
use quarterturn_core::Job;
use quarterturn_core::findings::Ready;
use quarterturn_core::mark::Page;
use quarterturn_core::sheet::{Extent, blank, sheet};
use std::collections::BTreeMap;

/// So many random jobs are read unless `SHEETS` says otherwise.
const USUALLY: u64 = 200;

fn from_environment(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}

fn laid_out(pages: &[Page]) -> Vec<String> {
    let mut found = Vec::new();
    let in_full = pages.iter().any(|p| Seen::of(p).says().contains("Title block in full"));
    for (i, page) in pages.iter().enumerate() {
        let faults = layout::faults(page, [i + 1, pages.len()], in_full);
        found.extend(faults.into_iter().map(|f| format!("page {}: {f}", i + 1)));
    }
    found
}

/// Everything that is wrong with the sheets of a job: the report of its first piece and the blank
/// sheet.
fn faults(job: &Job) -> Vec<String> {
    let ready = Ready::of(job);
    let finding = ready.piece(0).unwrap();
    let pages = sheet(job, &ready, 0, &finding, Extent::Full);
    let mut found = laid_out(&pages);
    let short = sheet(job, &ready, 0, &finding, Extent::Short);
    found.extend(laid_out(&short).into_iter().map(|f| format!("short, {f}")));
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
    let mut kinds: BTreeMap<&str, Vec<(&str, &str)>> = BTreeMap::new();
    for (job, found) in faulty {
        for fault in found {
            kinds.entry(kind(fault)).or_default().push((job, fault));
        }
    }
    for (kind, all) in kinds {
        text.push_str(&format!("{} times {kind}\n", all.len()));
        let mut last = "";
        let other = all.iter().filter(|(job, _)| std::mem::replace(&mut last, job) != *job);
        for (job, fault) in other.take(8) {
            text.push_str(&format!("    {job}: {fault}\n"));
        }
    }
    panic!("{text}");
}

/// The words of a fault before what it is about.
fn kind(fault: &str) -> &str {
    let fault = fault.split_once("page ").map_or(fault, |(_, rest)| rest);
    let fault = fault.trim_start_matches(|c: char| c.is_ascii_digit() || c == ':' || c == ' ');
    let end = fault.find([':', ',', '(']).unwrap_or(fault.len()).min(60);
    fault.get(..end).unwrap_or(fault).trim_end_matches(|c: char| c.is_ascii_digit() || c == ' ')
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
