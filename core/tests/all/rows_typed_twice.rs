//! Rows typed twice: low and high both those of another feature, to the last digit.

use crate::build::{Build, Part, hole};
use quarterturn_core::bench::{Guess, Question};
use quarterturn_core::job::{Job, Touch};
use quarterturn_core::quantity::{Figure, Unit};

/// Six holes of 6 to 6.1 in one row, 0.001 shown. Where their centres lie beside it and how large they are
/// are `scatter` times these.
fn row(scatter: f64) -> Job {
    let off = [0.021, -0.033, 0.012, -0.008, 0.027, -0.019];
    let size = [0.003, 0.011, -0.014, -0.006, 0.018, -0.009];
    let places = (1..).zip(off.iter().zip(size));
    let made = places.map(|(n, (off, size))| {
        hole(&n.to_string(), [15.0 * f64::from(n), 20.0])
            .limits(6.0, 6.1)
            .off([off * scatter, off * scatter])
            .sized(6.05 + size * scatter)
            .position(0.2, &["A", "B", "C"])
    });
    let mut job = Part::plate(Unit::Mm, [110.0, 40.0]).put_all(made).read();
    job.gauge_errs_by(0.002);
    job
}

/// Types the row of the second hole as that of the first, in the orientation that sees them alike.
fn twice(mut job: Job) -> Job {
    for touch in [Touch::Low, Touch::High] {
        let first = values(&job, "1", touch);
        job.pieces[0].set_values(1, "2", touch, first);
    }
    job
}

fn values(job: &Job, feature: &str, touch: Touch) -> Vec<Figure> {
    job.pieces[0].reading(1, feature).unwrap().values(touch).to_vec()
}

fn of_rows(job: &Job) -> Vec<Question> {
    let asked = job.found().questions;
    asked.into_iter().filter(|q| matches!(q.guess, Guess::SameAsRow { .. })).collect()
}

#[test]
fn a_row_typed_twice_is_asked_about_and_named() {
    let job = row(1.0);
    assert_eq!(of_rows(&job), []);
    let asked = of_rows(&twice(job));
    let [only] = asked.as_slice() else { panic!("{asked:?}") };
    let Guess::SameAsRow { name, .. } = &only.guess else { panic!("{only:?}") };
    // The sizes of the other orientation tell which of the two is wrong.
    assert_eq!((only.orientation, only.name.as_str(), name.as_str()), (1, "hole 2", "hole 1"));
    assert!(only.says().contains("both readings are those of hole 1"), "{}", only.says());
}

#[test]
fn touched_again_it_has_been_answered() {
    let mut job = twice(row(1.0));
    for touch in [Touch::Low, Touch::High] {
        let once = values(&job, "2", touch)[0];
        job.pieces[0].set_values(1, "2", touch, vec![once, once]);
    }
    assert_eq!(of_rows(&job), []);
}

#[test]
fn in_a_precise_lot_rows_agree_by_chance() {
    // Centres and sizes within a few steps of the gauge.
    assert_eq!(of_rows(&twice(row(0.05))), []);
    // The same scatter under a finer gauge is improbable again.
    let mut fine = twice(row(0.05));
    fine.gauge().resolution = Figure(0.000_01);
    assert_eq!(of_rows(&fine).len(), 1);
}

#[test]
fn four_features_tell_too_little() {
    let mut job = twice(row(1.0));
    assert_eq!(of_rows(&job).len(), 1);
    job.drawing.features.retain(|f| !matches!(f.number.as_str(), "5" | "6"));
    assert_eq!(of_rows(&job), []);
}
