//! Whether a sheet is as this program made it.
//!
//! A sheet carries its job, and how it was made of it. Pages and document are a function of these, so the
//! sheet is made once more and compared: any byte that was changed shows.

use super::{Extent, Which, document};
use crate::job::{self, Job, fingerprint};
use crate::mark::{Attachment, attached};
use serde::{Deserialize, Serialize};

/// Name of the job within a sheet.
const JOB: &str = "job.json";
/// Name of the account of how the sheet was made.
const MADE: &str = "sheet.json";

/// The program and version that make sheets.
const PROGRAM: &str = concat!("Quarterturn ", env!("CARGO_PKG_VERSION"));

/// How a sheet was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Made {
    /// The program with its version.
    pub program: String,
    /// Which sheet of the job.
    pub which: Which,
    /// How much of it.
    pub extent: Extent,
    /// When, in seconds since the beginning of 1970 (UTC).
    pub seconds: u64,
    /// The job's fingerprint.
    pub sha256: String,
}

/// What was found of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Verified {
    /// The job that it carries.
    pub job: Job,
    /// How it says that it was made.
    pub made: Made,
    /// The fingerprint of the job that it carries.
    pub sha256: String,
    /// Whether they belong together.
    pub state: SheetState,
}

/// Whether a sheet is as it was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SheetState {
    /// Made once more of its job it is the same to the last byte.
    Unchanged,
    /// The job in it is not the one that it was made of.
    JobChanged,
    /// The job is the one that it was made of, and something else was changed: a page, or what the
    /// document says of itself.
    SheetChanged,
    /// The job is the one that it was made of; the pages were made by another version of the program and
    /// cannot be compared by this one.
    OtherVersion,
}

impl SheetState {
    /// In a sentence.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::Unchanged => {
                "The PDF and the job in it belong together, and nothing was changed."
            }
            Self::JobChanged => {
                "The job in the PDF is not the one that the PDF was made of: it was changed."
            }
            Self::SheetChanged => {
                "The job in the PDF is the one that it was made of, but the PDF itself was changed."
            }
            Self::OtherVersion => {
                "The job in the PDF is the one that it was made of. The pages were made by another version of \
                 the program, so whether they were changed cannot be told."
            }
        }
    }
}

/// Why a document cannot be verified.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotASheet {
    /// It is no PDF that can be read.
    #[error("This is not a PDF that can be read: it is another kind of file, or damaged.")]
    NotAPdf,
    /// It carries no job.
    #[error(
        "This PDF carries no job of Quarterturn: it was made by another program, by a version before this, \
             or printed from the browser."
    )]
    NoJob,
    /// The job that it carries cannot be read.
    #[error("The job in this PDF cannot be read. {0}")]
    Damaged(String),
}

/// What a sheet carries. A blank one carries nothing: there is nothing to prove.
pub(super) fn carried(job: &Job, which: Which, extent: Extent, seconds: u64) -> Vec<Attachment> {
    if matches!(which, Which::Blank(_)) {
        return Vec::new();
    }
    let made =
        Made { program: PROGRAM.to_owned(), which, extent, seconds, sha256: fingerprint(job) };
    let file = |name: &str, about: &str, text: String| Attachment {
        name: name.to_owned(),
        about: about.to_owned(),
        kind: "application/json".to_owned(),
        bytes: text.into_bytes(),
    };
    vec![
        file(
            JOB,
            "The job with all readings and its record; opens in Quarterturn",
            job::write(job),
        ),
        file(
            MADE,
            "How this document was made of the job",
            // Plain words and numbers always serialise.
            serde_json::to_string(&made).unwrap_or_default(),
        ),
    ]
}

/// Verifies a sheet, and gives the job that it carries.
///
/// # Errors
/// It is no PDF, or carries no job that can be read.
pub fn verify(pdf: &[u8]) -> Result<Verified, NotASheet> {
    let files = attached(pdf, &[JOB, MADE]).map_err(|_| NotASheet::NotAPdf)?;
    let [Some(text), Some(made)] = files.as_slice() else { return Err(NotASheet::NoJob) };
    let damaged = |why: String| NotASheet::Damaged(why);
    let text = std::str::from_utf8(text).map_err(|e| damaged(e.to_string()))?;
    let job = job::read(text).map_err(|e| damaged(e.to_string()))?;
    let made: Made = serde_json::from_slice(made).map_err(|e| damaged(e.to_string()))?;
    let sha256 = fingerprint(&job);
    let state = if sha256 != made.sha256 {
        SheetState::JobChanged
    } else if made.program != PROGRAM {
        SheetState::OtherVersion
    } else if document(&job, made.which, made.extent, made.seconds).is_ok_and(|again| again == pdf)
    {
        SheetState::Unchanged
    } else {
        SheetState::SheetChanged
    };
    Ok(Verified { job, made, sha256, state })
}
