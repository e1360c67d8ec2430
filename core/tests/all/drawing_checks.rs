//! What a drawing and its plan lack or contradict, each said once and with its place.

use quarterturn_core::entry::{callouts, relation, size};
use quarterturn_core::findings::{DrawingProblem as D, Place, PlanProblem, ProblemKind, Ready};
use quarterturn_core::job::{
    self, DatumPattern, Feature, Job, Kind, Outline, PatternKind, Piece, Relation,
};
use quarterturn_core::quantity::{Figure, Side, Unit};

/// A metric plate with a bore that is datum B's rival, and two holes, of which nothing is missing.
fn plate() -> Job {
    let mut job = Job::empty(Unit::Mm);
    job.drawing.outline =
        Some(Outline::sized(Figure(0.0), Figure(0.0), Figure(80.0), Figure(60.0)));
    for (number, x, y) in [("1", 10.0, 10.0), ("2", 70.0, 50.0)] {
        job.drawing.features.push(Feature {
            number: number.to_owned(),
            x: Some(Figure(x)),
            y: Some(Figure(y)),
            size: Some(size("10 ±0.1", Unit::Mm).unwrap()),
            callouts: callouts("0.2 M | A | B | C", Unit::Mm).unwrap(),
            ..Feature::default()
        });
    }
    job
}

/// What is said of the drawing and of the data of gauges and pieces: place, problem, sentence.
fn said(job: &Job) -> Vec<(Place, ProblemKind, String)> {
    let problems = Ready::of(job).problems.into_iter();
    let ours =
        problems.filter(|p| matches!(p.what, ProblemKind::Drawing(_) | ProblemKind::Plan(_)));
    ours.map(|p| (p.place.clone(), p.what.clone(), p.says())).collect()
}

fn kinds(job: &Job) -> Vec<(Place, ProblemKind)> {
    said(job).into_iter().map(|(place, what, _)| (place, what)).collect()
}

/// The one problem that `change` makes, and its sentence.
fn made(change: impl FnOnce(&mut Job)) -> (Place, ProblemKind, String) {
    let mut job = plate();
    assert_eq!(kinds(&job), []);
    change(&mut job);
    let mut problems = said(&job);
    assert_eq!(problems.len(), 1, "{problems:?}");
    problems.remove(0)
}

fn set(job: &mut Job, index: usize, text: &str) {
    job.drawing.features[index].callouts = callouts(text, Unit::Mm).unwrap();
}

#[test]
fn a_relation_that_names_what_is_not_there() {
    let (_, what, says) = made(|job| {
        let kind = relation("distance 1 9 along x 40 ±0.1", Unit::Mm).unwrap();
        job.drawing.relations.push(Relation { number: "20".into(), kind, note: String::new() });
    });
    let expected = D::RelationWithoutFeature { relation: "20".into(), features: vec!["9".into()] };
    assert_eq!(what, ProblemKind::Drawing(expected));
    assert!(says.contains("Line 20") && says.contains("9"), "{says}");
    // Deleting a feature that a relation names raises it too.
    let mut job = plate();
    let kind = relation("distance 1 2 along x 60 ±0.1", Unit::Mm).unwrap();
    job.drawing.relations.push(Relation { number: "20".into(), kind, note: String::new() });
    assert_eq!(kinds(&job), []);
    job.drawing.features.retain(|f| f.number != "2");
    assert!(matches!(
        &kinds(&job)[..],
        [(_, ProblemKind::Drawing(D::RelationWithoutFeature { .. }))]
    ));
}

#[test]
fn datums_that_are_not_defined_or_stand_on_nothing() {
    let (place, what, says) = made(|job| set(job, 3, "0.2 M | A | B | D / 0.1 M | A | D"));
    assert_eq!(place, Place::Feature(3));
    let ProblemKind::Drawing(D::DatumNotDefined { letter, features }) = what else {
        panic!("{what:?}")
    };
    assert_eq!((letter.as_str(), &features.features[..]), ("D", &["hole 2".to_owned()][..]));
    assert!(says.contains("hole 2"), "{says}");

    let (_, what, _) = made(|job| {
        let datum = job.drawing.new_datum("D");
        job.drawing.datums.push(job::Datum { feature: Some("7".into()), ..datum });
    });
    let expected = D::DatumWithoutFeature { letter: "D".into(), feature: "7".into() };
    assert_eq!(what, ProblemKind::Drawing(expected));
}

#[test]
fn a_datum_added_takes_the_face_of_its_name_and_one_beside_a_face_is_asked_about() {
    let face = |job: &mut Job, number: &str| {
        job.drawing.features.push(Feature {
            number: number.to_owned(),
            kind: Kind::Face,
            looks: Some(Side::PlusX),
            x: Some(Figure(80.0)),
            ..Feature::default()
        });
    };
    let mut job = plate();
    face(&mut job, "D");
    let datum = job.drawing.new_datum("D");
    assert_eq!(datum.feature.as_deref(), Some("D"));
    assert_eq!(job.drawing.new_datum("E").feature, None);
    // A hole of that number is another thing.
    assert_eq!(job.drawing.new_datum("1").feature, None);
    job.drawing.datums.push(datum);
    assert_eq!(kinds(&job), []);
    // The other way round: a face is typed that has the letter of a datum without a feature.
    let (place, what, says) = made(|job| face(job, "A"));
    assert_eq!(place, Place::Feature(4));
    assert_eq!(what, ProblemKind::Drawing(D::DatumBesideFace { letter: "A".into() }));
    assert!(says.contains("face A"), "{says}");
    // A pattern carries it.
    let mut job = plate();
    let pattern =
        DatumPattern { kind: PatternKind::BestFit, features: vec!["1".into(), "2".into()] };
    job.drawing.datums[0].pattern = Some(pattern);
    face(&mut job, "A");
    assert_eq!(kinds(&job), []);
}

