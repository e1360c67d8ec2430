//! The published schema is the one that the types make, and what the repository holds of jobs is
//! read by it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod common;

use quarterturn_core::job::{FORMAT, VERSION, schema};
use serde_json::Value;

#[test]
fn the_schema_is_up_to_date() {
    common::golden("public/job.schema.json", &schema());
}

/// Every field of every type is described, since the schema is what others write files by. A
/// variant that is written as an object of one field is described as a whole.
#[test]
fn every_field_is_documented() {
    fn walk(place: &str, value: &Value, bare: &mut Vec<String>) {
        if let Some(fields) = value.get("properties").and_then(Value::as_object) {
            let variant = place.ends_with(']') && value.get("description").is_some();
            for (name, field) in fields {
                if !variant && field.get("description").is_none() {
                    bare.push(format!("{place}.{name}"));
                }
            }
        }
        match value {
            Value::Object(o) => o.iter().for_each(|(k, v)| walk(&format!("{place}.{k}"), v, bare)),
            Value::Array(a) => a.iter().enumerate().for_each(|(i, v)| walk(&format!("{place}[{i}]"), v, bare)),
            _ => {}
        }
    }
    let mut bare = Vec::new();
    walk("", &serde_json::from_str(&schema()).unwrap(), &mut bare);
    assert!(bare.is_empty(), "without a description: {bare:?}");
}

#[test]
fn every_job_of_the_repository_is_read() {
    let mut read = 0;
    for folder in ["public", "tests/notebooks"] {
        for entry in std::fs::read_dir(common::path(folder)).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            if !name.ends_with(".json") || name.ends_with(".schema.json") {
                continue;
            }
            let text = common::text(&format!("{folder}/{name}"));
            let value: Value = serde_json::from_str(&text).unwrap();
            if value.get("format").is_none() {
                continue;
            }
            let job = quarterturn_core::job::read(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert_eq!((job.format.as_str(), job.version), (FORMAT, VERSION));
            read += 1;
        }
    }
    assert!(read >= 2, "the example and a notebook at least");
}
