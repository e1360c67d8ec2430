//! The whole browser is killed at random moments while readings come in fast: what the page said was
//! kept is there afterwards, and no job is damaged.
//!
//! `QUARTERTURN_KILLS` says how often (10 without it); the figures are printed.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::Job;
use quarterturn_core::job::{self, Kind, Touch};
use quarterturn_tests::{Browser, Server, User, run_within};
use std::time::{Duration, Instant, SystemTime};

/// Bores of the job: more touches than are taken between two kills.
const BORES: usize = 60;

/// The notebook's first bore many times over, each to be touched low and high.
fn unmeasured() -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/1-mast-adapter-plate.json");
    let mut job = job::read(&std::fs::read_to_string(path).unwrap()).unwrap();
    for piece in &mut job.pieces {
        piece.readings.clear();
        piece.zero_checks.clear();
    }
    job.record.clear();
    let bore = job.drawing.features.iter().find(|f| f.kind == Kind::Hole).unwrap().clone();
    let more = (0..BORES).map(|i| {
        let mut bore = bore.clone();
        bore.number = format!("{}", 101 + i);
        bore
    });
    job.drawing.features.splice(0..0, more);
    job
}

/// The readings as they are typed, each another one.
fn heights() -> Vec<String> {
    (0..BORES)
        .flat_map(|i| [0.5600 + 0.0001 * i as f64 / 10.0, 0.9368 + 0.0001 * i as f64 / 10.0])
        .map(|h| format!("{h:.5}"))
        .collect()
}

/// Up to a second and a half, another one each time.
fn any_moment() -> Duration {
    let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap();
    Duration::from_micros(u64::from(now.subsec_nanos()) % 1_500_000)
}

/// The readings of a job in the order in which they were typed.
fn taken(job: &Job) -> Vec<f64> {
    let orientation = job.plan.orientations[0].number;
    let mut taken = Vec::new();
    for feature in &job.drawing.features {
        for touch in [Touch::Low, Touch::High] {
            let reading = job.pieces[0]
                .readings
                .iter()
                .find(|r| r.orientation == orientation && r.feature == feature.number);
            taken.extend(reading.iter().flat_map(|r| r.values(touch)).map(|v| v.0));
        }
    }
    taken
}

/// How many readings the footer counts and says to be kept.
async fn acknowledged(user: &User) -> Option<usize> {
    let says = user.sees(".foot").await;
    if !says.contains("all changes kept") {
        return None;
    }
    let before = says.split(" reading").next()?;
    before.rsplit([' ', '\n', ',']).next()?.trim().parse().ok()
}

#[test]
fn what_was_kept_survives_that_the_browser_is_killed() {
    let kills: usize =
        std::env::var("QUARTERTURN_KILLS").ok().map_or(10, |k| k.parse().expect("a number"));
    run_within(60 + 15 * kills as u64, async move {
        let server = Server::start();
        let browser = Browser::start(1366, 768).await;
        let mut user = User { browser, server };
        user.opens_the_page().await;
        user.waits_to_read("xample").await;
        let (heights, text) = (heights(), job::write_compact(&unmeasured()));
        let (mut sent, mut said, mut found, mut waits) = (0, 0, 0, Vec::new());
        for kill in 0..kills {
            user.drops_a_file("job.json", &text).await;
            user.waits_to_read("WX-1140").await;
            user.goes_to('2', "Bench").await;
            user.waits_for(".bench-field").await;
            user.settles().await;
            let id = user.runs("return sessionStorage.getItem('quarterturn.open')").await;
            let life = any_moment();
            let born = Instant::now();
            let mut kept = 0;
            let mut typed = 0;
            let capture = async {
                for height in &heights {
                    user.types(height).await;
                    user.presses(Key::Enter).await;
                    typed += 1;
                    let entered = Instant::now();
                    // As long as it is not kept it is not said to be.
                    // Sometimes the next reading comes before that.
                    if typed % 3 != 0 {
                        continue;
                    }
                    loop {
                        if let Some(count) = acknowledged(&user).await {
                            assert!(count <= typed, "{count} of {typed} are said to be kept");
                            kept = count;
                            if count == typed {
                                waits.push(entered.elapsed());
                                break;
                            }
                        }
                    }
                }
            };
            let all = tokio::time::timeout(life.saturating_sub(born.elapsed()), capture).await;
            assert!(all.is_err() || life.is_zero(), "there are fewer touches than time");
            let User { browser, server } = user;
            let profile = browser.is_killed();
            let browser = Browser::with_profile(profile, 1366, 768).await;
            user = User { browser, server };
            user.opens_the_page().await;
            user.waits_to_read("WX-1140").await;
            let open = user.runs("return sessionStorage.getItem('quarterturn.open')").await;
            let job = job::read(&user.kept_text_of(id.as_str().unwrap()).await)
                .unwrap_or_else(|e| panic!("kill {kill}: the job is damaged: {e}"));
            let there = taken(&job);
            assert!(
                there.len() >= kept,
                "kill {kill}: {kept} were kept, {} are there",
                there.len()
            );
            for (i, value) in there.iter().enumerate() {
                assert!(
                    (value - heights[i].parse::<f64>().unwrap()).abs() < 1e-9,
                    "kill {kill}: reading {i} is {value}"
                );
            }
            assert_eq!(open, id, "kill {kill}: another job is open");
            sent += typed;
            said += kept;
            found += there.len();
        }
        waits.sort();
        let at = |share: usize| waits.get(waits.len() * share / 100).copied().unwrap_or_default();
        println!(
            "{kills} kills: {sent} readings typed, {said} said to be kept, {found} there; from Enter to \
             'kept' as the driver sees it: median {} ms, 95th percentile {} ms",
            at(50).as_millis(),
            at(95).as_millis()
        );
    });
}
