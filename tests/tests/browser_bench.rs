//! The bench as an inspector uses it, with one hand on the gauge: where Enter leads, how readings are
//! corrected and taken back, what is asked and said.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::Job;
use quarterturn_core::job::{self, Touch};
use quarterturn_core::quantity::Figure;
use quarterturn_tests::{User, run};

/// The first orientation of the notebook: feature, low and high. Slot 7 is not seen in it.
const FIRST: [(&str, f64, f64); 7] = [
    ("1", 0.56055, 0.93680),
    ("2", 0.56550, 0.94245),
    ("3", 2.06605, 2.44175),
    ("4", 2.06390, 2.44030),
    ("5", 0.87340, 2.12380),
    ("6", 0.26600, 0.57780),
    ("8", 1.43700, 1.56540),
];

/// The notebook's job, not yet measured.
fn unmeasured() -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/1-mast-adapter-plate.json");
    let mut job = job::read(&std::fs::read_to_string(path).unwrap()).unwrap();
    for piece in &mut job.pieces {
        piece.readings.clear();
        piece.zero_checks.clear();
    }
    job.record.clear();
    job
}

/// The same with the first orientation read but for the last so many touches.
fn read_but(missing: usize) -> Job {
    let mut job = unmeasured();
    let touches = FIRST.iter().flat_map(|(number, low, high)| {
        [(*number, Touch::Low, *low), (*number, Touch::High, *high)]
    });
    for (number, touch, value) in touches.take(2 * FIRST.len() - missing) {
        job.pieces[0].set_values(1, number, touch, vec![Figure(value)]);
    }
    job
}

/// A user with this job at the bench.
async fn at_the_bench(job: &Job) -> User {
    let user = User::arrives().await;
    user.waits_to_read("xample").await;
    user.goes_to('2', "Bench").await;
    user.drops_a_file("job.json", &job::write_compact(job)).await;
    user.waits_to_read("WX-1140").await;
    user.listens_for_errors().await;
    user.settles().await;
    user
}

/// What is touched next, as the page says it in large type.
async fn next(user: &User) -> String {
    user.settles().await;
    user.sees(".bench-head h2").await
}

/// What stands at a touch of the first orientation.
async fn values(user: &User, number: &str, touch: Touch) -> Vec<f64> {
    let job = user.kept_job().await;
    let reading = job.pieces[0].reading(1, number);
    reading.map(|r| r.values(touch).iter().map(|v| v.0).collect()).unwrap_or_default()
}

/// Whether the cursor is in the field for the next reading.
async fn is_in_the_entry(user: &User) -> bool {
    user.runs("return document.activeElement.classList.contains('bench-field')").await == true
}

async fn no_errors(user: &User) {
    assert_eq!(user.errors().await, Vec::<String>::new());
}

#[test]
fn enter_leads_on_in_order_and_from_the_last_touch_to_the_zero_and_the_next_orientation() {
    run(async {
        let user = at_the_bench(&read_but(1)).await;
        // A row up from the touch that is missing: a correction leads on in order.
        assert_eq!(next(&user).await, "Hole 8, highest point");
        user.presses(Key::Up).await;
        assert_eq!(next(&user).await, "Boss 6, highest point");
        user.enters(".57790").await;
        assert_eq!(next(&user).await, "Hole 8, lowest point");
        user.presses(Key::Enter).await;
        user.enters("1.56540").await;
        user.waits_to_read("Orientation 1 is complete").await;
        // The zero is asked for, and read.
        user.settles().await;
        user.shot("bench-complete").await;
        assert!(user.is_on().await.starts_with("Touch the zero once more"));
        user.enters(".0001").await;
        user.waits_to_read("Zero at the end: .0001").await;
        assert!(is_in_the_entry(&user).await);
        let kept = user.kept_job().await;
        assert_eq!(kept.pieces[0].zero_check(1), Some(Figure(0.0001)));
        // In a full orientation a correction leads on as well.
        user.presses(Key::Up).await;
        assert_eq!(next(&user).await, "Boss 6, highest point");
        user.enters(".57780").await;
        assert_eq!(next(&user).await, "Hole 8, lowest point");
        user.presses(Key::Enter).await;
        assert!(user.sees(".bench-live").await.contains("goes on to orientation 2"));
        user.presses(Key::Enter).await;
        user.waits_to_read("Orientation 1 is complete").await;
        user.presses(Key::Enter).await;
        user.waits_to_read("0 of 16 readings taken").await;
        user.settles().await;
        assert!(is_in_the_entry(&user).await);
        no_errors(&user).await;
    });
}

#[test]
fn a_reading_is_taken_back_with_one_key_and_by_emptying_its_field() {
    run(async {
        let user = at_the_bench(&read_but(3)).await;
        assert_eq!(next(&user).await, "Boss 6, highest point");
        user.enters(".57780").await;
        assert_eq!(next(&user).await, "Hole 8, lowest point");
        user.presses(Key::Backspace).await;
        assert_eq!(next(&user).await, "Boss 6, highest point");
        assert_eq!(values(&user, "6", Touch::High).await, Vec::<f64>::new());
        assert!(user.sees(".bench-said").await.contains(".57780 taken back"));
        assert!(user.sees(".bench-why").await.contains("boss 6, highest point"));
        // What was said goes away with the step.
        user.holds(&[Key::Control], 'z').await;
        user.settles().await;
        assert_eq!(values(&user, "6", Touch::High).await, [0.5778]);
        assert!(!user.sees(".bench-said").await.contains("taken back"));
        // The first key empties the field, Enter confirms it.
        user.presses(Key::Backspace).await;
        assert!(user.sees(".bench-live").await.contains("takes the reading back"));
        user.presses(Key::Enter).await;
        user.settles().await;
        assert_eq!(values(&user, "6", Touch::High).await, Vec::<f64>::new());
        // Emptied and left it is kept, and that is said.
        user.presses(Key::Left).await;
        user.settles().await;
        user.presses(Key::Backspace).await;
        user.presses(Key::Left).await;
        user.waits_to_read(".26600 is kept").await;
        assert_eq!(values(&user, "6", Touch::Low).await, [0.266]);
        no_errors(&user).await;
    });
}

