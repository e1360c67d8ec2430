//! What the page owes everybody: no request to elsewhere, no barrier, a start without delay.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_tests::{User, need, run};
use serde_json::Value;

const SCREENS: [(char, &str); 4] =
    [('1', "drawing"), ('2', "bench"), ('3', "findings"), ('4', "sheet")];

#[test]
fn no_screen_has_an_accessibility_violation() {
    let axe = std::fs::read_to_string(need("QUARTERTURN_AXE")).unwrap();
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        let mut found = Vec::new();
        for (key, name) in SCREENS {
            user.holds(&[Key::Alt], key).await;
            tokio::time::sleep(std::time::Duration::from_millis(500)).await;
            user.shot(&format!("axe-{name}")).await;
            user.runs(&axe).await;
            let result = user
                .browser
                .client
                .execute_async(
                    "const done = arguments[arguments.length - 1]; \
                     axe.run(document).then(r => done(r.violations.map(v => v.id + ': ' + v.help + ' ' + \
                     v.nodes.map(n => n.html.slice(0, 160)).join(' | '))), e => done([String(e)]))",
                    vec![],
                )
                .await
                .unwrap();
            for violation in result.as_array().unwrap() {
                found.push(format!("{name}: {}", violation.as_str().unwrap_or_default()));
            }
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    });
}

#[test]
fn no_request_leaves_the_pages_own_origin() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        for (key, _) in SCREENS {
            user.holds(&[Key::Alt], key).await;
            tokio::time::sleep(std::time::Duration::from_millis(300)).await;
        }
        user.holds(&[Key::Alt], 'd').await;
        user.waits_for("#open-points").await;
        user.holds(&[Key::Alt], 'd').await;
        user.browser.downloaded("pdf").await;
        let loaded = user
            .runs("return performance.getEntriesByType('resource').map(e => e.name).concat([location.href])")
            .await;
        let loaded: Vec<&str> =
            loaded.as_array().unwrap().iter().filter_map(Value::as_str).collect();
        assert!(loaded.len() > 4, "{loaded:?}");
        let own = |name: &&&str| {
            name.starts_with(&user.server.address)
                || name.starts_with("blob:")
                || name.starts_with("data:")
        };
        let foreign: Vec<_> = loaded.iter().filter(|n| !own(n)).collect();
        assert!(foreign.is_empty(), "{foreign:?}");
        // And the page's policy forbids it to whatever may come.
        let refused = user
            .browser
            .client
            .execute_async(
                "const done = arguments[0]; fetch('http://127.0.0.2:9/').then(() => done('went'), e => done('refused'))",
                vec![],
            )
            .await
            .unwrap();
        assert_eq!(refused, "refused");
        let policy = user
            .runs(
                "return document.querySelector('meta[http-equiv=Content-Security-Policy]').content",
            )
            .await;
        assert!(policy.as_str().unwrap().contains("connect-src 'self'"), "{policy}");
    });
}

/// The writer of PDFs is not loaded before one is wanted.
#[test]
fn the_page_opens_without_the_writer_of_pdfs() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        let asked = user.server.asked();
        assert!(asked.iter().any(|a| a.ends_with("quarterturn-app_bg.wasm")), "{asked:?}");
        assert!(!asked.iter().any(|a| a.contains("press")), "{asked:?}");
    });
}
