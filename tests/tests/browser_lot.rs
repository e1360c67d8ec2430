//! A lot on the Findings screen: which pieces conform is seen at a glance, and every piece is reached by
//! keyboard and by click.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::Locator;
use fantoccini::key::Key;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::{Callout, Job, Piece};
use quarterturn_core::quantity::Figure;
use quarterturn_tests::{User, run_within};

/// The example under wider tolerances with so many pieces; every fourth has a hole far off, and the last is
/// not measured.
fn lot(example: &Job, count: usize, serial: impl Fn(usize) -> String) -> Job {
    let mut job = example.clone();
    for feature in &mut job.drawing.features {
        for Callout::Position(position) in &mut feature.callouts {
            position.tolerance = Figure(position.tolerance.0 + 0.5);
        }
    }
    let piece = job.pieces[0].clone();
    job.pieces = (1..=count).map(|i| Piece { serial: serial(i), ..piece.clone() }).collect();
    for piece in job.pieces.iter_mut().skip(3).step_by(4) {
        for r in piece.readings.iter_mut().filter(|r| r.feature == "1") {
            r.low.iter_mut().chain(&mut r.high).for_each(|v| *v = Figure(v.0 + 1.5));
        }
    }
    job.pieces.last_mut().unwrap().readings.clear();
    job
}

async fn opens(user: &User, job: &Job) {
    let file = user.browser.downloads.join(format!("lot-{}.json", job.pieces.len()));
    std::fs::write(&file, quarterturn_core::job::write(job)).unwrap();
    user.opens_a_file(&file).await;
    user.goes_to('3', "").await;
    user.waits_for(".pieces button").await;
    user.settles().await;
}

/// What is wrong with how the strip stands in a window of 1366 by 768 pixels.
const FAULTS: &str = "const found = []; const strip = document.querySelector('.pieces ul'); \
    const box = strip.getBoundingClientRect(); \
    if (document.documentElement.scrollWidth > innerWidth) found.push('the page scrolls sideways'); \
    if (strip.scrollWidth > strip.clientWidth) found.push('the strip scrolls sideways'); \
    if (strip.scrollHeight > strip.clientHeight + 1) found.push('not all pieces are in sight'); \
    for (const b of strip.querySelectorAll('button')) { const r = b.getBoundingClientRect(); \
        if (r.right > box.right + 1 || r.left < box.left - 1) found.push('outside: ' + b.title); \
        if (b.getAttribute('aria-label') && !/nothing/.test(b.title) && !b.querySelector('svg')) found.push('no sign: ' + b.title); } \
    const table = document.querySelector('.lines').parentElement.getBoundingClientRect(); \
    if (Math.min(table.bottom, innerHeight) - table.top < 200) found.push('no room for the table: ' + table.height); \
    return found";

#[test]
fn all_pieces_of_a_lot_are_seen_and_reached() {
    run_within(180, async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.listens_for_errors().await;
        let example = user.kept_job().await;
        let plain = |i: usize| format!("{i:04}");
        let long = |i: usize| format!("WX-1140-C/2026-117-{i:04}");
        for (count, long_serials) in [(20, false), (50, false), (50, true)] {
            let job =
                if long_serials { lot(&example, count, long) } else { lot(&example, count, plain) };
            opens(&user, &job).await;
            user.shot(&format!("lot-{count}{}", if long_serials { "-long" } else { "" })).await;
            let faults = user.runs(FAULTS).await;
            assert_eq!(faults.as_array().unwrap().len(), 0, "{count} pieces: {faults}");
            // Each says its verdict in words, as the core finds it.
            let said = user
                .runs("return [...document.querySelectorAll('.pieces button')].map(b => b.getAttribute('aria-label'))")
                .await;
            let said: Vec<String> =
                said.as_array().unwrap().iter().map(|s| s.as_str().unwrap().to_owned()).collect();
            let ready = Ready::of(&job);
            let wanted: Vec<String> = (0..count)
                .map(|i| {
                    let found = ready.piece(i).unwrap();
                    format!("Piece {}: {}", found.serial, found.verdict.words())
                })
                .collect();
            assert_eq!(said, wanted);
            for verdict in [": conforms", ": does not conform", ": not measured"] {
                assert!(said.iter().any(|s| s.ends_with(verdict)), "{verdict}: {said:?}");
            }

            // The arrow keys lead through all, and the Tab key past all at once.
            let current = "return document.querySelector('.pieces [aria-current]').getAttribute('aria-label')";
            user.tabs_to(&wanted[0]).await;
            for step in &wanted[1..4] {
                user.presses(Key::Right).await;
                user.settles().await;
                assert_eq!(user.is_on().await, *step);
                assert_eq!(user.runs(current).await, **step);
            }
            user.presses(Key::End).await;
            user.settles().await;
            assert_eq!(user.is_on().await, wanted[count - 1]);
            user.waits_to_read("not fully measured").await;
            user.presses(Key::Home).await;
            user.settles().await;
            assert_eq!(user.is_on().await, wanted[0]);
            user.presses(Key::Tab).await;
            assert!(!user.is_on().await.starts_with("Piece "), "{}", user.is_on().await);

            let last_but_two = format!(".pieces li:nth-child({}) button", count - 2);
            user.browser
                .client
                .find(Locator::Css(&last_but_two))
                .await
                .unwrap()
                .click()
                .await
                .unwrap();
            user.settles().await;
            assert_eq!(user.runs(current).await, *wanted[count - 3]);
        }
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}
