//! The Drawing by keyboard: what is not understood is kept and stops the verdict; datums take their
//! faces; what a removal leaves behind is said.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::callout::Verdict;
use quarterturn_core::evaluate;
use quarterturn_core::job::{DrawingPlace, FeatureField, Touch};
use quarterturn_core::quantity::Figure;
use quarterturn_tests::{User, run};

/// A new metric job with the cursor in the empty row of the table.
async fn begins(user: &User) {
    user.begins_in_mm().await;
    user.goes_into_the_table().await;
    user.holds(&[Key::Control], char::from(Key::End)).await;
}

/// Types the cells of a row one after the other.
async fn row(user: &User, cells: &[&str]) {
    for cell in cells {
        user.types(cell).await;
        user.presses(Key::Tab).await;
    }
}

/// What stands in red in the table.
async fn red(user: &User) -> String {
    user.sees(".features .wrong").await
}

#[test]
fn a_callout_that_is_not_understood_is_kept_and_stops_the_verdict() {
    run(async {
        let user = User::arrives().await;
        begins(&user).await;
        let typed = "-0.01 | A | B | C";
        row(&user, &["1", "hole", "10", "20", "10 ±0.1", typed]).await;
        user.waits_to_read("kept as it was typed").await;
        assert!(red(&user).await.starts_with(typed));
        let kept = user.kept_job().await;
        let hole = kept.drawing.features.last().unwrap();
        assert_eq!(hole.refused(FeatureField::Position), Some(typed));
        assert!(user.sees(".problems").await.contains(typed));

        // Undo takes it back, redo brings it again.
        user.presses(Key::Escape).await;
        user.settles().await;
        user.holds(&[Key::Control], 'z').await;
        user.settles().await;
        assert_eq!(red(&user).await, "");
        user.holds(&[Key::Control], 'y').await;
        user.settles().await;
        assert!(red(&user).await.starts_with(typed));

        // It is there after a reload, and Findings does not say that the piece conforms.
        user.browser.client.refresh().await.unwrap();
        user.waits_for(".features .wrong").await;
        assert!(red(&user).await.starts_with(typed));
        user.shot("drawing-1-kept").await;
        user.goes_to('3', "").await;
        user.waits_to_read("cannot be judged").await;
        user.waits_to_read("its callout as typed is not understood").await;
        user.shot("drawing-2-findings").await;
        let kept = user.kept_job().await;
        assert_eq!(evaluate(&kept).pieces[0].verdict, Verdict::CannotBeJudged);

        // Bars may be left out; then nothing is in red.
        user.goes_to('1', "Drawing").await;
        user.clicks(".problems", "Stops a result: The callout of hole 1").await;
        user.settles().await;
        user.enters("0.1 M A B C").await;
        user.settles().await;
        assert_eq!(red(&user).await, "");
        let kept = user.kept_job().await;
        let hole = kept.drawing.features.last().unwrap();
        assert!(hole.not_understood.is_empty());
        assert_eq!(hole.position().unwrap().datums.len(), 3);
        assert_ne!(evaluate(&kept).pieces[0].verdict, Verdict::CannotBeJudged);
    });
}

#[test]
fn a_text_of_the_datums_that_is_not_understood_is_there_after_a_reload() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.goes_to('1', "Drawing").await;
        user.runs("document.activeElement && document.activeElement.blur()").await;
        user.clicks("[role=tablist]", "Datums").await;
        let cell = "Feature that carries datum 1";
        user.tabs_to(cell).await;
        user.types("the left side").await;
        user.presses(Key::Tab).await;
        user.settles().await;
        let kept = user.kept_job().await;
        let place = DrawingPlace::DatumFeature(kept.drawing.datums[0].letter.clone());
        assert_eq!(kept.drawing.refused(&place), Some("the left side"));
        assert_eq!(evaluate(&kept).pieces[0].verdict, Verdict::DoesNotConform);
        assert_eq!(evaluate(&kept).pieces[0].tally.unjudged, 1);

        // It stands there after a reload, in red with its reason, until it is taken back.
        user.browser.client.refresh().await.unwrap();
        user.waits_to_read("xample").await;
        user.runs("document.activeElement && document.activeElement.blur()").await;
        user.clicks("[role=tablist]", "Datums").await;
        user.tabs_to(cell).await;
        let field = "const f = document.activeElement; return f.value + '|' + f.getAttribute('aria-invalid')";
        assert_eq!(user.runs(field).await, "the left side|true");
        user.shot("drawing-3-datum").await;
        user.presses(Key::Escape).await;
        user.settles().await;
        assert!(user.kept_job().await.drawing.not_understood.is_empty());
    });
}

