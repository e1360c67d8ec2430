//! Files of earlier versions of the job keep their meaning.
//!
//! `tests/jobs/version-N.json` is a job as a program of version N wrote it;
//! `tests/jobs/version-N-as-4.json` is the same job as this version writes it.

use quarterturn_core::Job;
use quarterturn_core::job::{JudgedWith, Standard, Together, VERSION, read, write};
use serde_json::Value;

fn kept(version: u32) -> (String, Job) {
    let text = crate::common::text(&format!("tests/jobs/version-{version}.json"));
    let job = read(&text).unwrap_or_else(|e| panic!("version {version}: {e}"));
    (text, job)
}

#[test]
fn a_file_of_each_version_is_read_as_the_job_it_was() {
    for version in 1..VERSION {
        let (text, job) = kept(version);
        let said: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(said["version"], version);
        let now = format!("tests/jobs/version-{version}-as-4.json");
        crate::common::golden(&now, &write(&job));
        let again = crate::common::job(&now);
        assert_eq!(again, job, "version {version}");
        assert_eq!(again.version, VERSION);
    }
}

/// Nothing but the version and the separate requirement is written in another way, beside fields
/// that were left out and have a default.
#[test]
fn what_an_old_file_says_is_still_said() {
    fn less(place: &str, old: &Value, new: &Value, differs: &mut Vec<String>) {
        match (old, new) {
            (Value::Object(old), Value::Object(new)) => {
                for (key, value) in old {
                    let place = format!("{place}/{key}");
                    match new.get(key) {
                        Some(now) => less(&place, value, now, differs),
                        // Left out where it is empty or the default.
                        None if value.as_str() == Some("") || *value == Value::Bool(false) => {}
                        None => differs.push(place),
                    }
                }
            }
            (Value::Array(old), Value::Array(new)) if old.len() == new.len() => {
                for (i, (old, new)) in old.iter().zip(new).enumerate() {
                    less(&format!("{place}/{i}"), old, new, differs);
                }
            }
            _ if old == new => {}
            _ => differs.push(place.to_owned()),
        }
    }
    for (version, expected) in [
        (1, vec!["/version"]),
        (2, vec!["/version"]),
        (3, vec!["/drawing/features/4/callouts/0/position/separate", "/version"]),
    ] {
        let (text, job) = kept(version);
        let old = serde_json::from_str(&text).unwrap();
        let new = serde_json::from_str(&write(&job)).unwrap();
        let mut differs = Vec::new();
        less("", &old, &new, &mut differs);
        differs.sort();
        assert_eq!(differs, expected, "version {version}");
    }
}

#[test]
fn a_squareness_is_against_the_edge_of_the_first_orientation_of_the_plan() {
    for (version, first) in [(2, 1), (3, 3)] {
        let (_, job) = kept(version);
        let known = job.pieces[0].squareness[0];
        assert_eq!(known.against, None);
        assert_eq!(known.reference(&job.plan), Some(first), "version {version}");
    }
}

#[test]
fn no_old_file_states_a_standard_and_all_are_judged_by_asme() {
    for version in 1..VERSION {
        let drawing = kept(version).1.drawing;
        assert!(!drawing.standard_is_stated());
        assert_eq!(drawing.standard(), Standard::Asme2018);
    }
}

#[test]
fn a_separate_requirement_stays_one() {
    let (_, job) = kept(3);
    let marks: Vec<Together> =
        job.drawing.features.iter().flat_map(|f| f.positions().map(|p| p.together)).collect();
    assert_eq!(marks, [Together::Separate, Together::Default, Together::Default]);
    let with = |mark| job.drawing.standard().judged_with(mark, false);
    assert_eq!((with(marks[0]), with(marks[1])), (JudgedWith::Pattern, JudgedWith::Frame));
    // The field is known to old versions only, and refused where it is neither true nor false.
    let text = crate::common::text("tests/jobs/version-3.json");
    for (from, to) in [("\"version\": 3", "\"version\": 4"), ("e\": true", "e\": \"yes\"")] {
        let changed = text.replacen(from, to, 1);
        assert_ne!(changed, text);
        let refused = read(&changed).unwrap_err();
        assert!(refused.place.starts_with("drawing.features[4].callouts[0]"), "{refused}");
        assert!(refused.what.contains("separate"), "{refused}");
    }
}
