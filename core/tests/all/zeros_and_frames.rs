//! Zeros in chains, what ties the heights to the drawing, and datum frames as measured.

use crate::build::{Build, Found, Part, Read, face, from, hole, reading, slot};
use crate::common;
use quarterturn_core::callout::{Unjudged, Verdict};
use quarterturn_core::evaluate;
use quarterturn_core::findings::Weight;
use quarterturn_core::job::{
    Blocks, Conditions, DatumRef, DecisionRule, Job, Kind, Modifier, Outline, Reading, Slope,
    Squareness, Taken, Zero, ZeroCheck,
};
use quarterturn_core::quantity::{Axis, Figure, Side};

/// Holes of 6 to 6.1 mm at these places, position 0.1 to these datums, centres read.
fn part(holes: &[(&str, f64, f64)], datums: &[&str]) -> Part {
    Part::by_centres().put_all(
        holes.iter().map(|(n, x, y)| hole(n, [*x, *y]).limits(6.0, 6.1).position(0.1, datums)),
    )
}

fn job(holes: &[(&str, f64, f64)], datums: &[&str]) -> Job {
    part(holes, datums).job
}

fn read(job: &mut Job, orientation: u32, feature: &str, centre: f64, zero: Option<Zero>) {
    let read = reading(orientation, feature).centre(centre).size(6.05);
    job.take(Reading { zero, ..read });
}

fn near(a: [f64; 2], b: [f64; 2]) {
    common::near(a, b, 1e-9);
}

#[test]
fn a_chain_of_zeros_adds_up() {
    let mut job = job(&[("1", 10.0, 10.0), ("2", 30.0, 10.0), ("3", 30.0, 40.0)], &["A", "B", "C"]);
    // Along Y: 1 from the plate, 2 from 1, 3 from 2. Along X all from the plate.
    read(&mut job, 1, "1", 10.02, None);
    read(&mut job, 1, "2", -0.01, Some(from("1")));
    read(&mut job, 1, "3", 30.03, Some(from("2")));
    for (f, x) in [("1", 10.01), ("2", 29.98), ("3", 30.0)] {
        read(&mut job, 2, f, x, None);
    }
    near(job.found_at("3"), [30.0, 40.04]);
    // Setting a zero, at the plate or at a feature, is as uncertain as a reading, and each step of
    // the chain adds both.
    let var = |n: &str| job.found_of(n).covariance.unwrap()[1][1];
    assert!((var("2") / var("1") - 2.0).abs() < 1e-9, "{} {}", var("2"), var("1"));
    assert!((var("3") / var("1") - 3.0).abs() < 1e-9);
}

#[test]
fn loops_and_loose_ends_name_the_readings() {
    let holes = [("1", 10.0, 10.0), ("2", 30.0, 10.0), ("3", 30.0, 40.0)];
    let mut ring = job(&holes, &["A", "B", "C"]);
    read(&mut ring, 1, "1", 0.0, Some(from("3")));
    read(&mut ring, 1, "2", 0.0, Some(from("1")));
    read(&mut ring, 1, "3", 30.0, Some(from("2")));
    let says = |job: &Job| -> Vec<String> {
        let stops = |p: &&quarterturn_core::findings::Problem| p.weight == Weight::Stops;
        evaluate(job).pieces[0].problems.iter().filter(stops).map(|p| p.says()).collect()
    };
    let said = says(&ring);
    assert!(said[0].contains("circle") && said[0].contains("1 counts from 3"), "{said:?}");
    assert!(ring.found_of("3").y.at().is_none(), "a ring says nothing");
    let mut loose = job(&holes, &["A", "B", "C"]);
    read(&mut loose, 1, "3", 30.0, Some(from("2")));
    read(&mut loose, 1, "1", 10.0, None);
    let said = says(&loose);
    assert!(said[0].contains("3 counts from 2, which has no reading there"), "{said:?}");
    assert!(loose.found_of("3").y.at().is_none());
    near([0.0, loose.found_of("1").y.at().unwrap().to_mm()], [0.0, 10.0]);
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
    // Datum A alone leaves both translations free: what lies between the holes is all that counts.
    assert_eq!(job.found_of("2").verdict, Verdict::Conforms);
    job.add_datum("D", "1");
    let two = job.found_of("2");
    near(two.at(), [29.99, 10.02]);
    assert_eq!(two.verdict, Verdict::Conforms);
}

