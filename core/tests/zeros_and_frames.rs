//! Zeros in chains, what ties the heights to the drawing, and datum frames as measured.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use quarterturn_core::callout::{Unjudged, Verdict};
use quarterturn_core::evaluate;
use quarterturn_core::findings::{FeatureFinding, Weight};
use quarterturn_core::job::{
    Blocks, Callout, Conditions, DatumRef, DecisionRule, Feature, Job, Kind, Modifier, Outline,
    Position, Reading, SizeLimits, Squareness, Taken, Zero, ZeroCheck,
};
use quarterturn_core::quantity::{Axis, Figure, Side, Unit};

/// Holes of 6 to 6.1 mm at these places, position 0.1 to these datums, centres read.
fn job(holes: &[(&str, f64, f64)], datums: &[&str]) -> Job {
    let mut job = Job::empty(Unit::Mm);
    job.plan.instruments[0].error_limit = Some(Figure(0.002));
    for o in &mut job.plan.orientations {
        o.taken = Taken::CentreAndSize;
    }
    for (number, x, y) in holes {
        job.drawing.features.push(Feature {
            number: (*number).to_owned(),
            x: Some(Figure(*x)),
            y: Some(Figure(*y)),
            size: Some(SizeLimits::Limits { lower: Figure(6.0), upper: Figure(6.1) }),
            callouts: vec![Callout::Position(Position {
                tolerance: Figure(0.1),
                modifier: Modifier::None,
                datums: DatumRef::all(datums),
                ..Position::default()
            })],
            ..Feature::default()
        });
    }
    job
}

fn read(job: &mut Job, orientation: u32, feature: &str, centre: f64, zero: Option<Zero>) {
    job.pieces[0].readings.push(Reading {
        orientation,
        feature: feature.to_owned(),
        zero,
        centre: vec![Figure(centre)],
        size: vec![Figure(6.05)],
        ..Reading::default()
    });
}

fn found(job: &Job, number: &str) -> FeatureFinding {
    let findings = evaluate(job);
    findings.pieces[0].features.iter().find(|f| f.number == number).unwrap().clone()
}

fn at(f: &FeatureFinding) -> [f64; 2] {
    [f.x.at().unwrap().to_mm(), f.y.at().unwrap().to_mm()]
}

