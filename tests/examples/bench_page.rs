//! Times in the browser: opening the page, and an edit in a job of 200 features and of 10,000.
//!
//! `cargo xtask bench` runs it. It prints figures; it is no test.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a benchmark fails by panicking"
)]

use quarterturn_core::job::{
    self, Callout, DatumRef, Feature, Job, Kind, Modifier, Position, Reading, SizeLimits,
};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_tests::{Browser, Server, User, run_within};

fn main() {
    run_within(900, async {
        let server = Server::start();
        let browser = Browser::start(1366, 768).await;
        let user = User { browser, server };
        user.opens_the_page().await;
        user.waits_to_read("xample").await;
        println!("opening, warm files, from navigation to a usable page:");
        for _ in 0..5 {
            user.browser.client.refresh().await.unwrap();
            let script = "const done = arguments[0]; const look = () => { \
                 const h = document.querySelector('header nav'); \
                 if (h) requestAnimationFrame(() => done(performance.now())); else setTimeout(look, 1) }; look();";
            let ms = user.browser.client.execute_async(script, vec![]).await.unwrap();
            println!("  {:.0} ms", ms.as_f64().unwrap());
        }
        for features in [200, 10_000] {
            edits(&user, features).await;
        }
        user.browser.closes().await;
    });
}

/// A plate full of holes in rows, and readings of two orientations near what is expected.
fn plate(count: usize) -> Job {
    let mut job = Job::empty(Unit::Mm);
    job.drawing.part_number = format!("BENCH-{count}");
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "small counts"
    )]
    let columns = (count as f64).sqrt().ceil() as usize;
    #[expect(clippy::cast_precision_loss, reason = "small counts")]
    let at = |i: usize| (10.0 + 15.0 * (i % columns) as f64, 10.0 + 15.0 * (i / columns) as f64);
    let (width, height) = (at(columns - 1).0 + 10.0, at(count - 1).1 + 10.0);
    job.set_outline(Figure(width), Figure(height));
    for i in 0..count {
        let (x, y) = at(i);
        let number = format!("{}", i + 1);
        #[expect(clippy::cast_precision_loss, reason = "small counts")]
        let wobble = ((i * 7919) % 101) as f64 / 101.0 - 0.5;
        for (orientation, centre) in [(1, y + 0.05 * wobble), (2, x - 0.04 * wobble)] {
            let round = |v: f64| Figure((v * 1000.0).round() / 1000.0);
            job.pieces[0].readings.push(Reading {
                orientation,
                feature: number.clone(),
                low: vec![round(centre - 3.33)],
                high: vec![round(centre + 3.33)],
                ..Reading::default()
            });
        }
        job.drawing.features.push(Feature {
            number,
            kind: Kind::Hole,
            x: Some(Figure(x)),
            y: Some(Figure(y)),
            size: Some(SizeLimits::Deviations {
                nominal: Figure(6.6),
                lower: Figure(0.0),
                upper: Figure(0.15),
            }),
            callouts: vec![Callout::Position(Position {
                tolerance: Figure(0.1),
                modifier: Modifier::Mmc,
                datums: DatumRef::all(&["A", "B", "C"]),
                ..Position::default()
            })],
            ..Feature::default()
        });
    }
    job
}

/// Takes an edit of a reading back and does it again, on each screen, and measures from the key
/// to the layout that shows it.
async fn edits(user: &User, features: usize) {
    let path = user.browser.downloads.join(format!("bench-{features}.json"));
    std::fs::write(&path, job::write(&plate(features))).unwrap();
    let input =
        user.browser.client.find(fantoccini::Locator::Css("input[type=file]")).await.unwrap();
    input.send_keys(path.to_str().unwrap()).await.unwrap();
    user.waits_to_read(&format!("BENCH-{features}")).await;
    // A reading as it may well be, which moves one vector, and one so far off that the scale of
    // all vectors changes with it.
    let edits = ["6.672", "123.456"].into_iter().zip(["a reading", "a reading far off"]);
    for ((value, what), (key, screen)) in
        edits.flat_map(|edit| [(edit, ('2', "Bench")), (edit, ('3', "Findings"))])
    {
        if key == '2' {
            user.goes_to('2', "").await;
            user.settles().await;
            user.enters(value).await;
            user.settles().await;
        }
        user.goes_to(key, "").await;
        user.settles().await;
        // The key's work and the layout that follows it, without waiting for the next frame.
        let script = "const done = arguments[1]; const times = []; const rounds = arguments[0]; \
             const step = i => { if (i === rounds) return done(times); \
               const t = performance.now(); \
               document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key: i % 2 ? 'y' : 'z', ctrlKey: true, bubbles: true, cancelable: true })); \
               queueMicrotask(() => queueMicrotask(() => { const c = new MessageChannel(); c.port1.onmessage = () => { \
                 const work = performance.now() - t; document.body.getBoundingClientRect(); times.push([performance.now() - t, work]); \
                 requestAnimationFrame(() => setTimeout(() => step(i + 1), 0)) }; c.port2.postMessage(0) })) }; \
             step(0);";
        let rounds = if features > 1_000 { 40 } else { 200 };
        let (mut times, mut work): (Vec<f64>, Vec<f64>) = Default::default();
        // Few at a time: a driver waits no longer than half a minute for a script.
        while times.len() < rounds {
            let some = user.browser.client.execute_async(script, vec![10.into()]).await.unwrap();
            for pair in some.as_array().unwrap() {
                times.extend(pair[0].as_f64());
                work.extend(pair[1].as_f64());
            }
        }
        times.sort_by(f64::total_cmp);
        work.sort_by(f64::total_cmp);
        let at = |share: usize| times[(times.len() - 1) * share / 100];
        println!(
            "{features} features, {screen}: {what} shows after {:.1} ms (median), {:.1} ms (95th percentile), {:.1} ms (worst of {}); without layout {:.1} ms (median)",
            at(50),
            at(95),
            at(100),
            times.len(),
            work[work.len() / 2]
        );
    }
}
