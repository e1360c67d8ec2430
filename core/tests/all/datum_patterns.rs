//! Datums that stand on several features: the centre of a bolt circle, and the best fit of a pattern.

use crate::build::{Build, Part, hole};
use crate::common::{covariance_by_changes, near};
use quarterturn_core::callout::{Unjudged, Verdict};
use quarterturn_core::evaluate;
use quarterturn_core::job::{
    Blocks, Datum, DatumPattern, Job, PatternKind, read as read_job, write,
};
use quarterturn_core::quantity::Figure;

/// Six holes on a circle of radius 50 about (80, 60), and hole 9 beside it. Rounded as a drawing
/// has them.
const HOLES: [(&str, f64, f64); 7] = [
    ("1", 130.0, 60.0),
    ("2", 105.0, 103.301),
    ("3", 55.0, 103.301),
    ("4", 30.0, 60.0),
    ("5", 55.0, 16.699),
    ("6", 105.0, 16.699),
    ("9", 160.0, 95.0),
];

/// How far the holes of a piece lie from where the drawing has them.
const OFF: [(&str, [f64; 2]); 7] = [
    ("1", [0.012, -0.004]),
    ("2", [-0.006, 0.011]),
    ("3", [0.003, 0.008]),
    ("4", [-0.01, -0.005]),
    ("5", [0.007, -0.009]),
    ("6", [0.002, 0.006]),
    ("9", [0.02, -0.03]),
];

fn part(datums: &[&str]) -> Part {
    let holes =
        HOLES.map(|(number, x, y)| hole(number, [x, y]).limits(6.0, 6.1).position(0.2, datums));
    Part::by_centres().put_all(holes)
}

fn imperfect(datums: &[&str]) -> Part {
    part(datums).off(&OFF)
}

fn why(job: &Job, number: &str) -> Option<Unjudged> {
    job.found_of(number).position.unwrap().unjudged
}

const CIRCLE: [&str; 6] = ["1", "2", "3", "4", "5", "6"];

#[test]
fn a_centre_of_a_circle_is_an_origin_and_another_hole_stops_the_rotation() {
    let part = imperfect(&["A", "D", "E"]).datum_circle("D", &CIRCLE).datum("E", "9");
    // Where the part lies does not matter.
    let elsewhere = part.clone().moved(0.003, [0.4, -0.3]).read();
    let job = part.read();
    for hole in ["1", "4", "9"] {
        near(job.found_at(hole), elsewhere.found_at(hole), 1e-9);
    }
    // The basic circle is about (80, 60) by symmetry, and hole 9 lies in its direction from there.
    let (centre, basic) = (CENTRE, [80.0, 60.0]);
    let nine = [160.02 - centre[0], 94.97 - centre[1]];
    let arm = [160.0 - basic[0], 95.0 - basic[1]];
    let turn = libm::atan2(arm[1], arm[0]) - libm::atan2(nine[1], nine[0]);
    let (s, c) = libm::sincos(turn);
    let one = [130.012 - centre[0], 59.996 - centre[1]];
    let should = [basic[0] + c * one[0] - s * one[1], basic[1] + s * one[0] + c * one[1]];
    near(job.found_at("1"), should, 1e-9);
}

/// Of the circle through the six as they lie. Computed independently, by a pattern search for the
/// least sum of squares in decimals of 50 digits.
const CENTRE: [f64; 2] = [79.999_434_322_089_7, 60.003_421_615_412_37];