fn near(a: [f64; 2], b: [f64; 2]) {
    assert!((a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9, "{a:?} for {b:?}");
}

#[test]
fn a_chain_of_zeros_adds_up() {
    let mut job = job(&[("1", 10.0, 10.0), ("2", 30.0, 10.0), ("3", 30.0, 40.0)], &["A", "B", "C"]);
    // Along Y: 1 from the plate, 2 from 1, 3 from 2. Along X all from the plate.
    read(&mut job, 1, "1", 10.02, None);
    read(&mut job, 1, "2", -0.01, Some(Zero::Feature("1".into())));
    read(&mut job, 1, "3", 30.03, Some(Zero::Feature("2".into())));
    for (f, x) in [("1", 10.01), ("2", 29.98), ("3", 30.0)] {
        read(&mut job, 2, f, x, None);
    }
    near(at(&found(&job, "3")), [30.0, 40.04]);
    // Setting a zero, at the plate or at a feature, is as uncertain as a reading, and each step of
    // the chain adds both.
    let var = |n: &str| found(&job, n).covariance.unwrap()[1][1];
    assert!((var("2") / var("1") - 2.0).abs() < 1e-9, "{} {}", var("2"), var("1"));
    assert!((var("3") / var("1") - 3.0).abs() < 1e-9);
}

#[test]
fn loops_and_loose_ends_name_the_readings() {
    let holes = [("1", 10.0, 10.0), ("2", 30.0, 10.0), ("3", 30.0, 40.0)];
    let mut ring = job(&holes, &["A", "B", "C"]);
    read(&mut ring, 1, "1", 0.0, Some(Zero::Feature("3".into())));
    read(&mut ring, 1, "2", 0.0, Some(Zero::Feature("1".into())));
    read(&mut ring, 1, "3", 30.0, Some(Zero::Feature("2".into())));
    let says = |job: &Job| -> Vec<String> {
        let stops = |p: &&quarterturn_core::findings::Problem| p.weight == Weight::Stops;
        evaluate(job).pieces[0].problems.iter().filter(stops).map(|p| p.says.clone()).collect()
    };
    let said = says(&ring);
    assert!(said[0].contains("circle") && said[0].contains("1 counts from 3"), "{said:?}");
    assert!(found(&ring, "3").y.at().is_none(), "a ring says nothing");
    let mut loose = job(&holes, &["A", "B", "C"]);
    read(&mut loose, 1, "3", 30.0, Some(Zero::Feature("2".into())));
    read(&mut loose, 1, "1", 10.0, None);
    let said = says(&loose);
    assert!(said[0].contains("3 counts from 2, which has no reading there"), "{said:?}");
    assert!(found(&loose, "3").y.at().is_none());
    near([0.0, found(&loose, "1").y.at().unwrap().to_mm()], [0.0, 10.0]);
}

#[test]
fn over_unknown_blocks_a_datum_ties_the_heights_or_nothing_does() {
    let mut job = job(&[("1", 0.0, 0.0), ("2", 30.0, 10.0)], &["A"]);
    for o in &mut job.plan.orientations {
        o.rest.blocks = Blocks::UNKNOWN;
    }
    job.drawing.datums.retain(|d| d.letter == "A");
    for (f, y, x) in [("1", 77.7, 55.5), ("2", 87.72, 85.49)] {
        read(&mut job, 1, f, y, None);
        read(&mut job, 2, f, x, None);
    }
    let findings = evaluate(&job);
    assert!(findings.pieces[0].problems.iter().any(|p| p.says.contains("Nothing ties")));
    assert_eq!(found(&job, "2").verdict, Verdict::NotMeasured);
    job.drawing.datums.push(quarterturn_core::job::Datum {
        letter: "D".to_owned(),
        feature: Some("1".to_owned()),
        what: String::new(),
        ..Default::default()
    });
    let two = found(&job, "2");
    near(at(&two), [29.99, 10.02]);
    assert_eq!(two.verdict, Verdict::Conforms);
}

/// Hole B is the origin and hole C the clocking; two holes are held against them.
fn clocked() -> Job {
    let holes = [("7", 20.0, 15.0), ("8", 100.0, 15.0), ("1", 40.0, 55.0), ("2", 90.0, 45.0)];
    let mut job = job(&holes, &["A", "D", "E"]);
    for (letter, feature) in [("D", "7"), ("E", "8")] {
        job.drawing.datums.push(quarterturn_core::job::Datum {
            letter: letter.to_owned(),
            feature: Some(feature.to_owned()),
            what: String::new(),
            ..Default::default()
        });
    }
    job
}

/// Puts the part down turned by `turn` and moved by (dx, dy), and reads all its holes.
fn lay_down(job: &mut Job, turn: f64, (dx, dy): (f64, f64), off: &[(f64, f64)]) {
    let (s, c) = libm::sincos(turn);
    let holes: Vec<(String, f64, f64)> = job
        .drawing
        .features
        .iter()
        .filter(|f| f.kind == Kind::Hole)
        .zip(off)
        .map(|(f, (ox, oy))| (f.number.clone(), f.x.unwrap().0 + ox, f.y.unwrap().0 + oy))
        .collect();
    for (number, x, y) in holes {
        read(job, 1, &number, s * x + c * y + dy, None);
        read(job, 2, &number, c * x - s * y + dx, None);
    }
}

#[test]
fn two_datum_holes_take_up_the_whole_plane() {
    let mut job = clocked();
    // The clocking hole lies 0.03 farther along the line of the two: that is free.
    let off = [(0.0, 0.0), (0.03, 0.0), (0.02, -0.01), (-0.02, 0.03)];
    lay_down(&mut job, 0.004, (0.3, -0.2), &off);
    near(at(&found(&job, "7")), [20.0, 15.0]);
    near(at(&found(&job, "8")), [100.03, 15.0]);
    near(at(&found(&job, "1")), [40.02, 54.99]);
    near(at(&found(&job, "2")), [89.98, 45.03]);
}

#[test]
fn the_covariance_of_a_frame_is_that_of_small_changes_of_the_readings() {
    let mut job = clocked();
    lay_down(&mut job, 0.002, (0.1, 0.05), &[(0.0, 0.0), (0.01, 0.0), (0.02, -0.01), (0.0, 0.02)]);
    let says = found(&job, "2").covariance.unwrap();
    // One reading after the other is changed by its own uncertainty; zeros at the plate add none.
    let u = {
        let limit = 0.002 / 3.0_f64.sqrt();
        let step = 0.001 / 12.0_f64.sqrt();
        (limit * limit + step * step).sqrt()
    };
    let was = at(&found(&job, "2"));
    let mut sum = [[0.0; 2]; 2];
    for i in 0..job.pieces[0].readings.len() {
        let mut other = job.clone();
        other.pieces[0].readings[i].centre[0].0 += u;
        let is = at(&found(&other, "2"));
        let d = [is[0] - was[0], is[1] - was[1]];
        for (row, a) in sum.iter_mut().zip(d) {
            for (cell, b) in row.iter_mut().zip(d) {
                *cell += a * b;
            }
        }
    }
    for i in 0..2 {
        for j in 0..2 {
            let apart = (sum[i][j] - says[i][j]).abs();
            assert!(apart < 1e-5 * says[0][0].max(says[1][1]), "{sum:?} {says:?}");
        }
    }
}

#[test]
fn a_slot_clocks_as_a_hole_does_and_a_datum_that_was_not_read_is_missed() {
    let mut job = clocked();
    let slot = job.drawing.features.iter_mut().find(|f| f.number == "8").unwrap();
    (slot.kind, slot.across) = (Kind::Slot, Some(Axis::Y));
    lay_down(&mut job, 0.001, (0.0, 0.0), &[(0.0, 0.0), (0.01, -0.01), (0.0, 0.02)]);
    // The slot is seen along Y alone, where the hole would have been.
    let (s, c) = libm::sincos(0.001);
    read(&mut job, 1, "8", s * 100.0 + c * 15.0, None);
    let one = at(&found(&job, "1"));
    assert!((one[0] - 40.01).abs() < 1e-4 && (one[1] - 54.99).abs() < 1e-4, "{one:?}");
    job.pieces[0].readings.retain(|r| r.feature != "7");
    let missed = found(&job, "1");
    assert_eq!(missed.verdict, Verdict::NotMeasured);
}

#[test]
fn a_known_edge_out_of_square_turns_its_axis_by_the_sign_of_the_picture() {
    // Left edge on the plate, its upper end 0.012 farther out over 60: at y = 50 the edge lies
    // 0.010 farther out than at y = 0, and so does everything measured from it.
    let mut job = job(&[("1", 30.0, 50.0), ("2", 30.0, 0.0)], &["A", "B", "C"]);
    for (f, y) in [("1", 50.0), ("2", 0.0)] {
        read(&mut job, 1, f, y, None);
        read(&mut job, 2, f, if f == "1" { 30.01 } else { 30.0 }, None);
    }
    job.pieces[0].squareness.push(Squareness {
        orientation: 2,
        farther_out: Figure(0.012),
        over: Figure(60.0),
        against: None,
    });
    let (one, two) = (at(&found(&job, "1")), at(&found(&job, "2")));
    assert!((one[0] - 30.0).abs() < 2e-6 && (two[0] - 30.0).abs() < 2e-6, "{one:?} {two:?}");
    // Unknown, it is an uncertainty that grows with the arm.
    job.pieces[0].squareness.clear();
    job.plan.conditions = Conditions {
        squareness: Some(quarterturn_core::job::Slope {
            deviation: Figure(0.012),
            over: Figure(60.0),
        }),
        ..Conditions::default()
    };
    let u = |n: &str| found(&job, n).covariance.unwrap()[0][0].sqrt();
    let more = (u("1") * u("1") - u("2") * u("2")).sqrt();
    assert!((more - 50.0 * 0.0002 / 3.0_f64.sqrt()).abs() < 1e-5, "{more}");
}

#[test]
fn temperature_is_corrected_by_both_coefficients() {
    // Aluminium and a steel scale, both at 25 °C: 100.000 indicated is 99.9942006698 at 20 °C
    // (computed independently: 100 (1 + 11.5e-6 · 5)/(1 + 23.1e-6 · 5)).
    let mut job = job(&[("1", 100.0, 0.0)], &["A", "B", "C"]);
    read(&mut job, 1, "1", 0.0, None);
    read(&mut job, 2, "1", 100.0, None);
    job.plan.conditions.part_expansion = Some(23.1);
    job.plan.conditions.gauge_expansion = Some(11.5);
    job.pieces[0].part_celsius = Some(25.0);
    let x = at(&found(&job, "1"))[0];
    assert!((x - 99.994_200_669_8).abs() < 1e-9, "{x}");
    // Blocks are of the gauge's kind: they are no length of the part.
    job.plan.orientations[1].rest.blocks = Blocks::High(Figure(50.0));
    job.pieces[0].readings[1].centre[0].0 = 150.0;
    let x = at(&found(&job, "1"))[0];
    assert!((x - 99.994_200_669_8).abs() < 1e-9, "{x}");
}

#[test]
fn a_guarded_rule_proves_or_says_that_it_does_not() {
    let mut job = job(&[("1", 30.0, 20.0)], &["A", "B", "C"]);
    read(&mut job, 1, "1", 20.0, None);
    read(&mut job, 2, "1", 30.0485, None);
    // Position 0.097 of 0.1 with a margin of 0.003.
    let simple = found(&job, "1");
    assert_eq!(simple.verdict, Verdict::Conforms);
    let proof = simple.position.as_ref().unwrap().proof.unwrap();
    assert!(proof.expanded.to_mm() > 0.003 && proof.probability > 0.5, "{proof:?}");
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.0 };
    assert_eq!(found(&job, "1").verdict, Verdict::NotProven);
    job.pieces[0].readings[1].centre[0].0 = 30.04;
    assert_eq!(found(&job, "1").verdict, Verdict::Conforms);
    job.pieces[0].readings[1].centre[0].0 = 30.06;
    assert_eq!(found(&job, "1").verdict, Verdict::DoesNotConform);
    // Without an uncertainty nothing is proven.
    job.plan.instruments[0].error_limit = None;
    job.pieces[0].readings[1].centre[0].0 = 30.0;
    assert_eq!(found(&job, "1").verdict, Verdict::NotProven);
}

