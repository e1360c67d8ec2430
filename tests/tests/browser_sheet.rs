//! The Sheet screen: what goes into the document, what is open before it is made, and the same pages from
//! the printer.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use fantoccini::wd::{PrintConfiguration, PrintMargins, PrintSize};
use quarterturn_core::sheet::{SheetState, verify};
use quarterturn_tests::{User, check_pdf, pdf_info, pdf_pages, pdf_text, run_within};

async fn previewed(user: &User) -> usize {
    user.settles().await;
    let count = user.runs("return document.querySelectorAll('.paper svg').length").await;
    usize::try_from(count.as_u64().unwrap()).unwrap()
}

/// Chooses among the radio buttons of a group: the one after the one that is called `from`.
async fn chooses_after(user: &User, from: &str, to: &str) {
    user.tabs_to(from).await;
    user.presses(Key::Right).await;
    user.settles().await;
    assert_eq!(user.is_on().await, to);
}

async fn arrives_at_the_sheet() -> User {
    let user = User::arrives().await;
    user.waits_to_read("xample").await;
    user.listens_for_errors().await;
    user.goes_to('4', "Sheet").await;
    user.waits_for(".paper svg").await;
    user
}

/// Makes the document, whatever is open, and gives its file.
async fn downloads(user: &User, name: &str) -> std::path::PathBuf {
    user.holds(&[Key::Alt], 'd').await;
    user.settles().await;
    if user.is_on().await == "Download all the same" {
        user.presses(Key::Enter).await;
    }
    for _ in 0..200 {
        let file = user.browser.downloads.join(name);
        if file.is_file() {
            return file;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    let files: Vec<_> = std::fs::read_dir(&user.browser.downloads).unwrap().flatten().collect();
    panic!("no {name}: {files:?}");
}

#[test]
fn the_document_holds_what_is_chosen() {
    run_within(180, async {
        let user = arrives_at_the_sheet().await;
        let full = previewed(&user).await;
        let pdf = downloads(&user, "OB-204-rev-B-A-001.pdf").await;
        check_pdf(&pdf);
        assert_eq!(pdf_pages(&pdf), full);

        chooses_after(&user, "This piece", "Every piece").await;
        let every = previewed(&user).await;
        assert!(every > 2 * full, "the cover and both pieces: {every} pages");
        user.shot("sheet-1-every-piece").await;
        let pdf = downloads(&user, "OB-204-rev-B-2-pieces.pdf").await;
        check_pdf(&pdf);
        assert_eq!(pdf_pages(&pdf), every);
        let text = pdf_text(&pdf);
        assert!(text.contains("Lot inspection report"), "{text}");
        assert!(text.contains(&format!("{every} of {every}")), "{text}");
        let info = pdf_info(&pdf);
        assert!(info.contains("OB-204") && info.contains("2 pieces"), "{info}");
        assert!(info.contains("Metadata Stream: yes"), "{info}");

        user.tabs_to("Full record").await;
        user.presses(Key::Left).await;
        assert_eq!(previewed(&user).await, 3, "the cover and a page for each piece");
        let pdf = downloads(&user, "OB-204-rev-B-2-pieces-short.pdf").await;
        assert_eq!(pdf_pages(&pdf), 3);
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}

#[test]
fn what_is_open_is_said_before_the_document_is_made() {
    run_within(120, async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.listens_for_errors().await;
        // A reading of the example is taken away.
        let mut job = user.kept_job().await;
        job.pieces[0].readings.retain(|r| r.feature != "1");
        let file = user.browser.downloads.join("open.json");
        std::fs::write(&file, quarterturn_core::job::write(&job)).unwrap();
        user.opens_a_file(&file).await;
        user.waits_to_read("OB-204").await;
        user.goes_to('4', "Sheet").await;
        user.waits_for(".paper svg").await;
        user.holds(&[Key::Alt], 'd').await;
        user.waits_for("#open-points").await;
        user.settles().await;
        user.shot("sheet-2-open").await;
        assert_eq!(user.is_on().await, "Download all the same");
        let list = user.sees("#open-points").await;
        assert!(list.contains("not fully measured"), "{list}");
        // Escape leaves it alone; nothing was made.
        user.presses(Key::Escape).await;
        user.settles().await;
        assert_eq!(user.sees("#open-points").await, "");
        let made = || {
            std::fs::read_dir(&user.browser.downloads)
                .unwrap()
                .flatten()
                .any(|f| f.path().extension().is_some_and(|e| e == "pdf"))
        };
        assert!(!made());
        let pdf = downloads(&user, "OB-204-rev-B-A-001.pdf").await;
        check_pdf(&pdf);
        assert_eq!(user.sees("#open-points").await, "");
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}

#[test]
fn the_printer_gets_the_pages_that_are_shown() {
    run_within(180, async {
        let user = arrives_at_the_sheet().await;
        for (paper, size) in [("A4", (29.7, 21.0)), ("Letter", (27.94, 21.59))] {
            if paper == "Letter" {
                chooses_after(&user, "A4", "Letter").await;
            }
            for shown in ["This piece", "Every piece"] {
                if shown == "Every piece" {
                    chooses_after(&user, "This piece", "Every piece").await;
                }
                let pages = previewed(&user).await;
                let print = PrintConfiguration::builder()
                    .size(PrintSize { width: size.0, height: size.1 })
                    .margins(PrintMargins { top: 0.0, bottom: 0.0, left: 0.0, right: 0.0 })
                    .shrink_to_fit(false)
                    .build()
                    .unwrap();
                let bytes = user.browser.client.print(print).await.unwrap();
                let file = user.browser.downloads.join(format!("{paper}-{pages}.pdf"));
                std::fs::write(&file, bytes).unwrap();
                assert_eq!(pdf_pages(&file), pages, "{paper}, {shown}");
                // Each page has its own number, so none is blank and none is torn.
                let text = pdf_text(&file);
                let sheets: Vec<&str> = text.trim_end_matches('\u{c}').split('\u{c}').collect();
                assert_eq!(sheets.len(), pages);
                for (i, sheet) in sheets.iter().enumerate() {
                    let number = format!("{} of {pages}", i + 1);
                    assert!(sheet.contains(&number), "{paper}, {shown}: no {number}:\n{sheet}");
                }
                let info = pdf_info(&file);
                let (wide, high) = (size.0 / 2.54 * 72.0, size.1 / 2.54 * 72.0);
                let line = info.lines().find(|l| l.starts_with("Page size")).unwrap();
                let found: Vec<f64> =
                    line.split_whitespace().filter_map(|w| w.parse().ok()).collect();
                assert!(
                    (found[0] - wide).abs() < 1.0 && (found[1] - high).abs() < 1.0,
                    "{paper}: {line}"
                );
            }
            user.tabs_to("Every piece").await;
            user.presses(Key::Left).await;
            user.settles().await;
        }
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}

#[test]
fn a_sheet_dropped_on_the_page_opens_its_job_and_says_whether_it_is_unchanged() {
    run_within(120, async {
        let user = arrives_at_the_sheet().await;
        let job = user.kept_job().await;
        user.holds(&[Key::Alt], 'd').await;
        user.settles().await;
        if user.is_on().await == "Download all the same" {
            user.presses(Key::Enter).await;
        }
        let pdf = std::fs::read(user.browser.downloaded("pdf").await).unwrap();
        // The same program says the same of it outside the browser.
        let found = verify(&pdf).unwrap();
        assert_eq!((found.state, &found.job), (SheetState::Unchanged, &job));
        user.drops_bytes("sheet.pdf", &pdf).await;
        user.waits_to_read("belong together, and nothing was changed").await;
        assert_eq!(user.kept_job().await, job);
        // Text that a page shows is changed as an editor would: the job is the same, the sheet is not.
        let mut changed = pdf.clone();
        let at = changed.windows(6).position(|w| w == b"/Title").expect("a title") + 12;
        changed[at] ^= 1;
        user.drops_bytes("changed.pdf", &changed).await;
        user.waits_to_read("but the PDF itself was changed").await;
        // What is no sheet is refused, and what is open stays.
        user.drops_bytes("other.pdf", b"%PDF-1.4 nothing in it").await;
        user.waits_to_read("other.pdf was not opened").await;
        assert_eq!(user.kept_job().await, job);
    });
}
