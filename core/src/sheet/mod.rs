//! The layout sheet: pages of placed marks, the same for the screen, the printer and the PDF.
//!
//! - [`sheet`]: what was found of one piece, its raw readings, and what the sheet does not
//!   decide;
//! - [`blank`]: the same plan with expected heights and room to write, for the bench.
//!
//! Paper lies on its long side, with a border and a filing margin on the left (ISO 5457) and the
//! title block at the lower right, as on a drawing.

#[cfg(feature = "pdf")]
mod about;
mod applied;
mod blank;
mod closing;
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
pub use about::about;

use crate::findings::{PieceFinding, Ready};
use crate::job::Job;
use crate::mark::Page;
use paper::Paper;
use serde::{Deserialize, Serialize};
use title_block::Purpose;

/// Which sheet is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Which {
    /// The report of the piece with this index.
    Piece(usize),
    /// The reports of all pieces, one behind the other, each numbered for itself.
    EveryPiece,
    /// The blank sheet for the bench, with the serial number of this piece.
    Blank(usize),
}

/// How much of a report is wanted. The blank sheet has one extent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Extent {
    /// The summary alone: verdict, exceptions, table, picture and title block. One page, or as many
    /// as the table takes.
    Short,
    /// With sums, readings, uncertainty, remarks and corrections.
    #[default]
    Full,
}

/// The pages of the sheet that is wanted; none for a piece that the job does not have.
#[must_use]
pub fn pages(job: &Job, which: Which, extent: Extent) -> Vec<Page> {
    let ready = Ready::of(job);
    let report =
        |index| ready.piece(index).map(|finding| sheet(job, &ready, index, &finding, extent));
    match which {
        Which::Piece(index) => report(index).unwrap_or_default(),
        Which::EveryPiece => (0..job.pieces.len()).filter_map(report).flatten().collect(),
        Which::Blank(index) => blank(job, &ready, index),
    }
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
    let Some(piece) = job.pieces.get(index) else { return Vec::new() };
    let mut paper = Paper::new(job, Some(piece), Purpose::Report);
    first_page::put(&mut paper, ready, finding, extent);
    if extent == Extent::Short {
        return paper.finish();
    }
    pattern_page::put(&mut paper, finding);
    sums_page::put(&mut paper, finding);
    for planned in &ready.orientations {
        orientation_page::put(&mut paper, planned, piece, finding);
    }
    heights_page::put(&mut paper, piece);
    uncertainty_page::put(&mut paper, ready, index, finding);
    closing::put(&mut paper, ready, index, finding);
    paper.finish()
}

/// A blank sheet for the bench: every touch of the plan with its expected height and room to
/// write.
#[must_use]
pub fn blank(job: &Job, ready: &Ready<'_>, index: usize) -> Vec<Page> {
    let mut paper = Paper::new(job, job.pieces.get(index), Purpose::Blank);
    blank::put(&mut paper, ready);
    blank::relations(&mut paper);
    paper.finish()
}