#[test]
fn a_zero_that_drifted_is_said() {
    let mut job = job(&[("1", 30.0, 20.0)], &["A", "B", "C"]);
    read(&mut job, 1, "1", 20.0, None);
    job.pieces[0].zero_checks.push(ZeroCheck { orientation: 1, end: Figure(0.009) });
    assert!(evaluate(&job).pieces[0].problems.is_empty());
    job.pieces[0].zero_checks[0].end = Figure(-0.012);
    let problems = &evaluate(&job).pieces[0].problems;
    assert!(problems[0].says.contains("zero of orientation 1 read −0.012"), "{problems:?}");
}

#[test]
fn an_angle_that_is_not_known_is_found_where_the_readings_give_it() {
    // Up along +Y, +X and −X; the last one stands a milliradian off, over blocks of unknown height.
    let holes = [("1", 10.0, 10.0), ("2", 90.0, 10.0), ("3", 90.0, 70.0), ("4", 10.0, 70.0)];
    let mut job = job(&holes, &["A", "B", "C"]);
    job.set_outline(Figure(100.0), Figure(80.0));
    job.add_orientation(quarterturn_core::quantity::Side::MinusX);
    let third = &mut job.plan.orientations[2];
    (third.taken, third.rest.blocks, third.find_angle) =
        (Taken::CentreAndSize, Blocks::UNKNOWN, true);
    let turn = std::f64::consts::PI + 0.001;
    for (f, x, y) in holes {
        read(&mut job, 1, f, y, None);
        read(&mut job, 2, f, x, None);
        read(&mut job, 3, f, x * libm::cos(turn) + y * libm::sin(turn) + 123.4, None);
    }
    let piece = &evaluate(&job).pieces[0];
    assert_eq!(piece.problems, []);
    let (orientation, error, standard) = piece.measurement.angles[0];
    assert_eq!(orientation, 3);
    assert!((error - 0.001).abs() < 1e-9 && standard < 1e-4, "{error} {standard}");
    near(at(&found(&job, "3")), [90.0, 70.0]);
    // Taken as square it does not fit, and that is said.
    job.plan.orientations[2].find_angle = false;
    let said = &evaluate(&job).pieces[0].problems;
    assert!(
        said.iter().any(|p| p.says.contains("does not fit") || p.says.contains("worse")),
        "{said:?}"
    );
}

