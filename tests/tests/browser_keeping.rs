//! Nothing is lost: reload, tab kill, a malformed file, a panic.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::Locator;
use fantoccini::key::Key;
use quarterturn_tests::{Browser, User, run};
use std::time::Duration;

/// Takes the next reading of the second piece of the example, which is measured in part.
async fn reads(user: &User, text: &str) {
    user.goes_to('2', "Bench").await;
    user.waits_for(".bench-field").await;
    user.settles().await;
    // The first orientation of this piece is complete.
    user.types("]").await;
    user.settles().await;
    user.enters(text).await;
    user.settles().await;
    user.shot("keeping").await;
}

async fn readings(user: &User) -> usize {
    user.kept_job()
        .await
        .pieces
        .iter()
        .flat_map(|p| &p.readings)
        .map(|r| r.low.len() + r.high.len())
        .sum()
}

async fn second_piece(user: &User) {
    user.waits_to_read("xample").await;
    user.holds(&[Key::Alt], char::from(Key::PageDown)).await;
}

#[test]
fn a_reload_in_the_middle_keeps_all_readings() {
    run(async {
        let user = User::arrives().await;
        second_piece(&user).await;
        let before = readings(&user).await;
        reads(&user, "1.2345").await;
        assert_eq!(readings(&user).await, before + 1);
        user.browser.client.refresh().await.unwrap();
        user.waits_for("header nav").await;
        assert_eq!(readings(&user).await, before + 1);
        // One is still at the bench.
        user.waits_for(".bench-field").await;
    });
}

#[test]
fn a_browser_closed_in_the_middle_keeps_all_readings() {
    run(async {
        let user = User::arrives().await;
        second_piece(&user).await;
        let before = readings(&user).await;
        reads(&user, "1.2345").await;
        let User { browser, server } = user;
        let profile = browser.closes().await;
        let browser = Browser::with_profile(profile, 1366, 768).await;
        let user = User { browser, server };
        user.opens_the_page().await;
        user.waits_to_read("xample").await;
        assert_eq!(readings(&user).await, before + 1);
    });
}

#[test]
fn a_tab_killed_at_once_keeps_the_reading_just_taken() {
    run(async {
        let user = User::arrives().await;
        second_piece(&user).await;
        let before = readings(&user).await;
        // One more page of the browser stays, to go on with.
        let doomed = user.browser.client.window().await.unwrap();
        let spare = user.browser.client.new_window(true).await.unwrap();
        user.browser.client.switch_to_window(doomed).await.unwrap();
        reads(&user, "1.2345").await;
        user.browser.kills_its_tab().await;
        user.browser.client.switch_to_window(spare.handle).await.unwrap();
        user.opens_the_page().await;
        user.waits_to_read("xample").await;
        assert_eq!(readings(&user).await, before + 1);
    });
}

#[test]
fn a_malformed_file_is_refused_with_its_place_and_nothing_is_lost() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        let before = user.kept_text().await;
        let good: serde_json::Value = serde_json::from_str(&before).unwrap();
        let mut wrong = good.clone();
        wrong["drawing"]["features"][2]["x"] = "here".into();
        let mut newer = good;
        newer["version"] = 7.into();
        for (name, text, says) in [
            ("not.json", "{ this is no job".to_owned(), "line 1, column 3"),
            ("wrong.json", wrong.to_string(), "drawing.features[2].x"),
            ("newer.json", newer.to_string(), "version 7"),
            ("other.json", "{\"format\": \"something else\"}".to_owned(), "not a Quarterturn job"),
        ] {
            let path = user.browser.downloads.join(name);
            std::fs::write(&path, text).unwrap();
            let input = user.browser.client.find(Locator::Css("input[type=file]")).await.unwrap();
            input.send_keys(path.to_str().unwrap()).await.unwrap();
            user.waits_to_read(says).await;
            assert_eq!(user.kept_text().await, before, "{name}");
        }
    });
}

#[test]
fn a_save_that_cannot_be_read_is_kept_and_said() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.runs_until_done(
            "const id = localStorage.getItem('quarterturn.open'); \
             const opening = indexedDB.open('quarterturn'); \
             opening.onsuccess = () => { \
                 const t = opening.result.transaction('documents', 'readwrite'); \
                 t.objectStore('documents').put('{\"format\": \"quarterturn job\", broken', id); \
                 t.oncomplete = () => { opening.result.close(); done(true) } }",
        )
        .await;
        user.browser.client.refresh().await.unwrap();
        user.waits_for("header nav").await;
        user.waits_to_read("read").await;
        let damaged = user
            .runs_until_done(
                "const opening = indexedDB.open('quarterturn'); \
                 opening.onsuccess = () => { \
                     const all = opening.result.transaction('damaged').objectStore('damaged').getAll(); \
                     all.onsuccess = () => { opening.result.close(); done(all.result.join('')) } }",
            )
            .await;
        assert!(damaged.as_str().unwrap().contains("broken"), "{damaged}");
    });
}

#[test]
fn a_panic_in_the_page_says_so_and_leaves_the_job_safe() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        let before = user.kept_text().await;
        // The page loses the means to make anything: what it draws next fails within.
        user.runs(
            "Document.prototype.createElementNS = () => { throw new Error('no more') }; \
             Node.prototype.cloneNode = () => { throw new Error('no more') }; \
             Document.prototype.importNode = () => { throw new Error('no more') }",
        )
        .await;
        user.holds(&[Key::Alt], '2').await;
        user.waits_to_read("Something went wrong in the page").await;
        user.shot("panic").await;
        assert_eq!(user.kept_text().await, before);
        user.browser.client.refresh().await.unwrap();
        user.waits_for("header nav").await;
        assert_eq!(user.kept_text().await, before);
    });
}

#[test]
fn undo_takes_a_reading_back_and_the_record_keeps_it() {
    run(async {
        let user = User::arrives().await;
        second_piece(&user).await;
        let before = user.kept_job().await;
        reads(&user, "1.2345").await;
        user.holds(&[Key::Control], 'z').await;
        tokio::time::sleep(Duration::from_millis(200)).await;
        let after = user.kept_job().await;
        assert_eq!(after.pieces, before.pieces);
        let last = after.record.last().expect("what was taken back is in the record");
        assert_eq!((last.was[0].0.to_bits(), last.now.len()), (1.2345_f64.to_bits(), 0));
    });
}
