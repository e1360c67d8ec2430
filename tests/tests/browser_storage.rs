//! Where the jobs are kept: taken over from an earlier version, shared by two tabs, cleared, full, denied.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::Job;
use quarterturn_core::job::{self, Touch};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_tests::{Browser, Server, User, run};
use serde_json::json;
use std::time::Duration;

/// A small job that is easy to know again.
fn small(part: &str) -> Job {
    let mut job = Job::empty(Unit::Mm);
    job.drawing.part_number = part.to_owned();
    job.pieces[0].set_values(1, "C", Touch::Face, vec![Figure(12.345)]);
    job
}

/// Changes the revision on the Drawing screen to `text`.
async fn changes_the_revision(user: &User, text: &str) {
    user.goes_to('1', "Drawing").await;
    user.settles().await;
    user.runs("document.activeElement && document.activeElement.blur()").await;
    user.tabs_to("Revision").await;
    user.types(text).await;
    user.presses(Key::Tab).await;
}

#[test]
fn jobs_that_an_earlier_version_kept_are_taken_over_and_go_when_that_is_proven() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        let label =
            json!({"revision": 7, "tab": "t", "when": "2999-01-01 00:00:00", "title": "OLD-1"});
        let entry = format!("{label}\n{}", job::write_compact(&small("OLD-1")));
        user.runs(&format!(
            "localStorage.setItem('quarterturn.job.0123456789abcdef', {entry:?}); \
             localStorage.setItem('quarterturn.open', '0123456789abcdef'); sessionStorage.clear()"
        ))
        .await;
        let old = "return localStorage.getItem('quarterturn.job.0123456789abcdef')";
        user.browser.client.refresh().await.unwrap();
        user.waits_to_read("OLD-1").await;
        let taken = job::read(&user.kept_text_of("0123456789abcdef").await).unwrap();
        assert_eq!(taken, small("OLD-1"));
        assert_eq!(user.runs(old).await, entry.as_str(), "the old entry is untouched");
        user.browser.client.refresh().await.unwrap();
        user.waits_to_read("OLD-1").await;
        assert!(user.runs(old).await.is_null(), "the copy has outlived its page");
        let taken = job::read(&user.kept_text_of("0123456789abcdef").await).unwrap();
        assert_eq!(taken, small("OLD-1"));
    });
}

#[test]
fn a_second_tab_is_told_and_what_it_changes_becomes_a_copy() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.drops_a_file("job.json", &job::write_compact(&small("TWO-1"))).await;
        user.waits_to_read("TWO-1").await;
        let (first_id, first_text) = (user.open_id().await, user.kept_text().await);
        let first = user.browser.client.window().await.unwrap();
        let second = user.browser.client.new_window(true).await.unwrap().handle;
        user.browser.client.switch_to_window(second.clone()).await.unwrap();
        user.opens_the_page().await;
        user.waits_to_read("open in another tab").await;
        changes_the_revision(&user, "B").await;
        user.waits_to_read("goes on as a copy").await;
        let copy = user.kept_job().await;
        assert_eq!(copy.drawing.revision, "B");
        assert_ne!(user.open_id().await, first_id);
        assert_eq!(user.kept_text_of(&first_id).await, first_text);
        // The first tab goes on with its job, and is told nothing.
        user.browser.client.switch_to_window(first).await.unwrap();
        changes_the_revision(&user, "C").await;
        tokio::time::sleep(Duration::from_millis(300)).await;
        assert_eq!(user.open_id().await, first_id);
        assert_eq!(user.kept_job().await.drawing.revision, "C");
        user.browser.client.close_window().await.unwrap();
        user.browser.client.switch_to_window(second).await.unwrap();
        assert_eq!(user.kept_job().await.drawing.revision, "B");
    });
}

