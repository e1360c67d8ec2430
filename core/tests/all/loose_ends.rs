//! What was read and is not known all the same is said in words, with what it hangs on.

use crate::build::{Build, Part, Read, from, hole, reading};
use quarterturn_core::findings::{Place, Weight};
use quarterturn_core::job::{Blocks, Job, Orientation, Taken};
use quarterturn_core::quantity::Figure;
use quarterturn_core::{callout::Verdict, evaluate};

const HOLES: [(&str, f64, f64); 4] =
    [("1", 10.0, 10.0), ("2", 90.0, 10.0), ("3", 90.0, 70.0), ("4", 10.0, 70.0)];

/// Four holes; centres are read.
fn job() -> Job {
    let holes = HOLES.map(|(number, x, y)| hole(number, [x, y]));
    Part::mm().with(Job::reads_centres).put_all(holes).job
}

fn read(job: &mut Job, orientation: u32, feature: &str, centre: f64) {
    job.take(reading(orientation, feature).centre(centre));
}

/// What stops a result, and where.
fn said(job: &Job) -> Vec<(Place, String)> {
    let problems = evaluate(job).pieces[0].problems.clone();
    let stops = problems.into_iter().filter(|p| p.weight == Weight::Stops);
    stops.map(|p| (p.place.clone(), p.says())).collect()
}

#[test]
fn an_angle_that_the_readings_do_not_give_is_said() {
    let mut job = job();
    job.plan.orientations[1].find_angle = true;
    for (f, x, y) in HOLES {
        read(&mut job, 1, f, y);
        read(&mut job, 2, f, x);
    }
    assert_eq!(job.found_of("3").x.at(), None);
    assert!(job.found_of("3").y.at().is_some());
    let says = "The angle of orientation 2 is to be found from the readings, and they do not give \
                it: X of hole 1, hole 2, hole 3 and 1 more is not known. Read the same features in \
                one more orientation, or take the angle as stated.";
    assert_eq!(said(&job), [(Place::Orientation(2), says.to_owned())]);
    job.plan.orientations[1].find_angle = false;
    assert_eq!(said(&job), []);
    assert!(job.found_of("3").x.at().is_some());
}

#[test]
fn what_hangs_loose_along_one_axis_is_said() {
    let mut job = job();
    job.plan.orientations[0].rest.blocks = Blocks::UNKNOWN;
    for (f, x, y) in HOLES {
        read(&mut job, 1, f, y + 33.3);
        if f != "1" {
            read(&mut job, 2, f, x);
        }
    }
    let says = "The heights of orientation 1 are not referred to a datum: Y of hole 1, hole 2, hole 3 and 1 \
                more is not known. Set its zero at the datum, touch the datum in it, or stand the part on \
                it and enter the height of the blocks.";
    assert_eq!(said(&job), [(Place::Orientation(1), says.to_owned())]);
    assert!(job.found_of("2").x.at().is_some());
    job.plan.orientations[0].rest.blocks = Blocks::High(Figure(33.3));
    assert_eq!(said(&job), []);
}

#[test]
fn what_only_an_oblique_direction_saw_is_said() {
    let mut job = job();
    job.plan.orientations.push(Orientation {
        number: 3,
        up_degrees: 30.0,
        zero: from("1"),
        taken: Taken::CentreAndSize,
        ..Orientation::default()
    });
    for (f, x, y) in &HOLES[..2] {
        read(&mut job, 1, f, *y);
        read(&mut job, 2, f, *x);
    }
    // Hole 3 lies 80 to the right of hole 1 and 60 above it.
    read(&mut job, 3, "3", 80.0 * 0.75_f64.sqrt() + 60.0 * 0.5);
    let three = job.found_of("3");
    assert_eq!((three.x.at(), three.y.at(), three.verdict), (None, None, Verdict::NothingAsked));
    let says = "Orientation 3 alone looks at hole 3, along neither X nor Y: neither coordinate is known. \
                Read hole 3 in another orientation too.";
    assert_eq!(said(&job), [(Place::Orientation(3), says.to_owned())]);
    // With its height in another one it is known.
    read(&mut job, 1, "3", 70.0);
    assert_eq!(said(&job), []);
    assert!((job.found_of("3").x.at().unwrap().to_mm() - 90.0).abs() < 1e-9);
}

#[test]
fn what_was_not_read_yet_is_no_loose_end() {
    let mut job = job();
    for (f, _, y) in HOLES {
        read(&mut job, 1, f, y);
    }
    assert_eq!(said(&job), []);
}
