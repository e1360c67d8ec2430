//! `bench_evaluate`: how long `evaluate` takes, printed as figures. Run it with `--release` on a
//! quiet machine; where it is not quiet, the fastest run says most:
//!
//! ```text
//! cargo run --release -p quarterturn-core --example bench_evaluate
//! ```
//!
//! Made-up plates, two orientations, every feature touched low and high in both: 200, 1,000 and
//! 10,000 features of one piece, and 200 features of 50 pieces. The worst case for the
//! questions is every reading far from what was expected. The target is 1,000 features in less
//! than 2 ms.

#[path = "common/lot.rs"]
mod lot;
#[path = "common/plate.rs"]
mod plate;

use lot::Lot;
use plate::plate;
use quarterturn_core::evaluate;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::write_compact;
use quarterturn_core::job::{Callout, Coverage, Job, Reading};
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::{Layout, PatternOptions};
use quarterturn_core::quantity::{Figure, Side};
use std::hint::black_box;
use std::time::{Duration, Instant};

fn main() {
    println!(
        "{:<36} {:>6} {:>11} {:>11} {:>11} {:>15}",
        "evaluate", "runs", "fastest ms", "median ms", "p95 ms", "µs per feature"
    );
    for (name, features, pieces, off, runs) in [
        ("200 features", 200, 1, 0.0, 1000),
        ("1,000 features (target 2 ms)", 1_000, 1, 0.0, 500),
        ("10,000 features", 10_000, 1, 0.0, 50),
        ("200 features, 50 pieces", 200, 50, 0.0, 50),
        ("1,000 features, every one far off", 1_000, 1, 7.0, 50),
        ("10,000 features, every one far off", 10_000, 1, 7.0, 5),
    ] {
        let job = plate(features, pieces, off);
        let times = timed(runs, || evaluate(black_box(&job)));
        line(name, &times, features * pieces);
    }
    // Reversed in both axes, every touch three times, and the uncertainty of the gauge known: four
    // orientations adjusted together, with every probability. Near the edge of the zones the
    // probabilities take their time, so every tolerance is what half the features just reach.
    for (features, tight) in [(1_000, false), (1_000, true), (10_000, false)] {
        let job = reversed(features, tight);
        let times = timed(20, || evaluate(black_box(&job)));
        let edge = if tight { ", at the edge" } else { "" };
        line(&format!("{features} features, 4 x 3, proven{edge}"), &times, features);
    }
    // Expanded by the effective degrees of freedom, every result needs what it owes to the repeats.
    for features in [200, 1_000, 10_000] {
        let mut job = reversed(features, false);
        job.plan.coverage = Coverage::Effective;
        let times = timed(if features > 1_000 { 2 } else { 20 }, || evaluate(black_box(&job)));
        line(&format!("{features} features, by degrees of freedom"), &times, features);
    }
    // Datum faces at the end of the list are found as fast as at its beginning.
    for features in [1_000, 10_000] {
        let mut job = plate(features, 1, 0.0);
        job.drawing.features.rotate_left(2);
        let times = timed(20, || evaluate(black_box(&job)));
        line(&format!("{features} features, datum faces last"), &times, features);
    }
    // What the screens draw of it.
    for (features, runs) in [(200, 100), (10_000, 5)] {
        let mut job = plate(features, 1, 0.0);
        let rows = f64::from(u32::try_from(features.div_ceil(100)).unwrap_or(0));
        job.set_outline(Figure(1010.0), Figure(10.0 * rows + 10.0));
        let ready = Ready::of(&job);
        let Some(found) = ready.piece(0) else { return };
        let options = PatternOptions { height_mm: 80.0, ..PatternOptions::default() };
        let name = |what: &str| format!("{features} features, {what}");
        let work = || Layout::of(&job.drawing, &options);
        line(&name("pattern laid out"), &timed(runs, work), features);
        let layout = work();
        let work = || layout.vectors(&found);
        line(&name("deviations"), &timed(runs, work), features);
        let vectors = work();
        let work = || layout.balloons(Some(&vectors));
        line(&name("numbers placed"), &timed(runs, work), features);
        let balloons = work();
        let work = || layout.balloons_after(&balloons, None);
        line(&name("numbers, deviations gone"), &timed(runs, work), features);
        let work = || svg_marks(&vectors.marks).len() + svg_marks(&balloons.marks()).len();
        line(&name("drawn as text"), &timed(runs, work), features);
        let work = || ready.piece(0).is_some_and(|again| again == found);
        line(&name("piece, compared"), &timed(runs, work), features);
        let work = || write_compact(&job).len();
        line(&name("job as text"), &timed(runs, work), features);
        let work = || job.clone() == job;
        line(&name("job copied, compared"), &timed(runs, work), features);
    }
    // On a keystroke only the piece at hand is evaluated, the drawing and the plan being ready.
    let job = plate(200, 50, 0.0);
    let ready = Ready::of(&job);
    let times = timed(1000, || ready.piece(black_box(7)));
    line("200 features, one piece, plan ready", &times, 200);
}

/// Times of `runs` runs after a few to warm up, shortest first.
fn timed<T>(runs: usize, mut work: impl FnMut() -> T) -> Vec<Duration> {
    for _ in 0..runs.div_ceil(10) {
        black_box(work());
    }
    let mut times: Vec<Duration> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            let found = work();
            let took = start.elapsed();
            black_box(found);
            took
        })
        .collect();
    times.sort_unstable();
    times
}

#[allow(clippy::cast_precision_loss, reason = "a count of features")]
fn line(name: &str, times: &[Duration], features: usize) {
    let at =
        |share: usize| times[(times.len() * share / 100).min(times.len() - 1)].as_secs_f64() * 1e3;
    let (fastest, median, p95) = (at(0), at(50), at(95));
    let each = median * 1e3 / features as f64;
    println!(
        "{name:<36} {:>6} {fastest:>11.3} {median:>11.3} {p95:>11.3} {each:>15.3}",
        times.len()
    );
}

/// The same plate measured in four orientations, each touch three times, with a gauge whose error
/// limit is known.
fn reversed(features: usize, tight: bool) -> Job {
    let mut job = plate(features, 1, 0.0);
    let rows = f64::from(u32::try_from(features.div_ceil(100)).unwrap_or(0));
    job.set_outline(Figure(1010.0), Figure(10.0 * rows + 10.0));
    job.plan.instruments[0].error_limit = Some(Figure(0.004));
    if tight {
        for f in &mut job.drawing.features {
            for Callout::Position(p) in &mut f.callouts {
                p.tolerance = Figure(0.05);
            }
        }
    }
    let mut lot = Lot(2);
    let mut more = Vec::new();
    for (number, of, side) in [(3, 1, Side::MinusY), (4, 2, Side::MinusX)] {
        job.add_orientation(side);
        let high = if side == Side::MinusY { 10.0 * rows + 10.0 } else { 1010.0 };
        for r in job.pieces[0].readings.iter().filter(|r| r.orientation == of) {
            let turned = |v: &[Figure]| v.iter().map(|v| Figure(high - v.0)).collect();
            let (low, high) = (turned(&r.high), turned(&r.low));
            more.push(Reading { orientation: number, low, high, ..r.clone() });
        }
    }
    job.pieces[0].readings.extend(more);
    for r in &mut job.pieces[0].readings {
        for values in [&mut r.low, &mut r.high] {
            let one = values[0].0;
            *values = (0..3).map(|_| Figure(one + 0.001 * lot.next())).collect();
        }
    }
    job
}