#[test]
fn a_job_whose_tab_was_closed_is_free_for_the_next_one() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.drops_a_file("job.json", &job::write_compact(&small("ONE-1"))).await;
        user.waits_to_read("ONE-1").await;
        let (id, first) = (user.open_id().await, user.browser.client.window().await.unwrap());
        user.kept_text().await;
        let second = user.browser.client.new_window(true).await.unwrap().handle;
        user.browser.client.switch_to_window(second.clone()).await.unwrap();
        user.opens_the_page().await;
        user.waits_to_read("open in another tab").await;
        user.browser.client.switch_to_window(first).await.unwrap();
        user.browser.client.close_window().await.unwrap();
        user.browser.client.switch_to_window(second).await.unwrap();
        user.waits_to_lose("open in another tab").await;
        changes_the_revision(&user, "D").await;
        tokio::time::sleep(Duration::from_millis(300)).await;
        assert_eq!(user.kept_job().await.drawing.revision, "D");
        assert_eq!(user.open_id().await, id, "it is no copy");
    });
}

#[test]
fn what_the_user_clears_while_the_page_is_open_is_written_again_by_the_next_change() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.drops_a_file("job.json", &job::write_compact(&small("CLEAR-1"))).await;
        user.waits_to_read("CLEAR-1").await;
        user.kept_text().await;
        let origin = user.server.address.trim_end_matches('/');
        user.browser
            .asks_devtools(
                "Storage.clearDataForOrigin",
                json!({"origin": origin, "storageTypes": "indexeddb"}),
            )
            .await;
        changes_the_revision(&user, "E").await;
        user.waits_to_read("all changes kept").await;
        let kept = user.kept_job().await;
        assert_eq!(kept.drawing.revision, "E");
        assert_eq!(kept.pieces, small("CLEAR-1").pieces);
    });
}

#[test]
fn a_full_disk_is_said_and_the_job_can_be_saved_to_a_file() {
    run(async {
        let (server, browser) = (Server::start(), Browser::start(1366, 768).await);
        let origin = server.address.trim_end_matches('/').to_owned();
        let quota = |size| json!({"origin": origin, "quotaSize": size});
        browser.asks_devtools("Storage.overrideQuotaForOrigin", quota(1)).await;
        let user = User { browser, server };
        user.opens_the_page().await;
        user.waits_to_read("no room").await;
        user.drops_a_file("job.json", &job::write_compact(&small("FULL-1"))).await;
        user.waits_to_read("FULL-1").await;
        changes_the_revision(&user, "F").await;
        user.holds(&[Key::Control], 's').await;
        let saved = user.browser.downloaded("json").await;
        let saved = job::read(&std::fs::read_to_string(saved).unwrap()).unwrap();
        assert_eq!(saved.drawing.revision, "F");
        // With room again the next change is kept, and with it what was not.
        user.browser.asks_devtools("Storage.overrideQuotaForOrigin", quota(1_000_000_000)).await;
        changes_the_revision(&user, "G").await;
        user.waits_to_read("all changes kept").await;
        assert_eq!(user.kept_job().await.drawing.revision, "G");
    });
}

#[test]
fn a_browser_that_keeps_nothing_is_said_to_and_the_page_works() {
    run(async {
        let user = User::arrives().await;
        let denied = "Object.defineProperty(window, 'indexedDB', { get() { throw new DOMException('no', 'SecurityError') } }); \
             Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError') } }); \
             Object.defineProperty(window, 'sessionStorage', { get() { throw new DOMException('no', 'SecurityError') } });";
        user.browser
            .asks_devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": denied }))
            .await;
        user.browser.client.refresh().await.unwrap();
        user.waits_for("header nav").await;
        user.waits_to_read("xample").await;
        user.waits_to_read("keep nothing").await;
        user.drops_a_file("job.json", &job::write_compact(&small("DENY-1"))).await;
        user.waits_to_read("DENY-1").await;
        changes_the_revision(&user, "H").await;
        user.holds(&[Key::Control], 's').await;
        let saved = user.browser.downloaded("json").await;
        let saved = job::read(&std::fs::read_to_string(saved).unwrap()).unwrap();
        assert_eq!(saved.drawing.revision, "H");
    });
}
