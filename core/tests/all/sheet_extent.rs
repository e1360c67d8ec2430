//! How much a sheet holds: its short form, its header, what it says for a frame that is made of holes.

use crate::build::{Ask, Build, Part, hole, position};
use crate::common;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::Job;
use quarterturn_core::mark::{Mark, Page};
use quarterturn_core::sheet::{Extent, Which, pages};

fn says(page: &Page) -> String {
    let texts = page.marks.iter().filter_map(|m| match m {
        Mark::Text(t) => Some(t.text.as_str()),
        _ => None,
    });
    texts.collect::<Vec<_>>().join(" ")
}

fn demo() -> Job {
    common::job("public/demo-job.json")
}

#[test]
fn the_example_takes_four_pages_and_its_summary_one() {
    for piece in 0..2 {
        let all = pages(&demo(), Which::Piece(piece), Extent::Full);
        assert!(all.len() <= 4, "{} pages", all.len());
        let short = pages(&demo(), Which::Piece(piece), Extent::Short);
        assert_eq!(short.len(), 1);
        // The summary says nothing that the first page of the whole does not say, but for where the
        // rest is to be found.
        assert!(says(&short[0]).contains("on the full sheet"));
    }
}

/// Hole 3 of the first piece can be opened: that is for the shop, and not for the customer.
#[test]
fn the_short_form_says_nothing_of_rework() {
    for which in [Which::Piece(0), Which::EveryPiece] {
        let all = |extent| pages(&demo(), which, extent).iter().map(says).collect::<String>();
        assert!(all(Extent::Full).contains("open to 9.099"));
        let short = all(Extent::Short);
        assert!(!short.contains("open to") && !short.contains("rework"), "{short}");
        assert!(short.contains("does not conform"));
    }
}

#[test]
fn the_header_stands_in_the_title_block_and_lot_and_date_in_every_footer() {
    let mut job = demo();
    let s = &mut job.shipment;
    s.issuer = "Plate and Gauge Laboratory".to_owned();
    s.issuer_address = "1 Surface Street\nFlatford".to_owned();
    s.lot = "L-77".to_owned();
    s.quantity = "500".to_owned();
    s.inspected = "13".to_owned();
    s.approved_by = "A. Head".to_owned();
    s.report_revision = "C".to_owned();
    job.plan.instruments[0].certificate = "K-2026-118".to_owned();
    job.pieces[0].date = "2026-11-27".to_owned();
    let all = pages(&job, Which::Piece(0), Extent::Full);
    let first = says(&all[0]);
    for what in [
        "Plate and Gauge Laboratory, 1 Surface Street, Flatford",
        "L-77",
        "lot size 500",
        "inspected 13",
        "approved by, signature, stamp and date A. Head",
        "LS-0031 rev C",
        "certificate K-2026-118",
    ] {
        let first = first.replace("  ", " ");
        assert!(first.contains(what), "“{what}” is not in {first}");
    }
    for page in &all[1..] {
        let says = says(page);
        assert!(says.contains("L-77") && says.contains("2026-11-27"), "{says}");
    }
}

/// Heights count from the edges; the frame is made of two holes: no reading alone condemns the third.
#[test]
fn a_frame_of_holes_has_no_heights_that_must_not_be_passed() {
    let part = |datums: &[&str]| {
        Part::mm()
            .with(|job| job.set_outline(figure(140.0), figure(100.0)))
            .put_all([
                hole("D", [20.0, 20.0]).limits(10.0, 10.1).position(1.0, &["A", "B", "C"]),
                hole("E", [110.0, 20.0]).limits(10.0, 10.1).position(1.0, &["A", "B", "C"]),
                hole("1", [50.0, 50.0]).limits(10.0, 10.1).asked(position(0.1, datums).at_mmc()),
            ])
            .datum("D", "D")
            .datum("E", "E")
            .job
    };
    let limited = |job: &Job| {
        let index = job.drawing.features.iter().position(|f| f.number == "1").unwrap();
        let ready = Ready::of(job);
        let all = ready.orientations.iter().flat_map(|o| &o.expected);
        all.filter(|e| e.feature == index && e.limit.is_some()).count()
    };
    assert_eq!(limited(&part(&["A", "B", "C"])), 4);
    assert_eq!(limited(&part(&["A", "D", "E"])), 0);
    // From the other edge, the width of the part is in every height.
    let mut other = part(&["A", "B", "C"]);
    let o = other.stand(2);
    o.up_degrees = 180.0;
    o.rest.face = None;
    assert_eq!(limited(&other), 2);
}

const fn figure(value: f64) -> quarterturn_core::quantity::Figure {
    quarterturn_core::quantity::Figure(value)
}