#[test]
fn a_datum_takes_the_face_of_its_name_and_a_removal_says_what_it_leaves() {
    run(async {
        let user = User::arrives().await;
        begins(&user).await;
        row(&user, &["D", "face", "+x", "80"]).await;
        user.holds(&[Key::Control], char::from(Key::End)).await;
        row(&user, &["1", "hole", "10", "20", "10 ±0.1"]).await;
        user.browser
            .client
            .find(fantoccini::Locator::Css("#section-datums"))
            .await
            .unwrap()
            .click()
            .await
            .unwrap();
        user.clicks("#section", "Add a datum").await;
        user.settles().await;
        let mut kept = user.kept_job().await;
        let datum = kept.drawing.datums.last().unwrap();
        assert_eq!((datum.letter.as_str(), datum.feature.as_deref()), ("D", Some("D")));

        // A job in which the hole was read in one orientation and the datum's face is named.
        kept.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(15.0)]);
        kept.pieces[0].set_values(1, "1", Touch::High, vec![Figure(25.0)]);
        let text = quarterturn_core::job::write(&kept);
        user.drops_a_file("read.json", &text).await;
        user.settles().await;
        user.goes_to('1', "Drawing").await;
        user.goes_into_the_table().await;
        user.holds(&[Key::Control], char::from(Key::End)).await;
        user.presses(Key::Up).await;
        user.holds(&[Key::Control], char::from(Key::Delete)).await;
        user.waits_to_read("hole 1 removed: 2 readings are left without their feature").await;
        user.presses(Key::Up).await;
        user.holds(&[Key::Control], char::from(Key::Delete)).await;
        user.waits_to_read("Datum D stands on feature D, which is not in the table").await;
        user.shot("drawing-3-removed").await;
    });
}

/// Notebook 1 with a basic X changed after the part was measured: 3.2500 to 3.2450 in the mistake that
/// turned a reject into a pass, here the X of hole 1.
#[test]
fn a_basic_coordinate_changed_after_the_first_reading_is_in_the_record_with_its_reason() {
    run(async {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/1-mast-adapter-plate.json");
        let text = std::fs::read_to_string(path).unwrap();
        let job = quarterturn_core::job::read(&text).unwrap();
        let row = job.drawing.features.iter().position(|f| f.number == "1").unwrap();
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.drops_a_file("measured.json", &text).await;
        user.goes_to('1', "Drawing").await;
        user.goes_into_the_table().await;
        user.holds(&[Key::Control], char::from(Key::Home)).await;
        for _ in 0..row {
            user.presses(Key::Down).await;
        }
        user.presses(Key::Tab).await;
        user.presses(Key::Tab).await;
        user.types(".745").await;
        user.presses(Key::Tab).await;
        user.waits_to_read("hole 1: X was .7500, now .7450").await;
        user.settles().await;
        let kept = user.kept_job().await;
        assert_eq!(kept.drawing.features[row].x, Some(Figure(0.745)));
        assert_eq!(kept.document_record.len(), 1);

        let why = fantoccini::Locator::Css(".drawing-record input");
        user.browser.client.find(why).await.unwrap().click().await.unwrap();
        user.types("misread, revision B").await;
        user.presses(Key::Tab).await;
        user.settles().await;
        let kept = user.kept_job().await;
        assert_eq!(kept.document_record[0].why, "misread, revision B");
        assert_eq!(kept.document_record.len(), 1);
        user.shot("drawing-4-changed").await;

        // A step back and forth again is in the record too, and for the same reason.
        user.presses(Key::Escape).await;
        for _ in 0..2 {
            user.holds(&[Key::Control], 'z').await;
            user.settles().await;
        }
        user.holds(&[Key::Control], 'y').await;
        user.settles().await;
        let kept = user.kept_job().await;
        let whys: Vec<&str> = kept.document_record.iter().map(|e| e.why.as_str()).collect();
        assert_eq!(
            (whys.len(), whys[0], whys[2]),
            (3, "misread, revision B", "misread, revision B")
        );
        user.goes_to('4', "Sheet").await;
        user.waits_to_read("Drawing or plan changed after the first reading: 3 changes").await;
    });
}