#[test]
fn a_file_of_version_1_means_what_it_meant() {
    use quarterturn_core::job::{VERSION, read, write};
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../public/demo-job.json");
    let now = std::fs::read_to_string(path).unwrap();
    let then = now.replacen("\"version\": 4", "\"version\": 1", 1);
    assert_ne!(then, now);
    let job = read(&then).unwrap();
    assert_eq!(job.version, VERSION);
    assert_eq!(write(&job), write(&read(&now).unwrap()));
}

#[test]
fn two_repeats_that_agree_make_no_uncertainty_known() {
    let mut job = job(&[("1", 30.0, 20.0)], &["A", "B", "C"]);
    job.plan.instruments[0].error_limit = None;
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.0 };
    read(&mut job, 1, "1", 20.0, None);
    read(&mut job, 2, "1", 30.0, None);
    job.pieces[0].readings[0].centre.push(Figure(20.0));
    assert_eq!(found(&job, "1").verdict, Verdict::NotProven);
}

#[test]
fn nothing_is_probable_where_there_is_no_verdict() {
    let mut job = job(&[("1", 30.0, 20.0)], &["A", "B", "C"]);
    let Callout::Position(p) = &mut job.drawing.features[2].callouts[0];
    p.modifier = Modifier::Mmc;
    read(&mut job, 1, "1", 20.0, None);
    read(&mut job, 2, "1", 30.07, None);
    for r in &mut job.pieces[0].readings {
        r.size.clear();
    }
    let one = found(&job, "1");
    assert_eq!(one.verdict, Verdict::NotMeasured);
    assert_eq!(one.position.unwrap().proof, None);
}

