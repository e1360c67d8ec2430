//! The published schema is the one that the types make, and what the repository holds of jobs is
//! read by it.

use crate::common;
use crate::common::cases;
use crate::simulate::random_part::{any_part, any_stand};
use boon::{Compiler, SchemaIndex, Schemas};
use proptest::prelude::*;
use quarterturn_core::Job;
use quarterturn_core::job::{FORMAT, VERSION, read, schema, write};
use quarterturn_core::quantity::Unit;
use serde_json::{Value, json};

/// The schema, read by a validator that knows nothing of the program.
struct Published {
    schemas: Schemas,
    index: SchemaIndex,
}

impl Published {
    fn new() -> Self {
        let (mut schemas, mut compiler) = (Schemas::new(), Compiler::new());
        let place = "https://example.invalid/job.schema.json";
        compiler.add_resource(place, serde_json::from_str(&schema()).unwrap()).unwrap();
        let index = compiler.compile(place, &mut schemas).unwrap();
        Self { schemas, index }
    }

    fn check(&self, value: &Value) -> Result<(), String> {
        self.schemas.validate(value, self.index).map_err(|e| format!("{e:#}"))
    }
}

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
            Value::Array(a) => {
                a.iter().enumerate().for_each(|(i, v)| walk(&format!("{place}[{i}]"), v, bare))
            }
            _ => {}
        }
    }
    let mut bare = Vec::new();
    walk("", &serde_json::from_str(&schema()).unwrap(), &mut bare);
    assert!(bare.is_empty(), "without a description: {bare:?}");
}

#[test]
fn every_job_of_the_repository_is_read() {
    let published = Published::new();
    let mut count = 0;
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
            let job = read(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert_eq!((job.format.as_str(), job.version), (FORMAT, VERSION));
            published.check(&value).unwrap_or_else(|e| panic!("{name}: {e}"));
            count += 1;
        }
    }
    assert!(count >= 2, "the example and a notebook at least");
}

/// What the reader takes for the shape of a job and what the schema does is the same: a change
/// that the types refuse is refused by the schema, and the other way round.
#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let published = Published::new();
    let whole: Value = serde_json::from_str(&common::text("public/demo-job.json")).unwrap();
    assert_eq!(published.check(&whole), Ok(()));
    for (place, to, fits) in [
        ("/drawing/unit", json!("furlong"), false),
        ("/drawing/unit", json!("inch"), true),
        ("/drawing/features/3/x", json!("15"), false),
        ("/drawing/features/3/x", Value::Null, true),
        ("/drawing/features/3/kind", json!("cone"), false),
        ("/drawing/features/3/size", json!({"limits": {"lower": 1.0}}), false),
        (
            "/drawing/features/3/size",
            json!({"limits": {"lower": 1.0, "upper": 1.5, "middle": 1.2}}),
            false,
        ),
        ("/drawing/features/3/size", json!({"limits": {"lower": 1.0, "upper": 1.5}}), true),
        ("/drawing/features/3/callouts", json!([{"flatness": {}}]), false),
        ("/drawing/decimals", json!(-1), false),
        ("/plan/orientations/0/zero", json!({"feature": "C"}), true),
        ("/plan/orientations/0/zero", json!("table"), false),
        ("/plan/orientations/0/number", json!(1.5), false),
        ("/plan/instruments/0/probe", json!({"constant": 3.9963}), true),
        ("/pieces", json!({}), false),
        ("/pieces/0/readings/0/low", json!([1.0, "2"]), false),
        ("/pieces/0/readings/0", json!({"orientation": 1, "feature": "1", "colour": 3}), false),
    ] {
        let mut value = whole.clone();
        *value.pointer_mut(place).unwrap_or_else(|| panic!("{place}")) = to.clone();
        assert_eq!(read(&value.to_string()).is_ok(), fits, "the reader: {place} {to}");
        assert_eq!(published.check(&value).is_ok(), fits, "the schema: {place} {to}");
    }
    for place in ["format", "version", "drawing", "plan", "pieces"] {
        let mut value = whole.clone();
        value.as_object_mut().unwrap().remove(place);
        assert!(read(&value.to_string()).is_err() && published.check(&value).is_err(), "{place}");
    }
    for unit in [Unit::Mm, Unit::Inch] {
        let value: Value = serde_json::from_str(&write(&Job::empty(unit))).unwrap();
        assert_eq!(published.check(&value), Ok(()));
    }
}

proptest! {
    #![proptest_config(cases(64))]

    #[test]
    fn what_is_written_fits_the_schema(part in any_part(5), stands in [any_stand(5), any_stand(5)]) {
        let value: Value = serde_json::from_str(&write(&part.measured(&stands))).unwrap();
        prop_assert_eq!(Published::new().check(&value), Ok(()));
    }
}
