//! Which way edges and planes run, and how sure that is: worked out by hand.

use crate::build::{Build, Part, Read, face, hole, reading};
use crate::common::close;
use quarterturn_core::callout::Verdict;
use quarterturn_core::evaluate;
use quarterturn_core::findings::{Findings, ProblemKind};
use quarterturn_core::job::{Blocks, DecisionRule, Job, Slope, Squareness, Standard};
use quarterturn_core::quantity::{Figure, Side, Unit};

/// A plate of 100 by 60 with faces on all four edges, its gauge read by centres.
fn plate(datums: &[&str]) -> Job {
    let mut job = Part::plate(Unit::Mm, [100.0, 60.0])
        .put(hole("1", [90.0, 30.0]).limits(6.0, 6.1).position(0.5, datums))
        .job;
    job.gauge_errs_by(0.002);
    job.reads_centres();
    job
}

fn take(job: &mut Job, orientation: u32, height: f64) {
    job.take(reading(orientation, "1").centre(height).size(6.05));
}

fn variance(job: &Job, axis: usize) -> f64 {
    job.found_of("1").covariance.unwrap()[axis][axis]
}

fn says(findings: &Findings, what: impl Fn(&ProblemKind) -> bool) -> usize {
    let all = findings.pieces.iter().flat_map(|p| &p.problems).chain(&findings.problems);
    all.filter(|p| what(&p.what)).count()
}

fn limit(deviation: f64, over: f64) -> Option<Slope> {
    Some(Slope { deviation: Figure(deviation), over: Figure(over) })
}

/// The top face E stops the rotation and is touched at one place while the part stands on B. That E is
/// parallel to B is known to ±0.03 over 60 alone, uniform: 0.0005/√3 rad. The hole lies 40 beside the
/// middle of E, where E is touched, so its distance from E is uncertain by 40 × 0.0005/√3.
#[test]
fn a_datum_face_that_was_only_touched_is_parallel_to_what_carried_the_part_within_the_limit() {
    let mut job = plate(&["A", "E", "C"]);
    job.add_datum("E", "E");
    job.take(reading(1, "E").face(60.0));
    take(&mut job, 1, 30.0);
    take(&mut job, 2, 90.0);
    let exact = variance(&job, 1);
    job.plan.conditions.squareness = limit(0.03, 60.0);
    let u = 40.0 * 0.0005 / 3.0_f64.sqrt();
    close((variance(&job, 1) - exact) / (u * u), 1.0, 1e-3);
    // Standing on it tells its direction: then only the squareness to the other edges is open.
    job.stand(1).up_degrees = 270.0;
    job.stand(1).rest.face = Some("E".to_owned());
    job.pieces[0].readings.retain(|r| r.feature != "E");
    assert!(variance(&job, 1) <= exact, "{} {exact}", variance(&job, 1));
}

/// C is the left edge. It is touched with the right edge D on the plate, which leans by 0.012 over 60,
/// and hanging over with the shoulder S on the plate, which leans by nothing: as each says the same of C as surely, C leans by the half, 0.006 over 60. Touched at its middle, its outermost end is
/// 30 farther along the edge and 0.003 farther out: so much the hole, at the middle too, is farther in.
#[test]
fn a_face_looked_at_in_two_orientations_runs_in_the_middle_of_both() {
    for swapped in [false, true] {
        let mut job = plate(&["A", "B", "C"]);
        job.drawing.features.push(face("S", Side::MinusX, 10.0).feature);
        let mut low = job.plan.orientations[1].clone();
        let mut high = low.clone();
        (low.number, low.up_degrees) = (2, 180.0);
        (high.number, high.up_degrees) = (3, 0.0);
        low.rest.face = Some("D".to_owned());
        high.rest.face = Some("S".to_owned());
        high.rest.blocks = Blocks::UNKNOWN;
        job.plan.orientations.truncate(1);
        job.plan.orientations.extend(if swapped { [high, low] } else { [low, high] });
        take(&mut job, 1, 30.0);
        for (orientation, c, hole) in [(2, 100.0, 10.0), (3, 0.0, 90.0)] {
            job.take(reading(orientation, "C").face(c));
            take(&mut job, orientation, hole);
        }
        close(job.found_at("1")[0], 90.0, 1e-9);
        job.pieces[0].set_squareness(
            2,
            Some(Squareness {
                farther_out: Figure(0.012),
                over: Figure(60.0),
                ..Squareness::default()
            }),
        );
        close(job.found_at("1")[0], 90.003, 2e-6);
    }
}

/// C leans out by 0.02 over 60, known to 0.002 over 60. It touches its plane at its upper end, y = 60.
/// The hole lies 30 from there along the edge, and 90 × 0.02/60 = 0.03 more as the axes lean: u grows by
/// 30.03 × 0.002/60 = 0.001001.
#[test]
fn the_uncertainty_of_a_squareness_acts_over_the_way_to_the_end_that_touches() {
    let mut job = plate(&["A", "B", "C"]);
    take(&mut job, 1, 30.0);
    take(&mut job, 2, 90.0);
    let known = Squareness {
        orientation: 2,
        farther_out: Figure(0.02),
        over: Figure(60.0),
        ..Squareness::default()
    };
    job.pieces[0].set_squareness(2, Some(known));
    let (at, exact) = (job.found_at("1"), variance(&job, 0));
    close(at[0], 90.01, 1e-5);
    let uncertain = Squareness { standard: Some(Figure(0.002)), ..known };
    job.pieces[0].set_squareness(2, Some(uncertain));
    close(job.found_at("1")[0], at[0], 1e-12);
    close((variance(&job, 0) - exact) * 1e6, 1.001 * 1.001, 1e-4);
    // What any two edges may be out of square does not count between two whose squareness is known.
    job.plan.conditions.squareness = limit(0.06, 60.0);
    close((variance(&job, 0) - exact) * 1e6, 1.001 * 1.001, 1e-4);
    // As exact as may be is as exact.
    job.plan.conditions.squareness = None;
    job.pieces[0].set_squareness(2, Some(Squareness { standard: Some(Figure(0.0)), ..known }));
    close(variance(&job, 0), exact, 1e-15);
}

