//! What was typed and is not understood stops the verdict, is listed and is kept.

use quarterturn_core::callout::Verdict;
use quarterturn_core::entry;
use quarterturn_core::evaluate;
use quarterturn_core::feature::Kind;
use quarterturn_core::findings::{DrawingProblem, Fault, Place, ProblemKind, Weight};
use quarterturn_core::job::{self, DrawingPlace, FeatureField, Job, OutlineField, Relation};
use quarterturn_core::mark::Mark;
use quarterturn_core::sheet::{Extent, Which, pages};
use quarterturn_core::show::reason;

/// A hole that conforms, with everything measured.
fn conforming() -> (Job, usize) {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/notebooks/1-mast-adapter-plate.json");
    let mut job = job::read(&std::fs::read_to_string(path).unwrap()).unwrap();
    let found = evaluate(&job);
    let verdicts = found.pieces[0].features.iter().map(|f| f.verdict);
    let mut fails = verdicts.map(|v| v == Verdict::DoesNotConform);
    job.drawing.features.retain(|_| fails.next() != Some(true));
    let found = evaluate(&job);
    assert_eq!(found.pieces[0].verdict, Verdict::Conforms);
    let one = found.pieces[0].features.iter().position(|f| f.verdict == Verdict::Conforms);
    (job, one.unwrap())
}

#[test]
fn a_callout_a_size_or_a_coordinate_that_is_not_understood_stops_the_verdict() {
    for (field, typed, word) in [
        (FeatureField::Position, "-0.01 | A | B | C", "callout"),
        (FeatureField::Size, "1 1/2", "size"),
        (FeatureField::X, "999999", "X"),
        (FeatureField::Datums, "A-B", "list of datums"),
    ] {
        for with_callout in [true, false] {
            let (mut job, index) = conforming();
            if !with_callout {
                // As it was first typed: nothing stands beside it.
                job.drawing.features[index].callouts.clear();
                job.drawing.features[index].size = None;
                assert_eq!(evaluate(&job).pieces[0].verdict, Verdict::Conforms);
            }
            job.drawing.features[index].set_refused(field, Some(typed));
            let found = evaluate(&job);
            let (piece, feature) = (&found.pieces[0], &found.pieces[0].features[index]);
            assert_eq!(piece.verdict, Verdict::CannotBeJudged);
            assert_eq!(feature.verdict, Verdict::CannotBeJudged);
            assert!(matches!(feature.fault, Some(Fault::NotUnderstood(_))));
            assert_eq!(piece.tally.unjudged, 1);
            let says = reason(feature, &job.drawing);
            assert_eq!(says, format!("its {word} as typed is not understood: {typed}"));
            let listed = found.problems.iter().find(|p| {
                matches!(p.what, ProblemKind::Drawing(DrawingProblem::NotUnderstood { .. }))
            });
            let listed = listed.unwrap();
            assert_eq!((listed.weight, &listed.place), (Weight::Stops, &Place::Feature(index)));
            assert!(listed.says().contains(typed), "{}", listed.says());
            let again = job::read(&job::write(&job)).unwrap();
            assert_eq!(again, job);
            job.drawing.features[index].set_refused(field, None);
            assert_eq!(evaluate(&job).pieces[0].verdict, Verdict::Conforms);
        }
    }
}

#[test]
fn the_sheet_lists_it() {
    let (mut job, index) = conforming();
    job.drawing.features[index].callouts.clear();
    job.drawing.features[index].size = None;
    let typed = "0.1 max A";
    job.drawing.features[index].set_refused(FeatureField::Position, Some(typed));
    let pages = pages(&job, Which::Piece(0), Extent::Full);
    let marks = pages.into_iter().flat_map(|page| page.marks);
    let texts = marks.filter_map(|m| if let Mark::Text(t) = m { Some(t.text) } else { None });
    let text = texts.collect::<Vec<_>>().join(" ");
    assert!(text.contains(typed), "{text}");
    assert!(text.contains("not understood"), "{text}");
}

#[test]
fn a_file_holds_each_field_once_and_no_empty_text() {
    let (mut job, index) = conforming();
    job.drawing.features[index].set_refused(FeatureField::X, Some("abc"));
    let text = job::write(&job);
    let twice = job.clone();
    let entry = twice.drawing.features[index].not_understood[0].clone();
    let mut twice = twice;
    twice.drawing.features[index].not_understood.push(entry);
    let why = job::read(&job::write(&twice)).unwrap_err();
    assert!(why.place.contains("not_understood[1]"), "{why}");
    let why = job::read(&text.replace("\"abc\"", "\" \"")).unwrap_err();
    assert!(why.place.ends_with("not_understood[0].typed"), "{why}");
}

