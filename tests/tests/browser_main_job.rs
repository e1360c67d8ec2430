//! The whole job by keyboard alone: from an empty drawing to a PDF whose text is held against
//! the findings.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::callout::Verdict;
use quarterturn_core::job::{self, Zero};
use quarterturn_core::show::RequirementRow;
use quarterturn_core::{Job, evaluate};
use quarterturn_tests::{User, check_pdf, pdf_fonts, pdf_text, run};

/// The drawing as the notebook has it: number, kind, axis, X, Y, size, tolerance, modifier.
const FEATURES: [[&str; 8]; 8] = [
    ["1", "hole", "", ".7500", ".7500", ".3750 to .3780", ".010", "M"],
    ["2", "hole", "", "3.2500", ".7500", ".3750 to .3780", ".010", "M"],
    ["3", "hole", "", "3.2500", "2.2500", ".3750 to .3780", ".010", "M"],
    ["4", "hole", "", ".7500", "2.2500", ".3750 to .3780", ".010", "M"],
    ["5", "hole", "", "2.0000", "1.5000", "1.2500 to 1.2510", ".004", ""],
    ["6", "boss", "", "2.0000", ".4200", ".3115 to .3125", ".008", "M"],
    ["8", "hole", "", "3.6000", "1.5000", ".1250 to .1280", ".006", "M"],
    ["7", "slot", "x", "2.0000", "2.6200", ".2480 to .2520", ".008", ""],
];

/// Orientation 1, low and high, in the order of the drawing (slot 7 is not seen in it).
const FIRST: [&str; 14] = [
    "+0.56055", "+0.93680", "+0.56550", "+0.94245", "+2.06605", "+2.44175", "+2.06390", "+2.44030",
    "+0.87340", "+2.12380", "+0.26600", "+0.57780", "+1.43700", "+1.56540",
];

/// Orientation 2.
const SECOND: [&str; 16] = [
    "-0.94005", "-0.56365", "-3.44265", "-3.06555", "-3.43335", "-3.05745", "-0.93710", "-0.56050",
    "-2.62620", "-1.37560", "-2.15820", "-1.84605", "-3.66270", "-3.53410", "-2.12850", "-1.87775",
];

fn notebook() -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/1-mast-adapter-plate.json");
    job::read(&std::fs::read_to_string(path).unwrap()).unwrap()
}

async fn draws(user: &User) {
    user.tabs_to("Part number").await;
    user.types("WX-1140").await;
    user.tabs_to("Name").await;
    user.types("Adapter plate, sensor mast").await;
    user.tabs_to("Revision").await;
    user.types("C").await;
    user.tabs_to("Material").await;
    user.types("aluminium").await;
    user.tabs_to("Width").await;
    user.types("4.000").await;
    user.tabs_to("Height").await;
    user.types("3.000").await;
    // Four tabs on: what is known of the gauge.
    user.tabs_to("Features").await;
    for _ in 0..4 {
        user.presses(Key::Right).await;
    }
    user.settles().await;
    user.tabs_to("Error limit ±").await;
    user.types(".0002").await;
    user.presses(Key::Tab).await;
    user.tabs_to("Instruments").await;
    for _ in 0..4 {
        user.presses(Key::Left).await;
    }
    user.presses(Key::Down).await;
    user.settles().await;
    // Behind the faces B and C that every new drawing has.
    user.holds(&[Key::Control], char::from(Key::End)).await;
    for feature in FEATURES {
        let [number, kind, axis, x, y, size, tolerance, modifier] = feature;
        for (text, applies) in [
            (number, true),
            (kind, true),
            (axis, !axis.is_empty()),
            (x, true),
            (y, true),
            (size, true),
            (tolerance, true),
            (modifier, true),
        ] {
            if applies {
                user.types(text).await;
                user.presses(Key::Tab).await;
            }
        }
        user.enters("A B C").await;
    }
    user.shot("main-1-drawing").await;
}