#[test]
fn a_refused_entry_stays_with_its_message() {
    run(async {
        let user = at_the_bench(&unmeasured()).await;
        user.enters("5.6.1").await;
        user.settles().await;
        let said = user.sees(".bench-refusal").await;
        assert!(!said.is_empty());
        user.presses(Key::Down).await;
        user.settles().await;
        assert_eq!(user.sees(".bench-refusal").await, said);
        let typed = user.runs("return document.querySelector('.bench-field').value").await;
        assert_eq!(typed, "5.6.1");
        user.types("2").await;
        user.settles().await;
        assert_eq!(user.sees(".bench-refusal").await, "");
        no_errors(&user).await;
    });
}

#[test]
fn lowest_and_highest_point_exchanged_are_named_and_put_right_with_one_key() {
    run(async {
        let user = at_the_bench(&unmeasured()).await;
        user.enters(".93680").await;
        user.waits_to_read("It is what hole 1, highest point, should show").await;
        user.enters(".56055").await;
        user.waits_to_read("It is what hole 1, lowest point, should show").await;
        user.shot("bench-exchanged").await;
        user.types("a").await;
        user.settles().await;
        assert_eq!(values(&user, "1", Touch::Low).await, [0.56055]);
        assert_eq!(values(&user, "1", Touch::High).await, [0.9368]);
        let kept = user.kept_job().await;
        assert_eq!(kept.record.len(), 2, "{:?}", kept.record);
        assert_eq!(user.sees(".bench-asked").await, "");
        // The size is judged with the second reading.
        user.waits_to_read("Hole 1: size .3763, conforms").await;
        no_errors(&user).await;
    });
}

#[test]
fn panels_close_with_escape_and_the_entry_has_the_cursor() {
    run(async {
        let user = at_the_bench(&read_but(3)).await;
        for (key, panel) in [("z", "#bench-zero"), ("s", "#bench-setup form")] {
            user.types(key).await;
            user.waits_for(panel).await;
            user.settles().await;
            // From wherever the cursor is.
            user.runs("document.activeElement.blur()").await;
            user.presses(Key::Escape).await;
            user.settles().await;
            let there = user.runs(&format!("return !!document.querySelector('{panel}')")).await;
            assert_eq!(there, false, "{panel}");
            assert!(is_in_the_entry(&user).await, "{panel}");
        }
        // The panel of the piece, in the header: from within and from the entry.
        for from_the_entry in [false, true] {
            user.holds(&[Key::Alt], 'p').await;
            user.waits_for("#piece-panel:not([hidden])").await;
            user.settles().await;
            if from_the_entry {
                user.runs("document.querySelector('.bench-field').focus()").await;
            }
            user.presses(Key::Escape).await;
            user.settles().await;
            let shut = user.runs("return document.querySelector('#piece-panel').hidden").await;
            assert_eq!(shut, true);
            assert!(is_in_the_entry(&user).await, "on {}", user.is_on().await);
        }
        no_errors(&user).await;
    });
}

#[test]
fn a_new_piece_begins_at_the_first_touch_and_a_reload_where_the_cursor_was() {
    run(async {
        let user = at_the_bench(&read_but(0)).await;
        user.types("]").await;
        user.settles().await;
        user.presses(Key::Down).await;
        assert_eq!(next(&user).await, "Hole 2, lowest point");
        user.browser.client.refresh().await.unwrap();
        user.waits_for(".bench-field").await;
        user.listens_for_errors().await;
        assert_eq!(next(&user).await, "Hole 2, lowest point");
        assert!(user.sees(".bench-tab.here").await.starts_with('2'));
        // The step before the page was loaded is not there, and that is said.
        user.holds(&[Key::Control], 'z').await;
        user.waits_to_read("before the page was loaded, are not kept").await;
        user.clicks(".which", "+").await;
        assert_eq!(next(&user).await, "Hole 1, lowest point");
        assert!(user.sees(".bench-tab.here").await.starts_with('1'));
        assert!(is_in_the_entry(&user).await, "on {}", user.is_on().await);
        no_errors(&user).await;
    });
}

/// Every button and the field are whole on the page.
#[test]
fn at_the_usual_sizes_of_a_window_nothing_is_cut_off() {
    run(async {
        let user = at_the_bench(&read_but(1)).await;
        user.enters("1.56540").await;
        user.waits_to_read("Orientation 1 is complete").await;
        for (width, height) in [(1366, 768), (1024, 768)] {
            user.browser.client.set_window_size(width, height).await.unwrap();
            user.settles().await;
            user.shot(&format!("bench-{width}")).await;
            let cut = user
                .runs(
                    "const cut = []; \
                     for (const e of document.querySelectorAll('.bench-right button, .bench-complete p, .bench-field')) { \
                         const r = e.getBoundingClientRect(); if (!r.width) continue; \
                         if (r.right > innerWidth + 1 || r.bottom > innerHeight + 1 || e.scrollWidth > e.clientWidth + 2 && e.clientWidth) \
                             cut.push(e.textContent || e.className); \
                     } return cut",
                )
                .await;
            assert_eq!(cut.as_array().map(Vec::len), Some(0), "{width}: {cut}");
        }
        no_errors(&user).await;
    });
}