/// Hole D is the origin and hole E the clocking; two holes are held against them.
fn clocked() -> Part {
    let holes = [("7", 20.0, 15.0), ("8", 100.0, 15.0), ("1", 40.0, 55.0), ("2", 90.0, 45.0)];
    part(&holes, &["A", "D", "E"]).datum("D", "7").datum("E", "8")
}

/// The same with a slot for the clocking hole, seen along Y alone.
fn clocked_by_a_slot() -> Part {
    clocked().with(|job| {
        let slot = job.drawn("8");
        (slot.kind, slot.across) = (Kind::Slot, Some(Axis::Y));
    })
}

#[test]
fn two_datum_holes_take_up_the_whole_plane() {
    // The clocking hole lies 0.03 farther along the line of the two: that is free.
    let off = [("8", [0.03, 0.0]), ("1", [0.02, -0.01]), ("2", [-0.02, 0.03])];
    let job = clocked().off(&off).moved(0.004, [0.3, -0.2]).read();
    near(job.found_at("7"), [20.0, 15.0]);
    near(job.found_at("8"), [100.03, 15.0]);
    near(job.found_at("1"), [40.02, 54.99]);
    near(job.found_at("2"), [89.98, 45.03]);
}

#[test]
fn the_covariance_of_a_frame_is_that_of_small_changes_of_the_readings() {
    let off = [("8", [0.01, 0.0]), ("1", [0.02, -0.01]), ("2", [0.0, 0.02])];
    let job = clocked().off(&off).moved(0.002, [0.1, 0.05]).read();
    let says = job.found_of("2").covariance.unwrap();
    // One reading after the other is changed by its own uncertainty; zeros at the plate add none.
    let u = {
        let limit = 0.002 / 3.0_f64.sqrt();
        let step = 0.001 / 12.0_f64.sqrt();
        (limit * limit + step * step).sqrt()
    };
    let sum = common::covariance_by_changes(&job, "2", u);
    for i in 0..2 {
        for j in 0..2 {
            let apart = (sum[i][j] - says[i][j]).abs();
            assert!(apart < 1e-5 * says[0][0].max(says[1][1]), "{sum:?} {says:?}");
        }
    }
}

#[test]
fn a_slot_clocks_as_a_hole_does_and_a_datum_that_was_not_read_is_missed() {
    // The slot is where the hole would have been.
    let off = [("1", [0.01, -0.01]), ("2", [0.0, 0.02])];
    let mut job = clocked_by_a_slot().off(&off).moved(0.001, [0.0, 0.0]).read();
    let one = job.found_at("1");
    assert!((one[0] - 40.01).abs() < 1e-4 && (one[1] - 54.99).abs() < 1e-4, "{one:?}");
    job.pieces[0].readings.retain(|r| r.feature != "7");
    let missed = job.found_of("1");
    assert_eq!(missed.verdict, Verdict::NotMeasured);
}

#[test]
fn a_known_edge_out_of_square_turns_its_axis_by_the_sign_of_the_picture() {
    // Left edge on the plate, its upper end 0.012 farther out over 60: at y = 50 the edge lies
    // 0.010 farther out than at y = 0. The frame is square to B and touches the edge where it lies
    // farthest out, at its upper end, y = 60: 0.012 farther out than at y = 0.
    let mut job = job(&[("1", 30.0, 50.0), ("2", 30.0, 0.0)], &["A", "B", "C"]);
    for (f, y) in [("1", 50.0), ("2", 0.0)] {
        read(&mut job, 1, f, y, None);
        read(&mut job, 2, f, if f == "1" { 30.01 } else { 30.0 }, None);
    }
    job.pieces[0].squareness.push(Squareness {
        orientation: 2,
        farther_out: Figure(0.012),
        over: Figure(60.0),
        ..Squareness::default()
    });
    assert_eq!(why(&job, "1"), Some(Unjudged::EdgeEndsMissing("C".to_owned())));
    job.drawing.outline = Some(Outline {
        left: Figure(0.0),
        bottom: Figure(0.0),
        right: Figure(100.0),
        top: Figure(60.0),
    });
    let (one, two) = (job.found_at("1"), job.found_at("2"));
    assert!((one[0] - 30.012).abs() < 2e-6 && (two[0] - 30.012).abs() < 2e-6, "{one:?} {two:?}");
    // Unknown, either end may touch: u²(e) (a² + b²)/2 with the distances a and b to the ends, 50 and 10
    // for hole 1, 0 and 60 for hole 2.
    job.pieces[0].squareness.clear();
    job.plan.conditions = Conditions {
        squareness: Some(Slope { deviation: Figure(0.012), over: Figure(60.0) }),
        ..Conditions::default()
    };
    let u = |n: &str| job.found_of(n).covariance.unwrap()[0][0].sqrt();
    let more = (u("2") * u("2") - u("1") * u("1")).sqrt();
    let by_ends = f64::from((3600 - 2500 - 100) / 2).sqrt();
    assert!((more - by_ends * 0.0002 / 3.0_f64.sqrt()).abs() < 1e-5, "{more}");
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
    let x = job.found_at("1")[0];
    assert!((x - 99.994_200_669_8).abs() < 1e-9, "{x}");
    // Blocks are of the gauge's kind: they are no length of the part.
    job.plan.orientations[1].rest.blocks = Blocks::High(Figure(50.0));
    job.pieces[0].readings[1].centre[0].0 = 150.0;
    let x = job.found_at("1")[0];
    assert!((x - 99.994_200_669_8).abs() < 1e-9, "{x}");
}