async fn measures(user: &User) {
    user.goes_to('2', "Bench").await;
    user.waits_to_read("lowest point").await;
    for reading in FIRST {
        user.enters(reading).await;
    }
    user.waits_to_read("Orientation 1 is complete").await;
    user.shot("main-2-bench").await;
    user.presses(Key::Enter).await;
    user.waits_to_read("0 of 16 readings taken").await;
    // Turned clockwise: the right edge on the plate, C on top, the zero on C.
    user.types("s").await;
    user.waits_for("#bench-setup form").await;
    user.settles().await;
    user.tabs_to("+X up").await;
    user.presses(Key::Left).await;
    user.tabs_to("zero").await;
    user.chooses("at face C").await;
    user.shot("main-3-setup").await;
    user.tabs_to("Done").await;
    user.presses(Key::Enter).await;
    for reading in SECOND {
        user.enters(reading).await;
    }
    user.waits_to_read("Every reading of this piece is taken").await;
    user.shot("main-4-bench").await;
}

#[test]
fn from_an_empty_drawing_to_the_pdf_by_keyboard_alone() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.holds(&[Key::Alt], 'j').await;
        user.waits_for("#jobs button").await;
        user.tabs_to("New, in inch").await;
        user.presses(Key::Enter).await;
        draws(&user).await;
        measures(&user).await;

        // What the page keeps is the notebook, figure for figure.
        let kept = user.kept_job().await;
        let wanted = notebook();
        assert_eq!(kept.drawing.features, wanted.drawing.features);
        assert_eq!(kept.drawing.outline, wanted.drawing.outline);
        assert_eq!(kept.plan.orientations[1].up_degrees.to_bits(), 180.0_f64.to_bits());
        assert_eq!(kept.plan.orientations[1].zero, Zero::Feature("C".to_owned()));
        assert_eq!(kept.pieces[0].readings.len(), 15);
        let (found, expected) = (evaluate(&kept), evaluate(&wanted));
        assert_eq!(found.pieces[0].features, expected.pieces[0].features);
        // Two ten-thousandths are coarse for a tolerance of one thousandth, and that is all.
        assert_eq!(found.problems, expected.problems);
        assert_eq!(found.problems.len(), 1, "{:?}", found.problems);

        // The findings screen says the same.
        user.goes_to('3', "").await;
        user.waits_to_read("6 of 8 conform").await;
        user.shot("main-5-findings").await;
        let table = user.sees("table").await;
        for feature in &found.pieces[0].features {
            let Some(p) = &feature.position else { continue };
            let position = RequirementRow::of_position(feature, p, &kept.drawing).measured;
            assert!(
                table.contains(&position),
                "{}: {position} is not in the table: {table}",
                feature.number
            );
        }
        assert_eq!(table.matches("does not conform").count(), 2, "{table}");

        // The PDF holds every figure of the findings and every reading as it was taken.
        user.goes_to('4', "Sheet").await;
        user.waits_for(".paper svg").await;
        user.shot("main-6-sheet").await;
        user.holds(&[Key::Alt], 'd').await;
        // What is open is said first.
        user.waits_for("#open-points").await;
        user.settles().await;
        assert_eq!(user.is_on().await, "Download all the same");
        user.presses(Key::Enter).await;
        let pdf = user.browser.downloaded("pdf").await;
        check_pdf(&pdf);
        let text = pdf_text(&pdf);
        for feature in &found.pieces[0].features {
            let Some(p) = &feature.position else { continue };
            let row = RequirementRow::of_position(feature, p, &kept.drawing);
            for shown in [row.measured, row.margin] {
                assert!(
                    text.contains(&shown),
                    "{}: {shown} is not on the sheet:\n{text}",
                    feature.number
                );
            }
        }
        for reading in FIRST.iter().chain(&SECOND) {
            let shown = reading.replacen('0', "", 1).replace('-', "−");
            let shown =
                if reading[1..].starts_with("0.") { shown } else { reading.replace('-', "−") };
            assert!(text.contains(&shown), "the reading {shown} is not on the sheet:\n{text}");
        }
        let fails = found.pieces[0]
            .features
            .iter()
            .filter(|f| f.verdict == Verdict::DoesNotConform)
            .count();
        assert_eq!(fails, 2);
        assert!(text.contains("6 of 8 conform") && text.contains("open to .3771"), "{text}");
        let fonts = pdf_fonts(&pdf);
        for line in fonts.lines().skip(2) {
            let words: Vec<&str> = line.split_whitespace().collect();
            assert!(
                words.windows(3).any(|w| w == ["yes", "yes", "yes"]),
                "not embedded, subset and with text: {line}"
            );
        }
    });
}