#[test]
fn a_reading_left_on_what_became_the_zero_makes_no_circle() {
    let mut job = job(&[("1", 10.0, 10.0), ("2", 30.0, 25.0), ("3", 50.0, 40.0)], &["A", "B", "C"]);
    read(&mut job, 1, "1", 10.0, None);
    read(&mut job, 1, "2", 15.0, None);
    read(&mut job, 1, "3", 40.0, Some(Zero::Plate));
    job.plan.orientations[0].zero = Zero::Feature("1".to_owned());
    let said = &evaluate(&job).pieces[0].problems;
    assert!(!said.iter().any(|p| p.says.contains("circle")), "{said:?}");
    assert!(found(&job, "2").y.at().is_some() && found(&job, "3").y.at().is_some());
}

/// The same job with datum D at another face, which looks up at y = 60.
fn with_upper_face(datums: &[&str]) -> Job {
    let mut job = job(&[("1", 10.0, 10.0), ("2", 30.0, 25.0)], datums);
    job.drawing.features.push(Feature {
        number: "T".to_owned(),
        kind: Kind::Face,
        looks: Some(Side::PlusY),
        y: Some(Figure(60.0)),
        ..Feature::default()
    });
    job.drawing.datums.push(quarterturn_core::job::Datum {
        letter: "D".to_owned(),
        feature: Some("T".to_owned()),
        what: String::new(),
        ..Default::default()
    });
    for (f, y, x) in [("1", 10.0, 10.0), ("2", 25.02, 30.0)] {
        read(&mut job, 1, f, y, None);
        read(&mut job, 2, f, x, None);
    }
    job
}

fn why(job: &Job, number: &str) -> Option<Unjudged> {
    found(job, number).position.unwrap().unjudged
}