#[test]
fn a_guarded_rule_proves_or_says_that_it_does_not() {
    let mut job = job(&[("1", 30.0, 20.0)], &["A", "B", "C"]);
    read(&mut job, 1, "1", 20.0, None);
    read(&mut job, 2, "1", 30.0485, None);
    // Position 0.097 of 0.1 with a margin of 0.003.
    let simple = job.found_of("1");
    assert_eq!(simple.verdict, Verdict::Conforms);
    let proof = simple.position.as_ref().unwrap().proof.unwrap();
    assert!(proof.expanded.to_mm() > 0.003 && proof.probability > 0.5, "{proof:?}");
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.0 };
    assert_eq!(job.found_of("1").verdict, Verdict::NotProven);
    job.pieces[0].readings[1].centre[0].0 = 30.04;
    assert_eq!(job.found_of("1").verdict, Verdict::Conforms);
    job.pieces[0].readings[1].centre[0].0 = 30.06;
    assert_eq!(job.found_of("1").verdict, Verdict::DoesNotConform);
    // Without an uncertainty nothing is proven.
    job.plan.instruments[0].error_limit = None;
    job.pieces[0].readings[1].centre[0].0 = 30.0;
    assert_eq!(job.found_of("1").verdict, Verdict::NotProven);
}

#[test]
fn a_zero_that_drifted_is_said() {
    let mut job = job(&[("1", 30.0, 20.0)], &["A", "B", "C"]);
    read(&mut job, 1, "1", 20.0, None);
    job.pieces[0].zero_checks.push(ZeroCheck { orientation: 1, end: Figure(0.0) });
    let said = |job: &mut Job, end: f64| {
        job.pieces[0].zero_checks[0].end = Figure(end);
        let problems = &evaluate(job).pieces[0].problems;
        problems.iter().map(quarterturn_core::findings::Problem::says).collect::<Vec<_>>()
    };
    // Nothing is known of the gauge: a tenth of the tightest tolerance, 0.01.
    job.plan.instruments[0].error_limit = None;
    assert_eq!(said(&mut job, 0.009), Vec::<String>::new());
    let problems = said(&mut job, -0.012);
    assert!(problems[0].contains("zero of orientation 1 read −0.012"), "{problems:?}");
    // Errors of ±0.003 and a step of 0.001: four times √2 √(0.003²/3 + 0.001²/12) is 0.009 93.
    job.gauge_errs_by(0.003);
    job.gauge().resolution = Figure(0.001);
    assert_eq!(said(&mut job, 0.0099), Vec::<String>::new());
    assert_eq!(said(&mut job, 0.01).len(), 1);
    // A finer gauge sees a smaller drift: ±0.001 gives 0.003 65.
    job.gauge_errs_by(0.001);
    assert_eq!(said(&mut job, -0.0036), Vec::<String>::new());
    assert_eq!(said(&mut job, -0.0037).len(), 1);
}

