//! Paper with its border: pages are begun here and numbered at the end.

use super::title_block::{self, Purpose};
use crate::job::{Job, Piece};
use crate::mark::{Face, Ink, Mark, Page, Rect, Stroke, Text, wrap};

/// Text sizes in millimetres (em); 2.5 mm is about 7 point.
pub(super) mod size {
    /// Small print: heads of columns, labels.
    pub(crate) const SMALL: f64 = 2.1;
    /// Text and figures.
    pub(crate) const TEXT: f64 = 2.5;
    /// A heading.
    pub(crate) const HEAD: f64 = 3.6;
}

/// Filing margin on the left.
const FILING: f64 = 18.0;
/// Margin on the other sides.
const MARGIN: f64 = 8.0;
/// Room between the border and what stands in it.
const PADDING: f64 = 4.0;
/// Height of the title strip at the foot of every page but the first.
const STRIP: f64 = 9.0;

/// The pages of a sheet as they fill.
pub(super) struct Paper<'a> {
    pub(super) job: &'a Job,
    pub(super) piece: Option<&'a Piece>,
    pub(super) purpose: Purpose,
    pages: Vec<Page>,
    width: f64,
    height: f64,
    /// Where the next thing goes, from the top of the page.
    pub(super) y: f64,
}

impl<'a> Paper<'a> {
    pub(super) fn new(job: &'a Job, piece: Option<&'a Piece>, purpose: Purpose) -> Self {
        let (width, height) = job.shipment.paper.size_mm();
        Self { job, piece, purpose, pages: Vec::new(), width, height, y: 0.0 }
    }

    /// Begins a page with a heading.
    pub(super) fn begin(&mut self, heading: &str) {
        let mut page = Page::new(self.width, self.height, heading);
        page.put(
            Rect::new((FILING, MARGIN), self.width - FILING - MARGIN, self.height - 2.0 * MARGIN)
                .stroke(Stroke::BORDER),
        );
        self.pages.push(page);
        self.y = self.top();
        if self.job.demo {
            self.put(
                Text::new(
                    (self.right(), self.y + 3.0),
                    "Example job: invented part, invented readings",
                    size::TEXT,
                )
                .bold()
                .end(),
            );
        }
        if !heading.is_empty() {
            self.put(Text::new((self.left(), self.y + 3.0), heading, size::HEAD).bold());
            self.y += 7.0;
        }
    }

    /// Puts a mark on the page at hand.
    pub(super) fn put(&mut self, mark: impl Into<Mark>) {
        if let Some(page) = self.pages.last_mut() {
            page.put(mark);
        }
    }

    /// Puts `marks` drawn about their own origin with that origin at (x, y).
    pub(super) fn put_at(&mut self, x: f64, y: f64, marks: Vec<Mark>) {
        for mark in marks {
            self.put(mark.moved(x, y));
        }
    }

    pub(super) fn left(&self) -> f64 {
        FILING + PADDING
    }

    pub(super) fn right(&self) -> f64 {
        self.width - MARGIN - PADDING
    }

    pub(super) fn top(&self) -> f64 {
        MARGIN + PADDING
    }

    /// Lower end of the room on a page that carries a title strip.
    pub(super) fn bottom(&self) -> f64 {
        self.border_bottom() - STRIP - 2.0
    }

    pub(super) fn border_bottom(&self) -> f64 {
        self.height - MARGIN
    }

    pub(super) fn border_right(&self) -> f64 {
        self.width - MARGIN
    }

    /// Width between left and right.
    pub(super) fn room(&self) -> f64 {
        self.right() - self.left()
    }

    /// Lines of text from (x, y), broken to `room`; gives the y below them.
    pub(super) fn paragraph(&mut self, x: f64, y: f64, room: f64, text: &str, ink: Ink) -> f64 {
        let mut y = y;
        for line in wrap(Face::Sans, text, size::TEXT, room) {
            y += size::TEXT * 1.35;
            self.put(Text::new((x, y), line, size::TEXT).ink(ink));
        }
        y + 1.0
    }

    /// How high such lines are together, with the room below them.
    pub(super) fn height_of(&self, text: &str, room: f64) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let lines = wrap(Face::Sans, text, size::TEXT, room).len() as f64;
        lines * size::TEXT * 1.35 + 1.0
    }

    /// Numbers the pages, now that their count is known, and gives them away.
    pub(super) fn finish(mut self) -> Vec<Page> {
        let of = self.pages.len();
        let mut pages = std::mem::take(&mut self.pages);
        for (i, page) in pages.iter_mut().enumerate() {
            page.title = title_block::page_title(&self, i + 1, of);
            let marks = if i == 0 && self.purpose == Purpose::Report {
                title_block::block(&self, i + 1, of)
            } else {
                title_block::strip(&self, i + 1, of, STRIP)
            };
            for mark in marks {
                page.put(mark);
            }
        }
        pages
    }
}