#[test]
fn a_best_fit_takes_translations_and_rotation() {
    // The pattern moved as a whole: nothing is left of it.
    let fitted =
        |part: Part| part.datum_fit("D", &["1", "3", "5", "6"]).moved(0.002, [0.3, 0.1]).read();
    let rigid = fitted(part(&["A", "D"]));
    for (hole, x, y) in HOLES {
        near(rigid.found_at(hole), [x, y], 1e-9);
    }
    // With errors of its own: no other place of the whole has a smaller sum of squares.
    let job = fitted(imperfect(&["A", "D"]));
    let rest: Vec<([f64; 2], [f64; 2])> = HOLES
        .iter()
        .filter(|(n, ..)| ["1", "3", "5", "6"].contains(n))
        .map(|(n, x, y)| (job.found_at(n), [*x, *y]))
        .collect();
    let squares = |dx: f64, dy: f64, turn: f64| -> f64 {
        let (s, c) = libm::sincos(turn);
        rest.iter()
            .map(|(p, b)| {
                let (x, y) = (p[0] - 80.0, p[1] - 60.0);
                let ex = 80.0 + c * x - s * y + dx - b[0];
                let ey = 60.0 + s * x + c * y + dy - b[1];
                ex * ex + ey * ey
            })
            .sum()
    };
    let least = squares(0.0, 0.0, 0.0);
    assert!(least > 1e-5, "they have errors of their own: {least}");
    for (dx, dy, turn) in [(1e-5, 0.0, 0.0), (0.0, 1e-5, 0.0), (0.0, 0.0, 1e-7)] {
        assert!(squares(dx, dy, turn) > least && squares(-dx, -dy, -turn) > least);
    }
}

#[test]
fn after_a_face_a_pattern_takes_what_is_left() {
    let part = imperfect(&["A", "B", "D"]).datum_fit("D", &["1", "4"]);
    let job = part.moved(0.0, [0.5, 0.0]).read();
    // Along Y from face B, on which it stands; along X from the mean of holes 1 and 4.
    near(job.found_at("9"), [160.02 - 0.5 * (0.012 - 0.01), 94.97], 1e-9);
}

#[test]
fn a_best_fit_after_a_hole_turns_about_it() {
    let part = imperfect(&["A", "E", "D"]).datum("E", "4").datum_fit("D", &["1", "2", "6"]);
    let job = part.moved(0.001, [0.1, 0.2]).read();
    near(job.found_at("4"), [30.0, 60.0], 1e-9);
    // The torque of what is left about the origin is none.
    let torque: f64 = HOLES
        .iter()
        .filter(|(n, ..)| ["1", "2", "6"].contains(n))
        .map(|(n, x, y)| {
            let p = job.found_at(n);
            (x - 30.0) * (p[1] - y) - (y - 60.0) * (p[0] - x)
        })
        .sum();
    assert!(torque.abs() < 1e-9, "{torque}");
}

#[test]
fn the_covariance_of_a_pattern_is_that_of_small_changes_of_the_readings() {
    let u = {
        let (limit, step) = (0.002 / 3.0_f64.sqrt(), 0.001 / 12.0_f64.sqrt());
        (limit * limit + step * step).sqrt()
    };
    let circled = imperfect(&["A", "D", "E"])
        .datum_circle("D", &["1", "2", "3", "5"])
        .datum_fit("E", &["2", "9"]);
    let fitted = imperfect(&["A", "D"]).datum_fit("D", &CIRCLE);
    for part in [circled, fitted] {
        let job = part.moved(0.002, [0.1, 0.05]).read();
        // One that is in the pattern, and one that is beside it.
        for hole in ["2", "4", "9"] {
            let says = job.found_of(hole).covariance.unwrap();
            let sum = covariance_by_changes(&job, hole, u);
            for (sum, says) in sum.iter().flatten().zip(says.iter().flatten()) {
                assert!((sum - says).abs() < 1e-3 * u * u, "{hole}: {sum} {says}");
            }
        }
    }
}

#[test]
fn over_unknown_blocks_a_pattern_ties_the_heights() {
    let part = part(&["A", "D"]).datum_fit("D", &["1", "4"]).moved(0.001, [77.7, 55.5]);
    let mut job = part.read();
    job.drawing.datums.retain(|d| d.letter == "A" || d.letter == "D");
    for o in &mut job.plan.orientations {
        o.rest.blocks = Blocks::UNKNOWN;
    }
    near(job.found_at("9"), [160.0, 95.0], 1e-9);
    assert_eq!(job.found_of("9").verdict, Verdict::Conforms);
}

