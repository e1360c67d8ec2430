//! A relation as it stands in the document.

use super::RelationKind;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A requirement between features, or on the form of one. Its figures are in the drawing's unit;
/// features are named by their numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Relation {
    /// Its number on the sheet, such as `20`; unique among the relations.
    pub number: String,
    /// What is asked.
    #[serde(rename = "asks")]
    pub kind: RelationKind,
    /// A remark for the sheet.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}