#[test]
fn an_angle_that_is_not_known_is_found_where_the_readings_give_it() {
    // Up along +Y, +X and −X; the last one stands a milliradian off, over blocks of unknown height.
    let holes = [("1", 10.0, 10.0), ("2", 90.0, 10.0), ("3", 90.0, 70.0), ("4", 10.0, 70.0)];
    let mut job = job(&holes, &["A", "B", "C"]);
    job.set_outline(Figure(100.0), Figure(80.0));
    job.add_orientation(Side::MinusX);
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
    near(job.found_at("3"), [90.0, 70.0]);
    // Taken as square it contradicts the opposite orientation, and that is said with its cause and amount:
    // a milliradian over the 60 between the rows.
    job.plan.orientations[2].find_angle = false;
    let said: Vec<String> = evaluate(&job).pieces[0].problems.iter().map(|p| p.says()).collect();
    let tilt =
        "Orientations 2 and 3, which are opposite, contradict each other: by 0.060 from one side";
    assert!(said.len() == 1 && said[0].starts_with(tilt), "{said:?}");
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
fn two_repeats_count_with_their_one_degree_of_freedom() {
    let mut job = job(&[("1", 30.0, 20.0)], &["A", "B", "C"]);
    job.plan.instruments[0].error_limit = None;
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.0 };
    read(&mut job, 1, "1", 20.0, None);
    read(&mut job, 2, "1", 30.0, None);
    assert_eq!(job.found_of("1").verdict, Verdict::NotProven);
    job.pieces[0].readings[0].centre.push(Figure(20.0));
    // They agree as well as the display tells; Student's t makes of that what it is worth.
    let proof = job.found_of("1").position.unwrap().proof.unwrap();
    assert!(proof.coverage > 2.5, "{proof:?}");
}

#[test]
fn nothing_is_probable_where_there_is_no_verdict() {
    let mut job = job(&[("1", 30.0, 20.0)], &["A", "B", "C"]);
    job.position("1").modifier = Modifier::Mmc;
    read(&mut job, 1, "1", 20.0, None);
    read(&mut job, 2, "1", 30.07, None);
    for r in &mut job.pieces[0].readings {
        r.size.clear();
    }
    let one = job.found_of("1");
    assert_eq!(one.verdict, Verdict::NotMeasured);
    assert_eq!(one.position.unwrap().proof, None);
}

#[test]
fn a_reading_left_on_what_became_the_zero_makes_no_circle() {
    let mut job = job(&[("1", 10.0, 10.0), ("2", 30.0, 25.0), ("3", 50.0, 40.0)], &["A", "B", "C"]);
    read(&mut job, 1, "1", 10.0, None);
    read(&mut job, 1, "2", 15.0, None);
    read(&mut job, 1, "3", 40.0, Some(Zero::Plate));
    job.plan.orientations[0].zero = from("1");
    let said = &evaluate(&job).pieces[0].problems;
    assert!(!said.iter().any(|p| p.says().contains("circle")), "{said:?}");
    assert!(job.found_of("3").y.at().is_some());
    // What counts from hole 1 is not tied to B, on which the part stands.
    assert_eq!((job.found_of("2").y.at(), job.found_of("2").verdict), (None, Verdict::NotMeasured));
    assert!(said.iter().any(|p| p.says().contains("are not referred to a datum")), "{said:?}");
}

/// The same job with datum D at another face, which looks up at y = 60.
fn with_upper_face(datums: &[&str]) -> Job {
    let holes = part(&[("1", 10.0, 10.0), ("2", 30.0, 25.0)], datums);
    // The face is there and is not touched.
    let mut job = holes.off(&[("2", [0.0, 0.02])]).read();
    job.drawing.features.push(face("T", Side::PlusY, 60.0).feature);
    job.add_datum("D", "T");
    job
}

fn why(job: &Job, number: &str) -> Option<Unjudged> {
    job.found_of(number).position.unwrap().unjudged
}

#[test]
fn a_datum_face_that_was_neither_touched_nor_stood_on_is_missed() {
    let mut job = with_upper_face(&["A", "D", "C"]);
    let two = job.found_of("2");
    assert_eq!(two.verdict, Verdict::NotMeasured);
    assert_eq!(why(&job, "2"), Some(Unjudged::DatumNotMeasured("D".to_owned())));
    let said = quarterturn_core::show::sentence(&two, &job.drawing.features[3], &job);
    assert_eq!(said, "Hole 2 is not fully measured: datum D was not measured.");
    // It is not judged from B, and so nothing says that it is.
    let says = |job: &Job| evaluate(job).problems.iter().any(|p| p.says().contains("all the same"));
    assert!(!says(&job));
    job.take(reading(1, "T").face(60.01));
    let two = job.found_of("2");
    near(two.at(), [30.0, 25.01]);
    assert_eq!(two.verdict, Verdict::Conforms);
    // A callout that names nothing along Y is judged from what the part stands on.
    let mut other = with_upper_face(&["A", "C"]);
    assert!(says(&other));
    assert_eq!(other.found_of("2").verdict, Verdict::Conforms);
    // The part stood on D, and no height along Y was read there: it ties nothing.
    other = with_upper_face(&["A", "D", "C"]);
    let third = other.add_orientation(Side::MinusY);
    assert_eq!(other.plan.orientations[2].rest.face.as_deref(), Some("T"));
    assert_eq!(other.found_of("2").verdict, Verdict::NotMeasured);
    other.plan.orientations[2].taken = Taken::CentreAndSize;
    read(&mut other, third, "1", 50.0, None);
    read(&mut other, third, "2", 35.0, None);
    assert_eq!(other.found_of("2").verdict, Verdict::Conforms);
    // Over blocks of unknown height it tells differences only.
    other.plan.orientations[2].rest.blocks = Blocks::UNKNOWN;
    assert_eq!(other.found_of("2").verdict, Verdict::NotMeasured);
}

