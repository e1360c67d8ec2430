//! The layout sheet: pages of placed marks, the same for the screen, the printer and the PDF.
//!
//! - [`sheet`]: what was found of one piece, its raw readings, and what the sheet does not
//!   decide;
//! - [`blank`]: the same plan with expected heights and room to write, for the bench;
//! - [`pages`]: any of these, and those of a lot under a cover; [`document`] as a PDF.
//!
//! Paper lies on its long side, with a border and a filing margin on the left (ISO 5457) and the
//! title block at the lower right, as on a drawing.

#[cfg(feature = "pdf")]
mod about;
mod applied;
mod bind;
mod blank;
mod closing;
mod cover;
mod document_name;
mod first_page;
mod heights_page;
mod orientation_page;
mod paper;
mod pattern_page;
mod results_table;
mod sums_page;
mod table;
mod title_block;
mod uncertainty_page;
#[cfg(feature = "pdf")]
mod verify;

#[cfg(feature = "pdf")]
pub use about::about;
#[cfg(feature = "pdf")]
pub use bind::document;
pub use bind::pages;
pub use document_name::{document_name, document_title};
#[cfg(feature = "pdf")]
use verify::carried;
#[cfg(feature = "pdf")]
pub use verify::{Made, NotASheet, SheetState, Verified, verify};

use crate::findings::{PieceFinding, Ready};
use crate::job::Job;
use crate::mark::Page;
use paper::Paper;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use title_block::Purpose;

/// Which sheet is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Which {
    /// The report of the piece with this index.
    Piece(usize),
    /// The reports of all pieces, one behind the other under a cover, numbered through.
    EveryPiece,
    /// The blank sheet for the bench, with the serial number of this piece.
    Blank(usize),
}

/// How much of a report is wanted. The blank sheet has one extent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Extent {
    /// The summary alone, for the customer: verdict, exceptions without advice for rework, table, picture
    /// and title block. One page, or as many as the table takes.
    Short,
    /// With sums, readings, uncertainty, remarks and corrections.
    #[default]
    Full,
}

/// The sheet of one piece.
///
/// `ready` and `finding` belong to `job` and the piece with this `index`.
#[must_use]
pub fn sheet(
    job: &Job,
    ready: &Ready<'_>,
    index: usize,
    finding: &PieceFinding,
    extent: Extent,
) -> Vec<Page> {
    let mut pages = Vec::new();
    let finding = shown(finding, extent);
    bind::alone(report(job, ready, index, &finding, extent), &mut pages);
    pages
}

/// A blank sheet for the bench: every touch of the plan with its expected height and room to
/// write.
#[must_use]
pub fn blank(job: &Job, ready: &Ready<'_>, index: usize) -> Vec<Page> {
    let mut pages = Vec::new();
    bind::alone(Some(to_fill_in(job, ready, index)), &mut pages);
    pages
}

/// What a sheet of this extent shows of a piece: the short form goes to the customer, and says nothing of
/// rework.
fn shown(finding: &PieceFinding, extent: Extent) -> Cow<'_, PieceFinding> {
    match extent {
        Extent::Full => Cow::Borrowed(finding),
        Extent::Short => {
            let mut bare = finding.clone();
            bare.features.iter_mut().for_each(|f| f.salvage = None);
            Cow::Owned(bare)
        }
    }
}

/// The sheet of one piece, not numbered yet. `finding` is what is [`shown`] of it.
fn report<'a>(
    job: &'a Job,
    ready: &Ready<'_>,
    index: usize,
    finding: &PieceFinding,
    extent: Extent,
) -> Option<Paper<'a>> {
    let piece = job.pieces.get(index)?;
    let mut paper = Paper::new(job, Some(piece), Purpose::Report);
    first_page::put(&mut paper, ready, finding, extent);
    if extent == Extent::Full {
        pattern_page::put(&mut paper, finding);
        sums_page::put(&mut paper, finding);
        for planned in &ready.orientations {
            orientation_page::put(&mut paper, planned, piece, finding);
        }
        heights_page::put(&mut paper, piece);
        uncertainty_page::put(&mut paper, ready, index, finding);
        closing::put(&mut paper, ready, index, finding);
    }
    Some(paper)
}

/// A blank sheet, not numbered yet.
fn to_fill_in<'a>(job: &'a Job, ready: &Ready<'_>, index: usize) -> Paper<'a> {
    let mut paper = Paper::new(job, job.pieces.get(index), Purpose::Blank);
    blank::put(&mut paper, ready);
    blank::relations(&mut paper);
    paper.bookmark_first(Purpose::Blank.words());
    paper
}