#[test]
fn a_datum_face_that_was_neither_touched_nor_stood_on_is_missed() {
    let mut job = with_upper_face(&["A", "D", "C"]);
    let two = found(&job, "2");
    assert_eq!(two.verdict, Verdict::NotMeasured);
    assert_eq!(why(&job, "2"), Some(Unjudged::DatumNotMeasured("D".to_owned())));
    let said = quarterturn_core::show::sentence(&two, &job.drawing.features[3], &job);
    assert_eq!(said, "Hole 2 is not fully measured: datum D was not measured.");
    // It is not judged from B, and so nothing says that it is.
    let says = |job: &Job| evaluate(job).problems.iter().any(|p| p.says.contains("all the same"));
    assert!(!says(&job));
    job.pieces[0].readings.push(Reading {
        orientation: 1,
        feature: "T".to_owned(),
        face: vec![Figure(60.01)],
        ..Reading::default()
    });
    let two = found(&job, "2");
    near(at(&two), [30.0, 25.01]);
    assert_eq!(two.verdict, Verdict::Conforms);
    // A callout that names nothing along Y is judged from what the part stands on.
    let mut other = with_upper_face(&["A", "C"]);
    assert!(says(&other));
    assert_eq!(found(&other, "2").verdict, Verdict::Conforms);
    // The part stood on D, and no height along Y was read there: it ties nothing.
    other = with_upper_face(&["A", "D", "C"]);
    let third = other.add_orientation(Side::MinusY);
    assert_eq!(other.plan.orientations[2].rest.face.as_deref(), Some("T"));
    assert_eq!(found(&other, "2").verdict, Verdict::NotMeasured);
    other.plan.orientations[2].taken = Taken::CentreAndSize;
    read(&mut other, third, "1", 50.0, None);
    read(&mut other, third, "2", 35.0, None);
    assert_eq!(found(&other, "2").verdict, Verdict::Conforms);
    // Over blocks of unknown height it tells differences only.
    other.plan.orientations[2].rest.blocks = Blocks::UNKNOWN;
    assert_eq!(found(&other, "2").verdict, Verdict::NotMeasured);
}

#[test]
fn what_carries_the_part_is_a_datum_without_a_touch() {
    let stands = |change: &dyn Fn(&mut Job)| {
        let mut job = job(&[("1", 10.0, 10.0)], &["A", "B", "C"]);
        read(&mut job, 1, "1", 10.0, None);
        read(&mut job, 2, "1", 10.0, None);
        change(&mut job);
        let said = evaluate(&job).problems;
        (found(&job, "1").verdict, said.iter().any(|p| p.says.contains("no datum")))
    };
    let judged = (Verdict::Conforms, false);
    assert_eq!(stands(&|_| {}), judged);
    let faces = ["B", "C"];
    // Set to zero at the face, which lies on the plate.
    let zero = |job: &mut Job| {
        for (o, face) in job.plan.orientations.iter_mut().zip(faces) {
            o.zero = Zero::Feature(face.to_owned());
        }
    };
    assert_eq!(stands(&zero), judged);
    // Set to zero at the face, while the part stands on something else.
    let only = |job: &mut Job| {
        zero(job);
        job.plan.orientations.iter_mut().for_each(|o| o.rest.face = None);
    };
    assert_eq!(stands(&only), judged);
    // On edges of the outline, in which the faces lie.
    let edges = |left: f64| {
        move |job: &mut Job| {
            job.drawing.outline = Some(Outline {
                left: Figure(left),
                bottom: Figure(0.0),
                right: Figure(80.0),
                top: Figure(60.0),
            });
            job.plan.orientations.iter_mut().for_each(|o| o.rest.face = None);
        }
    };
    assert_eq!(stands(&edges(0.0)), judged);
    // The left edge is another one than face C: an error between the two would go unseen.
    let apart = |job: &mut Job| {
        edges(-2.0)(job);
        job.pieces[0].readings[1].centre[0].0 = 12.0;
    };
    assert_eq!(stands(&apart), (Verdict::NotMeasured, true));
}

#[test]
fn what_the_readings_count_from_is_asked_and_not_what_the_plan_says() {
    let mut job = job(&[("1", 10.0, 10.0), ("2", 30.0, 25.0)], &["A", "B", "C"]);
    let said = |job: &Job| -> Vec<String> {
        let problems = evaluate(job).problems;
        problems.into_iter().map(|p| p.says).filter(|s| s.contains("measures from")).collect()
    };
    assert_eq!(said(&job), Vec::<String>::new());
    // By the plan it counts from hole 1, and all that was read counts from the plate under B.
    job.plan.orientations[0].zero = Zero::Feature("1".to_owned());
    assert!(said(&job)[0].contains("measures from 1, which is no datum"), "{:?}", said(&job));
    read(&mut job, 1, "2", 25.0, Some(Zero::Plate));
    assert_eq!(said(&job), Vec::<String>::new());
    // Hole 1 is a link of a chain that ends at the plate.
    job.plan.orientations[0].zero = Zero::Plate;
    job.pieces[0].readings.clear();
    read(&mut job, 1, "1", 10.0, None);
    read(&mut job, 1, "2", 15.0, Some(Zero::Feature("1".to_owned())));
    assert_eq!(said(&job), Vec::<String>::new());
}