/// Three edges in a row: D against C with 0.003 over 60, C against B with 0.004 over 60. Between D and B
/// both count: 0.005 over 60, at 30 from the end that touches 0.0025.
#[test]
fn uncertain_squarenesses_add_up_along_a_chain() {
    let mut job = plate(&["A", "B", "D"]);
    job.add_datum("D", "D");
    let mut right = job.plan.orientations[1].clone();
    (right.number, right.up_degrees) = (3, 180.0);
    right.rest.face = Some("D".to_owned());
    job.plan.orientations.push(right);
    take(&mut job, 1, 30.0);
    take(&mut job, 3, 10.0);
    for (orientation, out, standard, against) in [(2, 0.0, 0.004, 1), (3, 0.06, 0.003, 2)] {
        job.pieces[0].set_squareness(
            orientation,
            Some(Squareness {
                orientation,
                farther_out: Figure(out),
                over: Figure(60.0),
                against: Some(against),
                standard: Some(Figure(standard)),
            }),
        );
    }
    let uncertain = variance(&job, 0);
    for s in &mut job.pieces[0].squareness {
        s.standard = None;
    }
    close((uncertain - variance(&job, 0)) * 1e6, 6.25, 0.02);
}

/// Where the drawing has no outline the ends of an edge of unknown squareness are not known, and that is
/// said; a metric drawing names its standard, or is asked for it.
#[test]
fn what_the_drawing_leaves_open_is_asked_for() {
    let mut job = plate(&["A", "B", "C"]);
    let ends = |what: &ProblemKind| *what == ProblemKind::EndsAssumed(vec!["face C".to_owned()]);
    let standard = |what: &ProblemKind| *what == ProblemKind::StandardNotStated;
    assert_eq!(says(&evaluate(&job), ends), 0);
    assert_eq!(says(&evaluate(&job), standard), 1);
    job.drawing.standard = Some(Standard::IsoGps);
    job.plan.conditions.squareness = limit(0.03, 60.0);
    assert_eq!(says(&evaluate(&job), ends), 0);
    job.drawing.outline = None;
    assert_eq!(says(&evaluate(&job), ends), 1);
    assert_eq!(says(&evaluate(&job), standard), 0);
    job.plan.conditions.squareness = None;
    assert_eq!(says(&evaluate(&job), ends), 0);
    job.drawing.standard = None;
    assert_eq!(says(&evaluate(&job), standard), 1);
    job.drawing.unit = Unit::Inch;
    assert_eq!(says(&evaluate(&job), standard), 0);
}

/// A row of two holes free along X, 0.3 each. A touch and the setting of the zero repeat to 0.02. Hole 1
/// is 0.1 too high, margin 0.1, and was read 25 times: its guard band is 2 × 2 × 0.02 √(1 + 1/25) =
/// 0.0816 and a little for the gauge. Hole 2 is 0.095 too low, margin 0.11, and was read once: 2 × 2 ×
/// 0.02 √2 = 0.1131. Hole 1 limits the pattern and is proven; hole 2 is not.
#[test]
fn every_feature_of_a_pattern_is_held_against_its_own_guard_band() {
    let mut job = Part::by_centres()
        .put(hole("1", [20.0, 20.0]).limits(6.0, 6.4).position(0.3, &["A", "B"]))
        .put(hole("2", [80.0, 20.0]).limits(6.0, 6.4).position(0.3, &["A", "B"]))
        .job;
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.0 };
    job.gauge().repeatability = Some(Figure(0.02));
    job.plan.conditions.rest_standard = Some(Figure(0.001));
    let read = |job: &mut Job, times: usize| {
        job.pieces[0].readings.clear();
        for (number, x, y, n) in [("1", 20.0, 20.1, 25), ("2", 80.0, 19.905, times)] {
            for (orientation, height) in [(1, y), (2, x)] {
                let mut one = reading(orientation, number).size(6.2);
                one.centre = vec![Figure(height); n];
                job.take(one);
            }
        }
    };
    let verdicts = |job: &Job| {
        let piece = job.found();
        let own = ["1", "2"].map(|n| {
            let found = piece.features.iter().find(|f| f.number == n).unwrap();
            found.positions().next().unwrap().verdict
        });
        (piece.patterns[0].verdict, own, piece.patterns[0].holding.clone())
    };
    read(&mut job, 1);
    let second = job.drawing.features.iter().position(|f| f.number == "2").unwrap();
    let own = [Verdict::Conforms, Verdict::NotProven];
    assert_eq!(verdicts(&job), (Verdict::NotProven, own, vec![second]));
    read(&mut job, 25);
    let (pattern, own, _) = verdicts(&job);
    assert_eq!((pattern, own), (Verdict::Conforms, [Verdict::Conforms; 2]));
}