#[test]
fn what_makes_no_datum_is_said() {
    let job = imperfect(&["A", "D"]).datum_circle("D", &["1", "4", "9"]).read();
    assert_eq!(job.found_of("2").verdict, Verdict::Conforms);
    let mut missed = job.clone();
    missed.pieces[0].readings.retain(|r| r.feature != "4" || r.orientation != 2);
    assert_eq!(why(&missed, "2"), Some(Unjudged::DatumNotMeasured("D".to_owned())));
    assert_eq!(missed.found_of("2").verdict, Verdict::NotMeasured);
    let with = |features: &[&str]| {
        let mut job = job.clone();
        job.drawing.datums.pop();
        job.add_datum_pattern("D", PatternKind::Circle, features);
        let said = evaluate(&job).problems.into_iter().find(|p| p.says().contains("Datum D"));
        (why(&job, "2"), job.found_of("2").verdict, said.map(|p| p.says()))
    };
    let (reason, verdict, said) = with(&["1", "4", "8"]);
    assert_eq!(reason, Some(Unjudged::DatumPattern("D".to_owned())));
    assert_eq!(verdict, Verdict::CannotBeJudged);
    assert!(said.unwrap().contains("there is no feature 8"));
    assert!(with(&["1", "4", "B"]).2.unwrap().contains("B is a face"));
    assert!(with(&["1", "4", "1"]).2.unwrap().contains("1 is named twice"));
    // Three holes in a line make no circle.
    let mut line = job.clone();
    line.drawn("9").y = Some(Figure(60.0));
    for (o, was) in [(1, 94.97), (2, 160.02)] {
        let nine = line.taken("9").find(|r| r.orientation == o).unwrap();
        assert!((nine.centre[0].0 - was).abs() < 1e-9);
        nine.centre[0].0 = if o == 1 { 59.99 } else { was };
    }
    assert_eq!(why(&line, "2"), Some(Unjudged::DatumShapeless("D".to_owned())));
}

#[test]
fn a_pattern_is_kept_in_the_file_and_its_shape_is_checked() {
    let mut job = part(&["A", "D"]).datum_circle("D", &CIRCLE).job;
    let text = write(&job);
    assert_eq!(read_job(&text).unwrap(), job);
    let refused = |change: &dyn Fn(&mut Datum)| {
        let mut job = job.clone();
        change(job.drawing.datums.last_mut().unwrap());
        read_job(&write(&job)).unwrap_err()
    };
    let set = |kind, features: Vec<String>| {
        move |d: &mut Datum| d.pattern = Some(DatumPattern { kind, features: features.clone() })
    };
    let two = || vec!["1".to_owned(), "2".to_owned()];
    let circle = refused(&set(PatternKind::Circle, two()));
    assert_eq!(circle.place, "drawing.datums[3].pattern");
    assert!(circle.what.contains("made of 3 features or more"), "{circle}");
    refused(&set(PatternKind::BestFit, two()[..1].to_vec()));
    refused(&set(PatternKind::BestFit, vec!["1".to_owned(); 101]));
    refused(&set(PatternKind::BestFit, vec!["1".repeat(17), "2".to_owned()]));
    refused(&|d| d.feature = Some("1".to_owned()));
    // A job without patterns is written as before.
    job.drawing.datums.pop();
    assert!(!write(&job).contains("pattern"));
}

#[test]
fn a_circle_through_points_far_from_any_is_questioned() {
    let said = |holes: &[&str]| {
        let job = part(&["A", "D"]).datum_circle("D", holes).read();
        let problems = evaluate(&job).pieces.remove(0).problems;
        problems.iter().any(|p| p.says().contains("the centre is not reliable"))
    };
    assert!(!said(&CIRCLE));
    assert!(said(&["1", "2", "4", "9"]));
}
