//! Tables pasted on the Drawing: their columns are shown with a meaning that can be changed by
//! keyboard and is remembered, and nothing is dropped in silence.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::quantity::Figure;
use quarterturn_tests::{User, run};

/// A new metric job with the cursor in the empty row of the table.
async fn begins(user: &User) {
    user.begins_in_mm().await;
    goes_into_the_table(user).await;
}

async fn goes_into_the_table(user: &User) {
    user.goes_into_the_table().await;
    user.holds(&[Key::Control], char::from(Key::End)).await;
}

/// Pastes a text where the cursor is, as the browser does.
async fn pastes(user: &User, text: &str) {
    let text = serde_json::to_string(text).unwrap();
    user.runs(&format!(
        "const data = new DataTransfer(); data.setData('text/plain', {text}); \
         document.activeElement.dispatchEvent(new ClipboardEvent('paste', \
         {{clipboardData: data, bubbles: true, cancelable: true}})); return null"
    ))
    .await;
    user.settles().await;
}

/// What the columns mean as the page shows it.
async fn meanings(user: &User) -> Vec<String> {
    let all = user
        .runs("return [...document.querySelectorAll('.pasted select')].map(s => s.selectedOptions[0].text)")
        .await;
    serde_json::from_value(all).unwrap()
}

#[test]
fn columns_get_their_meaning_by_keyboard_and_keep_it_for_the_next_table() {
    run(async {
        let user = User::arrives().await;
        begins(&user).await;
        let before = user.kept_job().await.drawing.features.len();
        let table = "Nr.\tMerkmal\tQuer\tHoch\tDurchmesser\tLieferant\n\
                     1\tBohrung\t10,5\t20\t6,6 ±0,1\tNord\n\
                     2\tLanglochblech\t30\t20\t6,6 ±0,1\tNord\n\
                     3\tLangloch\t50\t20\t6,6 ±0,1\tSüd";
        pastes(&user, table).await;
        user.waits_to_read("Add 2 features").await;
        assert_eq!(
            meanings(&user).await,
            ["number", "kind", "not used", "not used", "size", "not used"]
        );
        // What is not read is said before anything is taken, with line and reason.
        let panel = user.sees(".pasted").await;
        assert!(panel.contains("1 row not read") && panel.contains("Line 3"), "{panel}");
        assert!(panel.contains("Langlochblech"), "{panel}");
        assert!(panel.contains("“Lieferant” (its heading is not known)"), "{panel}");
        assert_eq!(user.kept_job().await.drawing.features.len(), before);
        user.shot("pasting-1-offered").await;

        // By keyboard: the third column is X, the fourth Y, and the last a note.
        for (column, meaning) in [(3, "X"), (4, "Y"), (6, "note")] {
            user.runs(&format!(
                "document.querySelectorAll('.pasted select')[{}].focus(); return null",
                column - 1
            ))
            .await;
            user.chooses(meaning).await;
            user.settles().await;
        }
        assert_eq!(meanings(&user).await, ["number", "kind", "X", "Y", "size", "note"]);
        user.runs("document.querySelector('.pasted .main').focus(); return null").await;
        user.presses(Key::Enter).await;
        user.settles().await;
        let kept = user.kept_job().await;
        let added = &kept.drawing.features[before..];
        assert_eq!(added.len(), 2);
        assert_eq!((added[0].x, added[0].y), (Some(Figure(10.5)), Some(Figure(20.0))));
        assert_eq!(added[1].kind.word(), "slot");
        assert_eq!(added[1].note, "Süd");
        // The row that was not read stays on the screen, whole.
        let panel = user.sees(".pasted").await;
        assert!(panel.contains("2 features pasted"), "{panel}");
        assert!(panel.contains("2 · Langlochblech · 30 · 20 · 6,6 ±0,1 · Nord"), "{panel}");
        user.shot("pasting-2-taken").await;

        // After a reload a table with the same headings is read alike; Escape gives it up.
        user.browser.client.refresh().await.unwrap();
        user.waits_for(".features").await;
        goes_into_the_table(&user).await;
        pastes(&user, &table.replace("\n1\t", "\n7\t").replace("\n3\t", "\n8\t")).await;
        user.waits_to_read("as chosen the last time").await;
        assert_eq!(meanings(&user).await, ["number", "kind", "X", "Y", "size", "note"]);
        user.presses(Key::Escape).await;
        user.settles().await;
        assert_eq!(user.sees(".pasted").await, "");
        assert_eq!(user.kept_job().await.drawing.features.len(), before + 2);

        // Enter takes the rows at once.
        pastes(&user, "no x y\n11 1 2\n12 3 4").await;
        user.waits_to_read("Add 2 features").await;
        user.presses(Key::Enter).await;
        user.settles().await;
        assert_eq!(user.kept_job().await.drawing.features.len(), before + 4);
    });
}

#[test]
fn a_program_for_a_machine_is_refused_as_such() {
    run(async {
        let user = User::arrives().await;
        begins(&user).await;
        let before = user.kept_job().await.drawing.features;
        pastes(&user, "%\nN10 G90 G54\nN20 G81 X10. Y20. Z-5. R2. F100\nN30 X30. Y20.\nM30").await;
        user.waits_to_read("program for a machine").await;
        assert_eq!(user.sees(".pasted").await, "");
        assert_eq!(user.kept_job().await.drawing.features, before);
        user.shot("pasting-3-program").await;
    });
}
