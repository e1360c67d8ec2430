//! The label of a kept job. In the local storage of earlier versions it stood in the line before the job.

use serde::{Deserialize, Serialize};

/// Who wrote a job, when, and what it is called: enough for the shelf without reading the job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Label {
    /// Counts the writes.
    pub(crate) revision: u64,
    /// The tab that wrote it.
    pub(crate) tab: String,
    /// When, UTC, to the millisecond: jobs are told apart that were written within a second.
    pub(crate) when: String,
    /// Part number, revision and name.
    pub(crate) title: String,
    /// The example that comes with the program.
    #[serde(default)]
    pub(crate) demo: bool,
}

/// The label as text, in one line.
pub(super) fn label_text(label: &Label) -> String {
    // Plain strings and numbers always serialise.
    serde_json::to_string(label).unwrap_or_default()
}

/// The label, if the text has one, and the job behind it.
pub(super) fn apart(text: &str) -> (Option<Label>, &str) {
    match text.split_once('\n') {
        Some((first, rest)) => match label(first) {
            Some(label) => (Some(label), rest),
            None => (None, text),
        },
        None => (None, text),
    }
}

/// Reads a label.
pub(super) fn label(line: &str) -> Option<Label> {
    serde_json::from_str(line).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_comes_back_as_it_was_and_leaves_the_job_alone() {
        let label = Label {
            revision: 7,
            tab: "t".to_owned(),
            when: "2026-11-25 07:10:42".to_owned(),
            title: "Łódź \"7\"\n".to_owned(),
            demo: false,
        };
        let text = format!("{}\n{{\n}}\n", label_text(&label));
        assert_eq!(apart(&text), (Some(label), "{\n}\n"));
    }

    #[test]
    fn a_text_without_a_label_is_all_job() {
        for text in ["", "{}", "{\"format\": 1,\n\"a\": 2}", "x\ny"] {
            assert_eq!(apart(text), (None, text));
        }
    }
}
