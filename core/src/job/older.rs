//! What earlier versions of the job file wrote in another way.

use super::Together;
use serde_json::{Map, Value};

/// Rewrites the separate requirements of versions 1 to 3, a field `separate` of true or false, as
/// [`Position::together`](super::Position::together). Whatever has another shape is left as it is, for the reader to refuse.
pub(super) fn separate_requirements(job: &mut Value) {
    let Some(features) = job.pointer_mut("/drawing/features").and_then(Value::as_array_mut) else {
        return;
    };
    let callouts = features
        .iter_mut()
        .filter_map(|feature| feature.get_mut("callouts")?.as_array_mut())
        .flatten();
    for position in callouts.filter_map(|c| c.get_mut("position")?.as_object_mut()) {
        rewrite(position);
    }
}

fn rewrite(position: &mut Map<String, Value>) {
    let Some(Value::Bool(separate)) = position.get("separate") else { return };
    let together = if *separate { Together::Separate } else { Together::Default };
    if let Ok(together) = serde_json::to_value(together) {
        position.remove("separate");
        position.insert("together".to_owned(), together);
    }
}
