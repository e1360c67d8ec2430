//! One job takes the place of another: on every screen, in every way, the page lives and shows the
//! right job, and undo and redo stay within the job that is open.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::Job;
use quarterturn_core::quantity::Unit;
use quarterturn_tests::{User, run, run_within};
use std::path::PathBuf;
use std::time::Duration;

/// What a screen may show when its job is replaced: the key of the screen, something that only this
/// screen has, a part of the Drawing screen or what to choose on the sheet, and a key to press.
struct Place {
    name: &'static str,
    screen: char,
    has: &'static str,
    click: Option<&'static str>,
    press: Option<char>,
}

const fn place(name: &'static str, screen: char, has: &'static str) -> Place {
    Place { name, screen, has, click: None, press: None }
}

const fn section(name: &'static str, tab: &'static str) -> Place {
    Place { click: Some(tab), ..place(name, '1', ".drawing") }
}

const fn pressed(name: &'static str, screen: char, has: &'static str, key: char) -> Place {
    Place { press: Some(key), ..place(name, screen, has) }
}

const DRAWING: [Place; 6] = [
    section("Drawing, features", "#section-features"),
    section("Drawing, lines", "#section-lines"),
    section("Drawing, datums", "#section-datums"),
    section("Drawing, order", "#section-order"),
    section("Drawing, instruments", "#section-instruments"),
    section("Drawing, conditions", "#section-conditions"),
];
const BENCH: [Place; 5] = [
    place("Bench", '2', ".bench"),
    pressed("Bench, next orientation", '2', ".bench", ']'),
    pressed("Bench, set-up", '2', ".bench", 's'),
    pressed("Bench, zero", '2', ".bench", 'z'),
    pressed("Bench, sweep", '2', ".bench", 'w'),
];
const FINDINGS: [Place; 4] = [
    place("Findings", '3', ".findings"),
    pressed("Findings, budget", '3', ".findings", 'u'),
    pressed("Findings, pattern", '3', ".findings", 'p'),
    pressed("Findings, kind of error", '3', ".findings", 'e'),
];
const SHEET: [Place; 3] = [
    place("Sheet", '4', ".sheet-screen"),
    Place {
        click: Some("fieldset label:nth-of-type(2) input"),
        ..place("Sheet, every piece", '4', ".sheet-screen")
    },
    Place {
        click: Some("fieldset label:nth-of-type(3) input"),
        ..place("Sheet, blank", '4', ".sheet-screen")
    },
];

/// How the job is replaced.
#[derive(Clone, Copy, Debug)]
enum Act {
    New(&'static str),
    Example,
    /// The same example in the place of the one that is open.
    ExampleAgain,
    OpenFile,
    DropFile,
    Shelf,
    GoBack,
}

/// The acts in an order in which full jobs follow on empty ones and the other way round, each with
/// part number and unit of the job that is then open.
const ACTS: [(Act, &str, Unit); 10] = [
    (Act::New("New, in inch"), "", Unit::Inch),
    (Act::Example, "OB-204", Unit::Mm),
    (Act::New("New, in mm"), "", Unit::Mm),
    (Act::OpenFile, "WX-1140", Unit::Inch),
    (Act::Example, "OB-204", Unit::Mm),
    (Act::ExampleAgain, "OB-204", Unit::Mm),
    (Act::Shelf, "WX-1140", Unit::Inch),
    (Act::New("New, in mm"), "", Unit::Mm),
    (Act::GoBack, "WX-1140", Unit::Inch),
    (Act::DropFile, "GH-2207", Unit::Mm),
];

fn notebook(name: &str) -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks")).join(name)
}

impl Act {
    async fn done_by(self, user: &User) {
        let from_jobs = match self {
            Self::New(words) => words,
            Self::Example | Self::ExampleAgain => "Example",
            Self::Shelf => "WX-1140",
            Self::GoBack => return user.clicks(".line", "Go back to it").await,
            Self::OpenFile => {
                return user.opens_a_file(&notebook("1-mast-adapter-plate.json")).await;
            }
            Self::DropFile => {
                let text = std::fs::read_to_string(notebook("2-manifold-cover.json")).unwrap();
                return user.drops_a_file("cover.json", &text).await;
            }
        };
        user.holds(&[Key::Alt], 'j').await;
        user.waits_for("#jobs button").await;
        user.clicks("#jobs", from_jobs).await;
    }
}

impl Place {
    async fn gone_to_by(&self, user: &User) {
        user.holds(&[Key::Alt], self.screen).await;
        user.waits_for(self.has).await;
        if let Some(click) = self.click {
            user.runs(&format!("document.querySelector({click:?}).click()")).await;
        }
        user.settles().await;
        if let Some(key) = self.press {
            user.types(&key.to_string()).await;
        }
    }
}

fn is(job: &Job, part: &str, unit: Unit) -> bool {
    job.drawing.part_number == part && job.drawing.unit == unit
}

