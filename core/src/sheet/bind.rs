//! Sheets bound into one document: pages follow each other, the cover comes in front, and once all are
//! there they are numbered through.

use super::paper::Paper;
use super::{Extent, Which, cover, report, shown, to_fill_in};
use crate::findings::Ready;
use crate::job::Job;
use crate::mark::{Mark, Page};

/// Where pages go that are laid out. They come piece by piece, so that a lot need not be there as marks
/// all at once.
pub(super) trait Binding {
    /// Adds a page behind the others.
    fn add(&mut self, page: Page);
    /// Adds pages before all others.
    fn add_in_front(&mut self, pages: Vec<Page>);
    /// Gives the page with this index its title and draws its foot.
    fn complete(&mut self, index: usize, title: String, foot: Vec<Mark>);
}

impl Binding for Vec<Page> {
    fn add(&mut self, page: Page) {
        self.push(page);
    }

    fn add_in_front(&mut self, pages: Vec<Page>) {
        self.splice(0..0, pages);
    }

    fn complete(&mut self, index: usize, title: String, foot: Vec<Mark>) {
        if let Some(page) = self.get_mut(index) {
            page.title = title;
            page.marks.extend(foot);
        }
    }
}

#[cfg(feature = "pdf")]
impl Binding for crate::mark::PdfWriter {
    fn add(&mut self, page: Page) {
        Self::add(self, page);
    }

    fn add_in_front(&mut self, pages: Vec<Page>) {
        Self::add_in_front(self, pages);
    }

    fn complete(&mut self, index: usize, _: String, foot: Vec<Mark>) {
        self.draw_over(index, &foot);
    }
}

/// The pages of the sheet that is wanted; none for a piece that the job does not have.
#[must_use]
pub fn pages(job: &Job, which: Which, extent: Extent) -> Vec<Page> {
    let mut pages = Vec::new();
    bind(job, which, extent, &mut pages);
    pages
}

/// The same pages as a PDF, made `seconds` after the beginning of 1970 (UTC). Written piece by piece: a
/// lot takes little more memory than its document.
///
/// # Errors
/// A piece that the job does not have; or a fault in writing, which would be one of this program.
#[cfg(feature = "pdf")]
pub fn document(
    job: &Job,
    which: Which,
    extent: Extent,
    seconds: u64,
) -> Result<Vec<u8>, crate::mark::PdfError> {
    let mut writer = crate::mark::PdfWriter::default();
    bind(job, which, extent, &mut writer);
    writer.finish(&super::about(job, which, extent, seconds))
}

/// A sheet that is a document of its own.
pub(super) fn alone(paper: Option<Paper<'_>>, to: &mut impl Binding) {
    let mut bound = Bound::default();
    bound.put(paper, to);
    bound.number(to);
}

fn bind(job: &Job, which: Which, extent: Extent, to: &mut impl Binding) {
    let ready = Ready::of(job);
    let one = |index| {
        let finding = ready.piece(index)?;
        report(job, &ready, index, &shown(&finding, extent), extent)
    };
    match which {
        Which::Piece(index) => alone(one(index), to),
        Which::Blank(index) => alone(Some(to_fill_in(job, &ready, index)), to),
        Which::EveryPiece if job.pieces.len() < 2 => alone(one(0), to),
        Which::EveryPiece => {
            let mut bound = Bound::default();
            let mut lines = Vec::with_capacity(job.pieces.len());
            for (index, piece) in job.pieces.iter().enumerate() {
                let Some(finding) = ready.piece(index) else { continue };
                let finding = shown(&finding, extent);
                lines.push(cover::Line::of(job, piece, &finding, bound.count));
                bound.put(report(job, &ready, index, &finding, extent), to);
            }
            bound.put_in_front(cover::put(job, &lines), to);
            bound.number(to);
        }
    }
}

/// The sheets whose pages are bound, in their order.
#[derive(Default)]
struct Bound<'a> {
    /// Each with the number of its pages.
    sheets: Vec<(Paper<'a>, usize)>,
    /// Number of all pages.
    count: usize,
}

impl<'a> Bound<'a> {
    fn put(&mut self, paper: Option<Paper<'a>>, to: &mut impl Binding) {
        let Some(mut paper) = paper else { return };
        let pages = paper.take_pages();
        self.count += pages.len();
        self.sheets.push((paper, pages.len()));
        pages.into_iter().for_each(|page| to.add(page));
    }

    fn put_in_front(&mut self, mut paper: Paper<'a>, to: &mut impl Binding) {
        let pages = paper.take_pages();
        self.count += pages.len();
        self.sheets.insert(0, (paper, pages.len()));
        to.add_in_front(pages);
    }

    fn number(&self, to: &mut impl Binding) {
        let mut at = 0;
        for (paper, count) in &self.sheets {
            for index in 0..*count {
                let (title, foot) = paper.foot(index, at + 1, self.count);
                to.complete(at, title, foot);
                at += 1;
            }
        }
    }
}