/// Takes orientation 1 by touches: the height of the centre and half of the size about it.
fn touched(job: &mut Job, feature: &str, centre: f64, zero: Option<Zero>) {
    job.plan.orientations[0].taken = Taken::Touches;
    job.pieces[0].readings.push(Reading {
        orientation: 1,
        feature: feature.to_owned(),
        zero,
        low: vec![Figure(centre - 3.025)],
        high: vec![Figure(centre + 3.025)],
        ..Reading::default()
    });
}

#[test]
fn a_zero_of_which_one_point_alone_was_read_is_a_missing_end() {
    let holes = [("3", 10.0, 10.0), ("4", 30.0, 25.0), ("5", 50.0, 40.0)];
    let mut job = job(&holes, &["A", "B", "C"]);
    // Hole 3 really lies at 10.05: held at 10 it would put the others off by that.
    touched(&mut job, "3", 10.05, None);
    touched(&mut job, "4", 14.95, Some(Zero::Feature("3".to_owned())));
    touched(&mut job, "5", 15.0, Some(Zero::Feature("4".to_owned())));
    for (f, x, _) in holes {
        read(&mut job, 2, f, x, None);
    }
    near(at(&found(&job, "5")), [50.0, 40.0]);
    job.pieces[0].readings[0].high.clear();
    let said = |job: &Job| -> Vec<String> {
        let problems = evaluate(job).pieces[0].problems.clone();
        problems.into_iter().filter(|p| p.weight == Weight::Stops).map(|p| p.says).collect()
    };
    assert_eq!(
        said(&job),
        ["In orientation 1 4 counts from 3, of which only the lowest point was read. Take the \
          highest point too, or choose another zero for it."]
    );
    for hole in ["3", "4", "5"] {
        assert_eq!(found(&job, hole).y.at(), None, "{hole}");
    }
    // Set to zero at hole 3 and not read, it is taken as the drawing has it.
    job.pieces[0].readings.remove(0);
    job.plan.orientations[0].zero = Zero::Feature("3".to_owned());
    assert_eq!(said(&job), Vec::<String>::new());
    near(at(&found(&job, "5")), [50.0, 39.95]);
    // A link whose own zero makes no sense is none either.
    job.plan.orientations[0].zero = Zero::Plate;
    touched(&mut job, "3", 10.05, Some(Zero::Feature("9".to_owned())));
    assert!(said(&job).iter().any(|s| s.contains("9, which has no reading")), "{:?}", said(&job));
    touched(&mut job, "9", 3.0, None);
    assert!(said(&job).iter().any(|s| s.contains("4 counts from 3, whose own zero")));
    assert_eq!(found(&job, "5").y.at(), None);
}

#[test]
fn a_link_of_a_chain_over_unknown_blocks_is_not_taken_as_true() {
    let mut job = job(&[("1", 10.0, 10.0), ("2", 30.0, 25.0)], &["A", "B", "C"]);
    job.plan.orientations[0].rest.blocks = Blocks::UNKNOWN;
    read(&mut job, 1, "1", 77.7, None);
    read(&mut job, 1, "2", 15.0, Some(Zero::Feature("1".to_owned())));
    assert_eq!(found(&job, "2").y.at(), None);
    let said = &evaluate(&job).pieces[0].problems;
    assert!(said.iter().any(|p| p.says.contains("Nothing ties the heights of 1, 2")), "{said:?}");
}