/// Every place beside the features at which something can be typed, with a relation 20 on the drawing.
fn places() -> Vec<DrawingPlace> {
    let (letter, number) = (|| "A".to_owned(), || "20".to_owned());
    vec![
        DrawingPlace::DatumLetter(letter()),
        DrawingPlace::DatumFeature(letter()),
        DrawingPlace::DatumBoundary(letter()),
        DrawingPlace::LineNumber(number()),
        DrawingPlace::LineRequirement(number()),
        DrawingPlace::FurtherLine,
        DrawingPlace::Outline(OutlineField::Left),
        DrawingPlace::Outline(OutlineField::Bottom),
        DrawingPlace::Outline(OutlineField::Width),
        DrawingPlace::Outline(OutlineField::Height),
    ]
}

/// A piece that conforms, with datum A and a conforming line 20.
fn with_a_line() -> Job {
    let (mut job, index) = conforming();
    let holes = job.drawing.features.iter().filter(|f| f.kind == Kind::Hole);
    let holes: Vec<String> = holes.take(2).map(|f| f.number.clone()).collect();
    let typed = format!("centres {} {} 1 to 100", holes[0], holes[1]);
    let kind = entry::relation(&typed, job.drawing.unit).unwrap();
    job.drawing.relations = vec![Relation { number: "20".to_owned(), kind, note: String::new() }];
    assert!(job.drawing.datums.iter().any(|d| d.letter == "A"));
    assert!(index < job.drawing.features.len());
    assert_eq!(evaluate(&job).pieces[0].verdict, Verdict::Conforms);
    job
}

#[test]
fn a_text_of_a_datum_a_line_or_the_outline_stops_the_verdict() {
    let typed = "?? 7 to 8";
    for place in places() {
        let mut job = with_a_line();
        let before = evaluate(&job).pieces[0].tally;
        job.drawing.set_refused(&place, Some(typed));
        let found = evaluate(&job);
        let piece = &found.pieces[0];
        assert_eq!(piece.verdict, Verdict::CannotBeJudged, "{place:?}");
        assert_eq!(piece.tally.unjudged, 1, "{place:?}");
        // A line that conformed by what it asked before conforms no longer.
        let of_line = matches!(place, DrawingPlace::LineRequirement(_));
        assert_eq!(piece.tally.conform, before.conform - usize::from(of_line));
        let listed = found.problems.iter().find(|p| p.says().contains(typed)).unwrap();
        assert_eq!((listed.weight, &listed.place), (Weight::Stops, &Place::Drawing));
        let pages = pages(&job, Which::Piece(0), Extent::Full);
        let marks = pages.into_iter().flat_map(|page| page.marks);
        let texts = marks.filter_map(|m| if let Mark::Text(t) = m { Some(t.text) } else { None });
        let text = texts.collect::<Vec<_>>().join(" ");
        assert!(text.contains("not understood") && text.contains(typed), "{place:?}: {text}");
        assert_eq!(job::read(&job::write(&job)).unwrap(), job);
        job.drawing.set_refused(&place, None);
        assert_eq!(evaluate(&job).pieces[0].tally, before);
    }
}

#[test]
fn a_kept_text_goes_with_its_datum_or_line() {
    let mut job = with_a_line();
    for place in places() {
        job.drawing.set_refused(&place, Some("??"));
    }
    job.drawing.rename_datum(0, "Z");
    job.renumber_relation(0, "30");
    let of = |place| job.drawing.refused(&place);
    assert_eq!(of(DrawingPlace::DatumFeature("Z".to_owned())), Some("??"));
    assert_eq!(of(DrawingPlace::DatumFeature("A".to_owned())), None);
    assert_eq!(of(DrawingPlace::LineRequirement("30".to_owned())), Some("??"));
    job.drawing.remove_datum(0);
    job.drawing.remove_relation(0);
    let left: Vec<_> = job.drawing.not_understood.iter().map(|n| n.place.clone()).collect();
    assert_eq!(left, places()[5..]);
}

#[test]
fn a_file_holds_each_place_once_and_only_of_what_is_on_the_drawing() {
    let place = DrawingPlace::DatumBoundary("A".to_owned());
    let mut job = with_a_line();
    job.drawing.set_refused(&place, Some("??"));
    let mut twice = job.clone();
    twice.drawing.not_understood.push(twice.drawing.not_understood[0].clone());
    let why = job::read(&job::write(&twice)).unwrap_err();
    assert!(why.place.contains("not_understood[1]"), "{why}");
    let why = job::read(&job::write(&job).replace("\"??\"", "\" \"")).unwrap_err();
    assert!(why.place.ends_with("not_understood[0].typed"), "{why}");
    job.drawing.not_understood[0].place = DrawingPlace::LineNumber("99".to_owned());
    let why = job::read(&job::write(&job)).unwrap_err();
    assert!(why.to_string().contains("line 99 is not on the drawing"), "{why}");
}