#[test]
fn callouts_that_lack_something() {
    let (place, what, _) = made(|job| job.drawing.features[3].size = None);
    assert_eq!(place, Place::Feature(3));
    assert!(matches!(what, ProblemKind::Drawing(D::ModifierWithoutLimits(_))), "{what:?}");

    let (_, what, _) = made(|job| set(job, 2, "0.2 M"));
    assert!(matches!(what, ProblemKind::Drawing(D::PositionWithoutDatums(_))), "{what:?}");

    let (_, what, _) = made(|job| set(job, 2, "0.2 M | A | B | C / 0.3 | A"));
    assert!(matches!(what, ProblemKind::Drawing(D::LowerSegmentLooser(_))), "{what:?}");
    // As large, to the last digit, is not looser; zones combined need no datum.
    for good in ["0.2 M | A | B | C / 0.2 | A", "0.2 M CZ"] {
        let mut job = plate();
        set(&mut job, 2, good);
        assert_eq!(kinds(&job), [], "{good}");
    }
}

#[test]
fn a_datum_at_its_boundary_without_a_tolerance_of_its_own() {
    let on_hole_1 = |job: &mut Job| {
        job.drawing.datums.push(job::Datum {
            letter: "D".into(),
            feature: Some("1".into()),
            ..job::Datum::default()
        });
        set(job, 3, "0.2 M | A | D(M) | C");
    };
    let (place, what, _) = made(|job| {
        on_hole_1(job);
        job.drawing.features[2].callouts.clear();
    });
    assert_eq!(place, Place::Feature(2));
    assert!(
        matches!(&what, ProblemKind::Drawing(D::BoundaryWithoutTolerance { letter, .. }) if letter == "D"),
        "{what:?}"
    );
    for good in [
        |_: &mut Job| (),
        |job: &mut Job| {
            job.drawing.features[2].callouts.clear();
            job.drawing.datums[3].boundary = Some(Figure(9.9));
        },
    ] {
        let mut job = plate();
        on_hole_1(&mut job);
        good(&mut job);
        assert_eq!(kinds(&job), []);
    }
}

#[test]
fn what_lies_outside_the_outline_is_asked_about() {
    let (place, what, says) = made(|job| job.drawing.features[3].x = Some(Figure(80.1)));
    assert_eq!(place, Place::Feature(3));
    assert!(matches!(what, ProblemKind::Drawing(D::OutsideOutline(_))), "{what:?}");
    assert!(says.starts_with("Hole 2 lies outside"), "{says}");
    // On the edge is not outside.
    let mut job = plate();
    job.drawing.features[3].x = Some(Figure(80.0));
    assert_eq!(kinds(&job), []);
}

#[test]
fn a_class_in_inches_is_asked_about() {
    let of = |unit: Unit, text: &str| {
        let mut job = Job::empty(unit);
        let size = Some(size(text, unit).unwrap());
        let (x, y) = (Some(Figure(1.0)), Some(Figure(1.0)));
        let hole = Feature { number: "1".into(), x, y, size, ..Feature::default() };
        job.drawing.features.push(hole);
        kinds(&job)
    };
    assert!(matches!(
        &of(Unit::Inch, "10 H7")[..],
        [(Place::Feature(2), ProblemKind::Drawing(D::ClassInInches(_)))]
    ));
    for (unit, good) in [(Unit::Mm, "10 H7"), (Unit::Inch, ".375 H7"), (Unit::Inch, "1/4 H7")] {
        assert_eq!(of(unit, good), [], "{good}");
    }
}

#[test]
fn a_calibration_that_was_overdue_and_serial_numbers_given_twice() {
    let measured = |due: &str, date: &str| {
        let mut job = plate();
        job.plan.instruments[0].calibration_due = due.to_owned();
        job.pieces[0].date = date.to_owned();
        kinds(&job)
    };
    let [(Place::Piece(0), ProblemKind::Plan(PlanProblem::CalibrationOverdue { due, .. }))] =
        &measured("2026-03-31", "2026-04-01")[..]
    else {
        panic!("it is overdue")
    };
    assert_eq!(due, "2026-03-31");
    assert_eq!(measured("2026-03", "2026-04-01").len(), 1);
    for (due, date) in [
        ("2026-03-31", "2026-03-31"),
        ("2026-03", "2026-03-31"),
        ("2026-03-31", ""),
        ("", "2026-04-01"),
        ("next spring", "2026-04-01"),
    ] {
        assert_eq!(measured(due, date), [], "{due} {date}");
    }
    let (place, what, _) = made(|job| {
        for serial in ["2", " 1", "1"] {
            job.pieces.push(Piece { serial: serial.to_owned(), ..Piece::default() });
        }
    });
    assert_eq!(place, Place::Piece(2));
    assert_eq!(what, ProblemKind::Plan(PlanProblem::SerialTwice("1".to_owned())));
}
