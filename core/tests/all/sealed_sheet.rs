//! A sheet carries its job, and any byte that is changed in it shows.

use crate::random::Random;
use quarterturn_core::job::{self, Job, fingerprint};
use quarterturn_core::sheet::{Extent, NotASheet, SheetState, Which, document, verify};

const SECONDS: u64 = 1_796_000_000;

fn demo() -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../public/demo-job.json");
    job::read(&std::fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn every_kind_of_sheet_gives_its_job_back_and_is_found_unchanged() {
    let job = demo();
    for (which, extent) in [
        (Which::Piece(0), Extent::Full),
        (Which::Piece(1), Extent::Short),
        (Which::EveryPiece, Extent::Full),
    ] {
        let found = verify(&document(&job, which, extent, SECONDS).unwrap()).unwrap();
        assert_eq!(found.state, SheetState::Unchanged, "{which:?} {extent:?}");
        assert_eq!(found.job, job);
        assert_eq!(
            (found.made.which, found.made.extent, found.made.seconds),
            (which, extent, SECONDS)
        );
        assert_eq!(found.sha256, fingerprint(&job));
    }
}

#[test]
fn any_byte_that_is_changed_shows() {
    let pdf = document(&demo(), Which::Piece(0), Extent::Short, SECONDS).unwrap();
    let mut random = Random::new(20_261_201);
    let (mut changed, mut unreadable) = (0, 0);
    for _ in 0..120 {
        let mut bytes = pdf.clone();
        let at = random.below(bytes.len());
        bytes[at] ^= 1 << random.below(8);
        match verify(&bytes) {
            Ok(found) => {
                assert_ne!(found.state, SheetState::Unchanged, "byte {at} of {}", bytes.len());
                changed += 1;
            }
            Err(_) => unreadable += 1,
        }
    }
    println!(
        "120 sheets with one bit changed: {changed} found changed, {unreadable} not readable any more"
    );
    // A byte more is one that was changed too.
    let mut longer = pdf;
    longer.push(b'\n');
    assert_eq!(verify(&longer).unwrap().state, SheetState::SheetChanged);
}

#[test]
fn a_sheet_with_another_job_in_it_is_told_from_one_with_another_page() {
    let job = demo();
    let mut other = job.clone();
    other.drawing.revision.push('X');
    let (pdf, wrong) = (
        document(&job, Which::Piece(0), Extent::Short, SECONDS).unwrap(),
        document(&other, Which::Piece(0), Extent::Short, SECONDS).unwrap(),
    );
    // The same document with what it carries exchanged, as with an editor for PDF.
    let swapped = with_the_job_of(&pdf, &wrong);
    assert_eq!(verify(&swapped).unwrap().state, SheetState::JobChanged);
}

/// The document `pdf` with the attached job of `from`.
fn with_the_job_of(pdf: &[u8], from: &[u8]) -> Vec<u8> {
    let mut document = lopdf::Document::load_mem(pdf).unwrap();
    let from = lopdf::Document::load_mem(from).unwrap();
    let file = |document: &lopdf::Document| {
        document
            .objects
            .iter()
            .filter_map(|(id, object)| Some((*id, object.as_stream().ok()?)))
            .filter(|(_, s)| {
                s.dict.get(b"Type").and_then(lopdf::Object::as_name).ok() == Some(b"EmbeddedFile")
            })
            .max_by_key(|(_, s)| s.content.len())
            .map(|(id, s)| (id, s.clone()))
            .unwrap()
    };
    let (id, _) = file(&document);
    document.objects.insert(id, file(&from).1.into());
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).unwrap();
    bytes
}

#[test]
fn what_is_no_sheet_says_so() {
    assert_eq!(verify(b"no pdf at all"), Err(NotASheet::NotAPdf));
    assert_eq!(verify(b""), Err(NotASheet::NotAPdf));
    let blank = document(&demo(), Which::Blank(0), Extent::Full, SECONDS).unwrap();
    assert_eq!(verify(&blank), Err(NotASheet::NoJob));
}