#[test]
fn what_carries_the_part_is_a_datum_without_a_touch() {
    let stands = |change: &dyn Fn(&mut Job)| {
        let mut job = job(&[("1", 10.0, 10.0)], &["A", "B", "C"]);
        read(&mut job, 1, "1", 10.0, None);
        read(&mut job, 2, "1", 10.0, None);
        change(&mut job);
        let said = evaluate(&job).problems;
        (job.found_of("1").verdict, said.iter().any(|p| p.says().contains("no datum")))
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
            job.drawing.outline =
                Some(Outline::sized(Figure(left), Figure(0.0), Figure(80.0 - left), Figure(60.0)));
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
        problems.into_iter().map(|p| p.says()).filter(|s| s.contains("measures from")).collect()
    };
    assert_eq!(said(&job), Vec::<String>::new());
    // By the plan it counts from hole 1, and all that was read counts from the plate under B.
    job.plan.orientations[0].zero = from("1");
    assert!(said(&job)[0].contains("measures from 1, which is no datum"), "{:?}", said(&job));
    read(&mut job, 1, "2", 25.0, Some(Zero::Plate));
    assert_eq!(said(&job), Vec::<String>::new());
    // Hole 1 is a link of a chain that ends at the plate.
    job.plan.orientations[0].zero = Zero::Plate;
    job.pieces[0].readings.clear();
    read(&mut job, 1, "1", 10.0, None);
    read(&mut job, 1, "2", 15.0, Some(from("1")));
    assert_eq!(said(&job), Vec::<String>::new());
}

/// Takes orientation 1 by touches: the height of the centre and half of the size about it.
fn touched(job: &mut Job, feature: &str, centre: f64, zero: Option<Zero>) {
    job.plan.orientations[0].taken = Taken::Touches;
    let read = reading(1, feature).low(centre - 3.025).high(centre + 3.025);
    job.take(Reading { zero, ..read });
}

#[test]
fn a_zero_of_which_one_point_alone_was_read_is_a_missing_end() {
    let holes = [("3", 10.0, 10.0), ("4", 30.0, 25.0), ("5", 50.0, 40.0)];
    let mut job = job(&holes, &["A", "B", "C"]);
    // Hole 3 really lies at 10.05: held at 10 it would put the others off by that.
    touched(&mut job, "3", 10.05, None);
    touched(&mut job, "4", 14.95, Some(from("3")));
    touched(&mut job, "5", 15.0, Some(from("4")));
    for (f, x, _) in holes {
        read(&mut job, 2, f, x, None);
    }
    near(job.found_at("5"), [50.0, 40.0]);
    job.pieces[0].readings[0].high.clear();
    let said = |job: &Job| -> Vec<String> {
        let problems = evaluate(job).pieces[0].problems.clone();
        problems.into_iter().filter(|p| p.weight == Weight::Stops).map(|p| p.says()).collect()
    };
    assert_eq!(
        said(&job),
        ["In orientation 1 4 counts from 3, of which only the lowest point was read. Take the \
          highest point too, or choose another zero for it."]
    );
    for hole in ["3", "4", "5"] {
        assert_eq!(job.found_of(hole).y.at(), None, "{hole}");
    }
    // Set to zero at hole 3 and not read, it is taken as the drawing has it.
    job.pieces[0].readings.remove(0);
    job.plan.orientations[0].zero = from("3");
    assert_eq!(said(&job), Vec::<String>::new());
    near(job.found_at("5"), [50.0, 39.95]);
    // A link whose own zero makes no sense is none either.
    job.plan.orientations[0].zero = Zero::Plate;
    touched(&mut job, "3", 10.05, Some(from("9")));
    assert!(said(&job).iter().any(|s| s.contains("9, which has no reading")), "{:?}", said(&job));
    touched(&mut job, "9", 3.0, None);
    assert!(said(&job).iter().any(|s| s.contains("4 counts from 3, whose own zero")));
    assert_eq!(job.found_of("5").y.at(), None);
}