/// Fails unless the page lives and shows the job.
async fn shows(user: &User, part: &str, unit: Unit, at: &str) {
    let head = if part.is_empty() { "no part number" } else { part };
    for _ in 0..100 {
        let shown = user.sees(".which").await;
        if shown.contains(head) && shown.contains(unit.word()) {
            break;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    assert_eq!(user.errors().await, Vec::<String>::new(), "{at}");
    let shown = user.sees(".which").await;
    assert!(shown.contains(head) && shown.contains(unit.word()), "{at}: {shown}");
    assert!(is(&user.kept_job().await, part, unit), "{at}: another job is kept");
    assert!(!user.sees("main").await.is_empty(), "{at}: the screen is empty");
}

async fn replaced_everywhere(places: &[Place]) {
    let user = User::arrives().await;
    user.waits_to_read("xample").await;
    user.listens_for_errors().await;
    for place in places {
        for (act, part, unit) in ACTS {
            let at = format!("{}, {act:?}", place.name);
            place.gone_to_by(&user).await;
            act.done_by(&user).await;
            shows(&user, part, unit, &at).await;
            // No step leads out of the job.
            let before = user.kept_text().await;
            user.holds(&[Key::Control], 'z').await;
            user.holds(&[Key::Control], 'y').await;
            shows(&user, part, unit, &format!("{at}, undo and redo")).await;
            assert_eq!(user.kept_text().await, before, "{at}");
        }
    }
}

#[test]
fn on_the_drawing_the_job_can_be_replaced_in_every_way() {
    run_within(300, replaced_everywhere(&DRAWING));
}

#[test]
fn on_the_bench_the_job_can_be_replaced_in_every_way() {
    run_within(300, replaced_everywhere(&BENCH));
}

#[test]
fn on_the_findings_the_job_can_be_replaced_in_every_way() {
    run_within(300, replaced_everywhere(&FINDINGS));
}

#[test]
fn on_the_sheet_the_job_can_be_replaced_in_every_way() {
    run_within(300, replaced_everywhere(&SHEET));
}

/// A new job with a hole on its drawing, ready for the first reading at the bench.
async fn starts_a_job_at_the_bench(user: &User) {
    user.waits_to_read("xample").await;
    user.listens_for_errors().await;
    user.goes_to('2', "Bench").await;
    user.settles().await;
    Act::New("New, in inch").done_by(user).await;
    shows(user, "", Unit::Inch, "new job").await;
    user.tabs_to("Features").await;
    user.presses(Key::Down).await;
    user.settles().await;
    user.holds(&[Key::Control], char::from(Key::End)).await;
    for cell in ["1", "hole", ".75", ".75", ".375 to .378"] {
        user.types(cell).await;
        user.presses(Key::Tab).await;
    }
    user.goes_to('2', "Bench").await;
    user.waits_for(".bench-field").await;
    user.settles().await;
}

#[test]
fn what_is_typed_and_not_taken_stays_with_its_job() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.holds(&[Key::Alt], char::from(Key::PageDown)).await;
        user.goes_to('2', "Bench").await;
        user.waits_for(".bench-field").await;
        user.settles().await;
        user.types("]").await;
        user.settles().await;
        user.listens_for_errors().await;
        user.types("1.2345").await;
        Act::New("New, in mm").done_by(&user).await;
        shows(&user, "", Unit::Mm, "new job").await;
        let new = user.kept_job().await;
        assert!(new.pieces.iter().all(|p| p.readings.is_empty()), "{:?}", new.pieces);
        user.clicks(".line", "Go back to it").await;
        shows(&user, "OB-204", Unit::Mm, "back").await;
        assert!(user.kept_text().await.contains("1.2345"));
    });
}

#[test]
fn undo_ends_where_the_job_begins_and_redo_brings_everything_back() {
    run(async {
        let user = User::arrives().await;
        starts_a_job_at_the_bench(&user).await;
        for reading in [".5625", ".9375"] {
            user.enters(reading).await;
            user.settles().await;
        }
        let read = user.kept_job().await;
        assert_eq!(read.pieces[0].readings.len(), 1);
        for _ in 0..12 {
            user.holds(&[Key::Control], 'z').await;
            user.settles().await;
        }
        user.waits_to_read("Nothing to undo").await;
        shows(&user, "", Unit::Inch, "undone to the beginning").await;
        let empty = user.kept_job().await;
        assert_eq!(Job { record: vec![], ..empty.clone() }, Job::empty(Unit::Inch));
        assert_eq!(empty.record.len(), 2, "what was read is in the record");
        for _ in 0..12 {
            user.holds(&[Key::Control], 'y').await;
            user.settles().await;
        }
        user.waits_to_read("Nothing to redo").await;
        let again = user.kept_job().await;
        assert_eq!((again.pieces, again.drawing), (read.pieces, read.drawing));
    });
}

#[test]
fn going_back_to_the_job_before_loses_neither_job() {
    run(async {
        let user = User::arrives().await;
        // The example is kept only once something of it was changed.
        user.waits_to_read("xample").await;
        user.clicks(".which", "+").await;
        let example = user.kept_job().await;
        assert_eq!(example.pieces.len(), 3);
        starts_a_job_at_the_bench(&user).await;
        user.enters(".5625").await;
        user.settles().await;
        let read = user.kept_job().await;
        user.shot("replacing-line").await;
        user.clicks(".line", "Go back to it").await;
        shows(&user, "OB-204", Unit::Mm, "back at the example").await;
        assert_eq!(user.kept_job().await, example);
        user.waits_to_read("is under Jobs").await;
        // Its own steps are there, and end at its own beginning.
        user.holds(&[Key::Control], 'z').await;
        user.settles().await;
        user.holds(&[Key::Control], 'z').await;
        user.waits_to_read("Nothing to undo").await;
        assert_eq!(user.kept_job().await.pieces.len(), 2);
        // And the job with the reading is where the line says.
        user.holds(&[Key::Alt], 'j').await;
        user.waits_for("#jobs .shelf button").await;
        user.clicks("#jobs .shelf", "job without a part number").await;
        shows(&user, "", Unit::Inch, "from the shelf").await;
        assert_eq!(user.kept_job().await, read);
    });
}
