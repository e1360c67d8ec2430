//! What a single reading can count from.

use super::setup::zero_of;
use super::{Expectation, Setup, lacking, raw_of};
use crate::job::{Job, Orientation, Piece, Reading, Zero};
use std::collections::{HashMap, HashSet};

/// The zeros that the reading of the feature `number` can count from in `orientation`: the plate,
/// then every other feature whose height is read there, in the order of the drawing, unless it
/// counts from this one itself. The zero of the orientation is not among them, nor is a feature of
/// which one point alone was read: its centre is not known.
///
/// On a sine bar nothing counts from the plate.
#[must_use]
pub fn other_zeros(job: &Job, piece: &Piece, orientation: &Orientation, number: &str) -> Vec<Zero> {
    let readings: HashMap<&str, &Reading> = piece
        .readings
        .iter()
        .filter(|r| r.orientation == orientation.number)
        .map(|r| (r.feature.as_str(), r))
        .collect();
    let up = orientation.up();
    let plate =
        orientation.zero != Zero::Plate && Setup::with_zero(job, orientation, &Zero::Plate).is_ok();
    let features = job.drawing.features.iter().filter(|f| {
        f.number != number
            && !matches!(&orientation.zero, Zero::Feature(n) if *n == f.number)
            && readings
                .get(f.number.as_str())
                .is_some_and(|r| !r.is_empty() && lacking(f, orientation, r).is_empty())
            && zero_of(f, job.drawing.unit, up).is_some()
            && !leads_to(&readings, orientation, &f.number, number)
    });
    plate
        .then_some(Zero::Plate)
        .into_iter()
        .chain(features.map(|f| Zero::Feature(f.number.clone())))
        .collect()
}

/// Whether the zeros of `from` lead to `to`, one after the other.
fn leads_to(
    readings: &HashMap<&str, &Reading>,
    orientation: &Orientation,
    from: &str,
    to: &str,
) -> bool {
    let mut at = from;
    let mut passed = HashSet::new();
    while passed.insert(at) {
        let zero = readings.get(at).map_or(&orientation.zero, |r| r.zero_in(orientation));
        match zero {
            Zero::Plate => return false,
            Zero::Feature(next) if next == to => return true,
            Zero::Feature(next) => at = next,
        }
    }
    false
}

/// `this` touch as it should read from another zero than that of the orientation. A limit by the
/// virtual condition counts from the orientation's zero and is not given.
#[must_use]
pub fn expected_from(job: &Job, setup: &Setup, this: &Expectation) -> Expectation {
    let feature = job.drawing.features.get(this.feature);
    let raw = feature.and_then(|f| raw_of(job, f, setup, this.touch, this.contact));
    Expectation { raw, limit: None, ..this.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Feature, Touch};
    use crate::quantity::{Figure, Unit};

    fn at(number: &str) -> Zero {
        Zero::Feature(number.to_owned())
    }

    /// Holes 1, 2 and 3 in a first orientation with its zero at the plate; 1 and 2 are read.
    fn job() -> Job {
        let mut job = Job::empty(Unit::Mm);
        for (number, y) in [("1", 10.0), ("2", 20.0), ("3", 30.0)] {
            let (x, y) = (Some(Figure(5.0)), Some(Figure(y)));
            job.drawing.features.push(Feature {
                number: number.to_owned(),
                x,
                y,
                ..Feature::default()
            });
        }
        for number in ["1", "2"] {
            touch(&mut job, number);
        }
        job
    }

    fn touch(job: &mut Job, number: &str) {
        job.pieces[0].set_values(1, number, Touch::Low, vec![Figure(9.0)]);
        job.pieces[0].set_values(1, number, Touch::High, vec![Figure(11.0)]);
    }

    fn offered(job: &Job, number: &str) -> Vec<Zero> {
        other_zeros(job, &job.pieces[0], &job.plan.orientations[0], number)
    }

    #[test]
    fn only_what_is_read_is_offered_and_never_the_feature_itself() {
        let job = job();
        assert_eq!(offered(&job, "3"), [at("1"), at("2")]);
        assert_eq!(offered(&job, "1"), [at("2")]);
    }

    #[test]
    fn what_is_not_fully_read_is_not_offered() {
        let mut job = job();
        job.pieces[0].set_values(1, "2", Touch::High, vec![]);
        assert_eq!(offered(&job, "3"), [at("1")]);
    }

    #[test]
    fn what_would_run_in_a_circle_is_not_offered() {
        let mut job = job();
        touch(&mut job, "3");
        job.pieces[0].set_zero(1, "2", Some(at("1")));
        job.pieces[0].set_zero(1, "3", Some(at("2")));
        assert_eq!(offered(&job, "1"), []);
        assert_eq!(offered(&job, "2"), [at("1")]);
        assert_eq!(offered(&job, "3"), [at("1"), at("2")]);
    }

    #[test]
    fn the_plate_is_offered_where_it_is_not_the_zero_already() {
        let mut job = job();
        job.plan.orientations[0].zero = at("1");
        assert_eq!(offered(&job, "3"), [Zero::Plate, at("2")]);
    }
}
