//! The sheets of a lot as one document: the cover, page numbers through all sheets, bookmarks, and the
//! document as it is written piece by piece.

use crate::common;
use quarterturn_core::callout::Verdict;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::{Callout, Job, Piece};
use quarterturn_core::mark::{Level, Mark, Page, pdf};
use quarterturn_core::quantity::Figure;
use quarterturn_core::sheet::{Extent, Which, about, document, pages};
use quarterturn_core::show::piece_verdict_words;

fn texts(page: &Page) -> Vec<String> {
    fn walk(marks: &[Mark], found: &mut Vec<String>) {
        for mark in marks {
            match mark {
                Mark::Text(text) => found.push(text.text.clone()),
                Mark::Group(group) => walk(&group.marks, found),
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    walk(&page.marks, &mut found);
    found
}

fn says(page: &Page) -> String {
    texts(page).join(" ")
}

/// The example under wider tolerances with so many pieces: as measured, with a hole far off, and without a
/// reading, in turn.
pub(crate) fn lot(count: usize) -> Job {
    let mut job = common::job("public/demo-job.json");
    let good = job.pieces[0].clone();
    for feature in &mut job.drawing.features {
        for Callout::Position(position) in &mut feature.callouts {
            position.tolerance = Figure(position.tolerance.0 + 0.5);
        }
    }
    job.shipment.quantity = "120".to_owned();
    job.pieces = (0..count)
        .map(|i| {
            let mut piece = Piece { serial: format!("L-{:03}", i + 1), ..good.clone() };
            match i % 5 {
                3 => {
                    for r in piece.readings.iter_mut().filter(|r| r.feature == "1") {
                        r.low.iter_mut().chain(&mut r.high).for_each(|v| *v = Figure(v.0 + 1.5));
                    }
                }
                4 => piece.readings.clear(),
                _ => {}
            }
            piece
        })
        .collect();
    job
}

#[test]
fn pages_of_a_lot_are_numbered_through() {
    for (count, extent) in [(7, Extent::Full), (60, Extent::Short), (2, Extent::Short)] {
        let all = pages(&lot(count), Which::EveryPiece, extent);
        for (i, page) in all.iter().enumerate() {
            let number = format!("{} of {}", i + 1, all.len());
            assert!(texts(page).contains(&number), "{number} is not on {}", page.title);
            assert!(page.title.ends_with(&format!("page {number}")), "{}", page.title);
            assert!(says(page).contains("LS-0031"), "every footer names the report");
        }
    }
    // A lot of one has no cover.
    let one = pages(&lot(1), Which::EveryPiece, Extent::Full);
    assert_eq!(one, pages(&lot(1), Which::Piece(0), Extent::Full));
    assert_eq!(pages(&lot(0), Which::EveryPiece, Extent::Full), []);
}

#[test]
fn the_cover_says_which_pieces_conform_and_where_each_is() {
    let job = lot(23);
    let ready = Ready::of(&job);
    let verdicts: Vec<Verdict> =
        (0..23).map(|i| ready.piece(i).map_or(Verdict::NothingAsked, |p| p.verdict)).collect();
    for verdict in [Verdict::Conforms, Verdict::DoesNotConform, Verdict::NotMeasured] {
        assert!(verdicts.contains(&verdict), "{verdicts:?}");
    }
    let all = pages(&job, Which::EveryPiece, Extent::Full);
    let first_of = |serial: &str| {
        all.iter().position(|page| {
            let bookmark = page.bookmarks.first();
            bookmark.is_some_and(|b| {
                b.level == Level::Sheet && b.title.starts_with(&format!("Piece {serial}:"))
            })
        })
    };
    let covers = first_of("L-001").unwrap();
    assert!(covers >= 1);
    let cover = says(&all[0]);
    let count = |verdict| verdicts.iter().filter(|v| **v == verdict).count();
    let headline = format!(
        "23 pieces: {} conform, {} do not conform, {} not fully measured",
        count(Verdict::Conforms),
        count(Verdict::DoesNotConform),
        count(Verdict::NotMeasured)
    );
    assert!(cover.contains(&headline), "{cover}");
    assert!(cover.contains("Do not conform: L-004, L-009, L-014, L-019."), "{cover}");
    assert!(cover.contains("Lot size 120. This report covers 23 pieces."), "{cover}");
    assert!(cover.contains("sampling plan"), "{cover}");
    // Every piece has its row with its verdict and the number of its first page.
    let rows: Vec<String> = all[..covers].iter().flat_map(texts).collect();
    for (piece, verdict) in job.pieces.iter().zip(&verdicts) {
        let at = rows.iter().position(|t| *t == piece.serial).unwrap();
        let row: Vec<&str> = rows[at..]
            .iter()
            .skip(1)
            .map(String::as_str)
            .take_while(|t| !t.starts_with("L-"))
            .collect();
        assert_eq!(row[0], piece_verdict_words(*verdict), "{}", piece.serial);
        let page = (first_of(&piece.serial).unwrap() + 1).to_string();
        assert!(row.contains(&page.as_str()), "{}: page {page} is not in {row:?}", piece.serial);
        if *verdict == Verdict::DoesNotConform {
            let reason = row.join(" ");
            assert!(reason.contains("does not conform: "), "{reason}");
        }
    }
}

#[test]
fn a_cover_of_any_length_knows_where_the_sheets_begin() {
    // So many pieces that the cover takes several pages, and its own numbers get longer.
    let job = lot(100);
    let all = pages(&job, Which::EveryPiece, Extent::Short);
    let page_of = |serial: &str| {
        let title = format!("Piece {serial}:");
        all.iter().position(|p| p.bookmarks.iter().any(|b| b.title.starts_with(&title))).unwrap()
    };
    let first = page_of("L-001");
    assert!(first >= 2, "the cover takes {first} pages");
    let rows: Vec<String> = all[..first].iter().flat_map(texts).collect();
    for serial in ["L-001", "L-050", "L-100"] {
        let at = rows.iter().position(|t| t == serial).unwrap();
        let number = (page_of(serial) + 1).to_string();
        let row: Vec<&String> =
            rows[at + 1..].iter().take_while(|t| !t.starts_with("L-")).collect();
        assert!(row.contains(&&number), "{serial} is on page {number}: {row:?}");
    }
}

#[test]
fn sections_are_bookmarked_under_their_piece() {
    let all = pages(&lot(2), Which::EveryPiece, Extent::Full);
    let marks: Vec<(Level, &str)> =
        all.iter().flat_map(|p| &p.bookmarks).map(|b| (b.level, b.title.as_str())).collect();
    let sheets: Vec<&str> = marks.iter().filter(|m| m.0 == Level::Sheet).map(|m| m.1).collect();
    assert_eq!(sheets.len(), 3, "{sheets:?}");
    assert_eq!(sheets[0], "Lot inspection report");
    for section in ["Uncertainty of the results", "Remarks and records"] {
        let count = marks.iter().filter(|m| **m == (Level::Section, section)).count();
        assert_eq!(count, 2, "{section}: {marks:?}");
    }
    assert!(marks.iter().all(|(_, title)| !title.contains("continued")), "{marks:?}");
    // The orientations of a bench sheet stand under it.
    let bench = pages(&lot(2), Which::Blank(0), Extent::Full);
    let levels: Vec<Level> = bench.iter().flat_map(|p| &p.bookmarks).map(|b| b.level).collect();
    assert_eq!(levels[0], Level::Sheet);
    assert!(levels.len() > 2 && levels[1..].iter().all(|l| *l == Level::Section), "{levels:?}");
}

/// Written page by page or from all pages at once, the document holds the same.
#[test]
fn a_document_holds_the_pages_that_are_shown() {
    let job = lot(3);
    let about = about(&job, Which::EveryPiece, Extent::Full, 9);
    assert!(about.title.contains("3 pieces"), "{}", about.title);
    let streamed = document(&job, Which::EveryPiece, Extent::Full, 9).unwrap();
    let all = pages(&job, Which::EveryPiece, Extent::Full);
    let whole = lopdf::Document::load_mem(&pdf(&all, &about).unwrap()).unwrap();
    let streamed = lopdf::Document::load_mem(&streamed).unwrap();
    assert_eq!(streamed.get_pages().len(), all.len());
    assert_eq!(whole.get_pages().len(), all.len());
    assert!(document(&job, Which::Piece(3), Extent::Full, 9).is_err());
}