/// Holes 7 and 8 stop the frame; slot 5 is held against them, and seen along Y alone.
fn clocked_slot(turn: f64, x: Option<f64>) -> Job {
    let mut job = clocked();
    let slot = Feature {
        number: "5".to_owned(),
        kind: Kind::Slot,
        across: Some(Axis::Y),
        x: x.map(Figure),
        y: Some(Figure(40.0)),
        ..job.drawing.features.last().unwrap().clone()
    };
    lay_down(&mut job, turn, (0.3, -0.2), &[(0.0, 0.0); 4]);
    let (s, c) = libm::sincos(turn);
    read(&mut job, 1, "5", s * 120.0 + c * 40.01 - 0.2, None);
    job.drawing.features.push(slot);
    job
}

#[test]
fn a_slot_in_a_turned_frame_needs_its_place_along_itself() {
    // By the drawing it is at (120, 40): known along Y alone, the other coordinate counts by the
    // angle.
    let job = clocked_slot(0.002, Some(120.0));
    let five = found(&job, "5");
    assert!((five.y.at().unwrap().to_mm() - 40.01).abs() < 1e-9, "{:?}", five.y);
    assert_eq!(five.x.at(), None);
    // Its uncertainty is that of small changes of the readings, but for the angle's own share in
    // where along X it is taken to be.
    let says = five.covariance.unwrap()[1][1];
    let u = {
        let (limit, step) = (0.002 / 3.0_f64.sqrt(), 0.001 / 12.0_f64.sqrt());
        (limit * limit + step * step).sqrt()
    };
    let sum: f64 = (0..job.pieces[0].readings.len())
        .map(|i| {
            let mut other = job.clone();
            other.pieces[0].readings[i].centre[0].0 += u;
            let is = found(&other, "5").y.at().unwrap().to_mm() - 40.01;
            is * is
        })
        .sum();
    assert!((sum / says - 1.0).abs() < 2e-3, "{sum} {says}");

    // The drawing does not say where along X it is: nothing is taken for it.
    let job = clocked_slot(0.002, None);
    let five = found(&job, "5");
    assert_eq!((five.y.at(), five.verdict), (None, Verdict::CannotBeJudged));
    assert_eq!(why(&job, "5"), Some(Unjudged::NominalMissing(Axis::X)));
    let asked = |job: &Job, number: &str| {
        let sentence = format!("X of slot {number} is missing on the drawing");
        evaluate(job).problems.iter().any(|p| p.says.contains(&sentence))
    };
    assert!(asked(&job, "5"));
    // In a frame that is not turned it does not matter.
    let mut plain = job.clone();
    for feature in &mut plain.drawing.features {
        for Callout::Position(p) in &mut feature.callouts {
            p.datums = DatumRef::all(&["A", "D"]);
        }
    }
    let five = found(&plain, "5");
    let (s, c) = libm::sincos(0.002);
    let stood = s * (120.0 - 20.0) + c * (40.01 - 15.0) + 15.0;
    assert!((five.y.at().unwrap().to_mm() - stood).abs() < 1e-9);
    assert!(!asked(&plain, "5"));
}

#[test]
fn a_slot_that_stops_the_rotation_needs_its_place_along_itself() {
    let mut job = clocked();
    let slot = job.drawing.features.iter_mut().find(|f| f.number == "8").unwrap();
    (slot.kind, slot.across, slot.x) = (Kind::Slot, Some(Axis::Y), None);
    let (s, c) = libm::sincos(0.001);
    for (f, x, y) in [("7", 20.0, 15.0), ("1", 40.0, 55.0)] {
        read(&mut job, 1, f, s * x + c * y, None);
        read(&mut job, 2, f, c * x - s * y, None);
    }
    read(&mut job, 1, "8", s * 100.0 + c * 15.0, None);
    let lacks = Unjudged::DatumNominalMissing("E".to_owned(), Axis::X);
    assert_eq!(why(&job, "1"), Some(lacks.clone()));
    assert_eq!(quarterturn_core::show::unjudged(&lacks), "basic X of datum E is missing");
    let said = evaluate(&job).problems;
    assert!(said.iter().any(|p| p.says.contains("X of slot 8 is missing")), "{said:?}");
    job.drawing.features.iter_mut().find(|f| f.number == "8").unwrap().x = Some(Figure(100.0));
    let one = at(&found(&job, "1"));
    assert!((one[0] - 40.0).abs() < 1e-7 && (one[1] - 55.0).abs() < 1e-7, "{one:?}");
}
