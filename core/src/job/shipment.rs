//! What the sheet says of the order and of itself.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Order and report data of the title block. All free text.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Shipment {
    /// Who issues the report.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub issuer: String,
    /// Address of the issuer, in one line or several.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub issuer_address: String,
    /// Whom the parts go to.
    #[serde(default)]
    pub customer: String,
    /// Purchase order.
    #[serde(default)]
    pub order: String,
    /// Lot.
    #[serde(default)]
    pub lot: String,
    /// Quantity of the lot.
    #[serde(default)]
    pub quantity: String,
    /// How many of the lot were inspected.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub inspected: String,
    /// Number of the report.
    #[serde(default)]
    pub report_number: String,
    /// Revision of the report.
    #[serde(default)]
    pub report_revision: String,
    /// Who approves the report.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub approved_by: String,
    /// Notes for the sheet.
    #[serde(default)]
    pub notes: String,
    /// Paper of the sheet.
    #[serde(default)]
    pub paper: Paper,
}

/// Paper of the sheet, lying (landscape).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// ISO 216, 297 mm x 210 mm.
    #[default]
    A4,
    /// 11 in x 8.5 in.
    Letter,
}

impl Paper {
    /// Width and height in millimetres, lying.
    #[must_use]
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (297.0, 210.0),
            Self::Letter => (279.4, 215.9),
        }
    }
}