#[test]
fn a_link_of_a_chain_over_unknown_blocks_is_not_taken_as_true() {
    let mut job = job(&[("1", 10.0, 10.0), ("2", 30.0, 25.0)], &["A", "B", "C"]);
    job.plan.orientations[0].rest.blocks = Blocks::UNKNOWN;
    read(&mut job, 1, "1", 77.7, None);
    read(&mut job, 1, "2", 15.0, Some(from("1")));
    // It counts from hole 1, and nothing ties that to B.
    let two = job.found_of("2");
    assert_eq!(
        (two.verdict, two.position.unwrap().verdict),
        (Verdict::NotMeasured, Verdict::NotMeasured)
    );
}

/// Holes 7 and 8 stop the frame; slot 5 is held against them, and seen along Y alone.
fn clocked_slot(turn: f64, x: Option<f64>) -> Job {
    let slot = slot("5", Axis::Y, [120.0, 40.0]).limits(6.0, 6.1).position(0.1, &["A", "D", "E"]);
    let mut job = clocked().put(slot.off([0.0, 0.01])).moved(turn, [0.3, -0.2]).read();
    job.drawn("5").x = x.map(Figure);
    job
}

#[test]
fn a_slot_in_a_turned_frame_needs_its_place_along_itself() {
    // By the drawing it is at (120, 40): known along Y alone, the other coordinate counts by the
    // angle.
    let job = clocked_slot(0.002, Some(120.0));
    let five = job.found_of("5");
    assert!((five.y.at().unwrap().to_mm() - 40.01).abs() < 1e-9, "{:?}", five.y);
    assert_eq!(five.x.at(), None);
    // Its uncertainty is that of small changes of the readings, but for the angle's own share in
    // where along X it is taken to be.
    let says = five.covariance.unwrap()[1][1];
    let u = {
        let (limit, step) = (0.002 / 3.0_f64.sqrt(), 0.001 / 12.0_f64.sqrt());
        (limit * limit + step * step).sqrt()
    };
    let sum = common::covariance_by_changes(&job, "5", u)[1][1];
    assert!((sum / says - 1.0).abs() < 2e-3, "{sum} {says}");

    // The drawing does not say where along X it is: nothing is taken for it.
    let job = clocked_slot(0.002, None);
    let five = job.found_of("5");
    assert_eq!((five.y.at(), five.verdict), (None, Verdict::CannotBeJudged));
    assert_eq!(why(&job, "5"), Some(Unjudged::NominalMissing(Axis::X)));
    let asked = |job: &Job, number: &str| {
        let sentence = format!("X of slot {number} is missing on the drawing");
        evaluate(job).problems.iter().any(|p| p.says().contains(&sentence))
    };
    assert!(asked(&job, "5"));
    // In a frame that is not turned it does not matter.
    let mut plain = job.clone();
    plain.positions().for_each(|p| p.datums = DatumRef::all(&["A", "D"]));
    let five = plain.found_of("5");
    let (s, c) = libm::sincos(0.002);
    let stood = s * (120.0 - 20.0) + c * (40.01 - 15.0) + 15.0;
    assert!((five.y.at().unwrap().to_mm() - stood).abs() < 1e-9);
    assert!(!asked(&plain, "5"));
}

#[test]
fn a_slot_that_stops_the_rotation_needs_its_place_along_itself() {
    let mut job = clocked_by_a_slot().moved(0.001, [0.0, 0.0]).read();
    job.drawn("8").x = None;
    job.pieces[0].readings.retain(|r| r.feature != "2");
    let lacks = Unjudged::DatumNominalMissing("E".to_owned(), Axis::X);
    assert_eq!(why(&job, "1"), Some(lacks.clone()));
    assert_eq!(quarterturn_core::show::unjudged(&lacks), "basic X of datum E is missing");
    let said = evaluate(&job).problems;
    assert!(said.iter().any(|p| p.says().contains("X of slot 8 is missing")), "{said:?}");
    job.drawn("8").x = Some(Figure(100.0));
    let one = job.found_at("1");
    assert!((one[0] - 40.0).abs() < 1e-7 && (one[1] - 55.0).abs() < 1e-7, "{one:?}");
}
