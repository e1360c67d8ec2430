//! What is said when features are removed.

use crate::job::Job;
use std::ops::Range;

/// What the removal of these rows of the table takes with it: `hole 4 removed: 6 readings are left
/// without their feature`.
#[must_use]
pub fn rows_removed(job: &Job, rows: Range<usize>) -> String {
    let features = job.drawing.features.get(rows.clone()).unwrap_or_default();
    let what = match features {
        [one] => format!("{} removed", one.name()),
        many => format!("{} rows removed", many.len()),
    };
    let left = job.readings_left_without(rows);
    match left {
        0 => what,
        1 => format!("{what}: 1 reading is left without its feature"),
        n => format!("{what}: {n} readings are left without their feature"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Feature, Touch};
    use crate::quantity::{Figure, Unit};

    #[test]
    fn readings_that_lose_their_feature_are_counted() {
        let mut job = Job::empty(Unit::Mm);
        for number in ["1", "2", "1"] {
            let number = number.to_owned();
            job.drawing.features.push(Feature { number, ..Feature::default() });
        }
        assert_eq!(rows_removed(&job, 3..4), "hole 2 removed");
        job.pieces[0].set_values(1, "2", Touch::Low, vec![Figure(1.0), Figure(1.1)]);
        job.pieces[0].set_values(2, "2", Touch::High, vec![Figure(1.0)]);
        job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(1.0)]);
        let all = "hole 2 removed: 3 readings are left without their feature";
        assert_eq!(rows_removed(&job, 3..4), all);
        // Another feature has the number, and so the readings.
        assert_eq!(rows_removed(&job, 4..5), "hole 1 removed");
        let all = "3 rows removed: 4 readings are left without their feature";
        assert_eq!(rows_removed(&job, 2..5), all);
        job.pieces[0].set_values(1, "2", Touch::Low, vec![]);
        assert_eq!(
            rows_removed(&job, 3..4),
            "hole 2 removed: 1 reading is left without its feature"
        );
    }
}
