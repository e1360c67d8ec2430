//! The record: what was read before a correction is never lost (ISO/IEC 17025:2017, 7.5.2).

use super::{Job, Reading, Touch};
use crate::quantity::Figure;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;

/// One reading that was replaced or taken back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// Serial number of the piece.
    pub piece: String,
    /// Orientation it was taken in.
    pub orientation: u32,
    /// Feature it was taken on.
    pub feature: String,
    /// Which touch.
    pub touch: Touch,
    /// What stood there: one value or its repeats, in the instrument's unit.
    pub was: Vec<Figure>,
    /// What stands there now; empty when the reading was taken back.
    pub now: Vec<Figure>,
    /// When, UTC, as `2026-11-25 07:10:42`.
    pub when: String,
    /// Who.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub who: String,
    /// Why, where it was said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
}

/// Appends to `new.record` every reading of `old` that `new` no longer holds as it was.
///
/// A further repeat behind values that stay is no correction; anything else that changes or
/// removes a value is. `new.record` first takes over what `old` had recorded, so that
/// stepping back to an earlier state of the document cannot lose an entry.
pub fn record_changes(old: &Job, new: &mut Job, when: &str, who: &str) {
    if new.record.len() < old.record.len() || !new.record.starts_with(&old.record) {
        new.record.clone_from(&old.record);
    }
    // A feature that was given another number, its readings with it, is no correction.
    let mut renamed: HashMap<&str, &str> = HashMap::new();
    if old.drawing.features.len() == new.drawing.features.len() {
        for (was, is) in old.drawing.features.iter().zip(&new.drawing.features) {
            if was.number != is.number && new.feature(&was.number).is_none() {
                renamed.insert(&was.number, &is.number);
            }
        }
    }
    let mut found = Vec::new();
    for (index, was) in old.pieces.iter().enumerate() {
        let is = new.pieces.get(index);
        if is.is_some_and(|p| p.readings == was.readings) {
            continue;
        }
        let now: HashMap<(u32, &str), &Reading> = is
            .map(|p| p.readings.iter().map(|r| ((r.orientation, r.feature.as_str()), r)).collect())
            .unwrap_or_default();
        for reading in &was.readings {
            let name = reading.feature.as_str();
            let name = renamed.get(name).copied().unwrap_or(name);
            let standing = now.get(&(reading.orientation, name));
            for touch in Touch::ALL {
                let before = reading.values(touch);
                let after = standing.map_or(&[][..], |r| r.values(touch));
                if before.is_empty() || after.starts_with(before) {
                    continue;
                }
                found.push(Correction {
                    piece: was.serial.clone(),
                    orientation: reading.orientation,
                    feature: reading.feature.clone(),
                    touch,
                    was: before.to_vec(),
                    now: after.to_vec(),
                    when: when.to_owned(),
                    who: who.to_owned(),
                    why: String::new(),
                });
            }
        }
    }
    new.record.extend(found);
}
