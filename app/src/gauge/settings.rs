//! How the gauge of this bench is set. It is the browser's, and not the job's: another bench has another
//! gauge.

use crate::keep::{keep_text, kept_text};
use quarterturn_core::capture::{LineRule, SerialSettings};
use serde::{Deserialize, Serialize};

const KEY: &str = "quarterturn.gauge";

/// The settings.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct Settings {
    /// The serial line.
    pub(crate) serial: SerialSettings,
    /// The rule by which lines are read.
    pub(crate) rule: LineRule,
    /// The port is opened when the page is, where the browser allows that without a click.
    pub(crate) connect: bool,
}

impl Settings {
    /// Those that were kept; what cannot be read counts as nothing.
    pub(crate) fn kept() -> Self {
        kept_text(KEY).and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default()
    }

    /// Keeps them.
    pub(crate) fn keep(&self) {
        if let Ok(text) = serde_json::to_string(self) {
            keep_text(KEY, &text);
        }
    }
}
