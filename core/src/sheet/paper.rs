//! Paper with its border: pages are begun here and numbered at the end.

use super::title_block::{self, Purpose};
use crate::job::{Job, Piece};
use crate::mark::{
    Bookmark, Face, Ink, Level, Line, Mark, Page, Rect, Stroke, Text, missing, wrap,
};

/// Text sizes in millimetres (em), to be read at arm's length.
pub(super) mod size {
    /// Labels, heads of columns: 6.5 point.
    pub(crate) const SMALL: f64 = 2.3;
    /// Text and figures: 8 point.
    pub(crate) const TEXT: f64 = 2.83;
    /// A heading.
    pub(crate) const HEAD: f64 = 3.8;
}

/// From one line of text to the next.
pub(super) const STEP: f64 = size::TEXT * 1.3;

/// Filing margin on the left.
const FILING: f64 = 18.0;
/// Margin on the other sides.
const MARGIN: f64 = 8.0;
/// Room between the border and what stands in it.
const PADDING: f64 = 4.0;
/// Height of the title strip at the foot of every page but the first.
const STRIP: f64 = 9.0;
/// Height of a heading at the head of a page.
const HEADING: f64 = 7.0;
/// Room above a section that begins below another.
const ABOVE: f64 = 3.5;
/// Between two columns of text.
const GUTTER: f64 = 7.0;

/// The pages of a sheet as they fill.
pub(super) struct Paper<'a> {
    pub(super) job: &'a Job,
    pub(super) piece: Option<&'a Piece>,
    pub(super) purpose: Purpose,
    pages: Vec<Page>,
    width: f64,
    height: f64,
    /// What the page at hand is headed with, without "continued".
    heading: String,
    /// What stands at the foot of the page at hand begins here.
    floor: f64,
    /// Where the next thing goes, from the top of the page.
    pub(super) y: f64,
}

impl<'a> Paper<'a> {
    pub(super) fn new(job: &'a Job, piece: Option<&'a Piece>, purpose: Purpose) -> Self {
        let (width, height) = job.shipment.paper.size_mm();
        Self {
            job,
            piece,
            purpose,
            pages: Vec::new(),
            width,
            height,
            heading: String::new(),
            floor: 0.0,
            y: 0.0,
        }
    }

    /// Begins a section: below what is on the page at hand where `need` millimetres are left for it
    /// under its heading, else on a page of its own.
    pub(super) fn section(&mut self, heading: &str, need: f64) {
        if self.pages.is_empty() || self.y + ABOVE + HEADING + need > self.bottom() {
            self.begin(heading);
            self.bookmark(heading, self.top());
            return;
        }
        heading.clone_into(&mut self.heading);
        self.y += ABOVE;
        self.bookmark(heading, self.y);
        let (left, right, y) = (self.left(), self.right(), self.y);
        self.put(Line::new((left, y), (right, y), Stroke::HAIR));
        self.y += 1.5;
        self.put(Text::new((left, self.y + 3.0), heading, size::HEAD).bold());
        self.y += HEADING - 1.5;
    }

    /// Goes on with the section at hand on a new page.
    pub(super) fn resume(&mut self) {
        let heading = std::mem::take(&mut self.heading);
        self.begin(&format!("{heading}, continued"));
        self.heading = heading;
    }

    /// Goes on on a new page where less than `need` millimetres are left; whether it did.
    pub(super) fn make_room(&mut self, need: f64) -> bool {
        let full = self.y + need > self.bottom();
        if full {
            self.resume();
        }
        full
    }

    /// Keeps the foot of the page at hand, from `y` down, for something else.
    pub(super) fn keep_from(&mut self, y: f64) {
        self.floor = y;
    }

    /// Begins a page with a heading.
    pub(super) fn begin(&mut self, heading: &str) {
        let mut page = Page::new(self.width, self.height, heading);
        page.put(
            Rect::new((FILING, MARGIN), self.width - FILING - MARGIN, self.height - 2.0 * MARGIN)
                .stroke(Stroke::BORDER),
        );
        self.pages.push(page);
        heading.clone_into(&mut self.heading);
        self.floor = self.border_bottom() - STRIP - 2.0;
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
            self.y += HEADING;
        }
    }

    /// Makes a section of the page at hand one that a reader can go to.
    fn bookmark(&mut self, title: &str, y: f64) {
        if let Some(page) = self.pages.last_mut() {
            page.bookmarks.push(Bookmark { title: title.to_owned(), level: Level::Section, y });
        }
    }

    /// Makes the first page one that a reader can go to, as that of the sheet with its sections below.
    pub(super) fn bookmark_first(&mut self, title: &str) {
        if let Some(page) = self.pages.first_mut() {
            let bookmark = Bookmark { title: title.to_owned(), level: Level::Sheet, y: 0.0 };
            page.bookmarks.insert(0, bookmark);
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

    /// Lower end of the room on the page at hand.
    pub(super) fn bottom(&self) -> f64 {
        self.floor
    }

    pub(super) fn border_bottom(&self) -> f64 {
        self.height - MARGIN
    }

    pub(super) fn border_right(&self) -> f64 {
        self.width - MARGIN
    }

    /// Characters on the pages so far that no font here has.
    pub(super) fn undrawable(&self) -> Vec<char> {
        fn walk(marks: &[Mark], found: &mut Vec<char>) {
            for mark in marks {
                match mark {
                    Mark::Text(text) => found.extend(missing(&text.text)),
                    Mark::Group(group) => walk(&group.marks, found),
                    _ => {}
                }
            }
        }
        let mut found = Vec::new();
        self.pages.iter().for_each(|page| walk(&page.marks, &mut found));
        found
    }

    /// How many pages there are so far.
    pub(super) fn count(&self) -> usize {
        self.pages.len()
    }

    /// Width between left and right.
    pub(super) fn room(&self) -> f64 {
        self.right() - self.left()
    }

    /// Lines of text from (x, y), broken to `room`; gives the y below them. Nothing sees to it that
    /// they stay on the page: for text of any length there is [`Self::columns`].
    pub(super) fn paragraph(&mut self, x: f64, y: f64, room: f64, text: &str, ink: Ink) -> f64 {
        let mut y = y;
        for line in wrap(Face::Sans, text, size::TEXT, room) {
            y += STEP;
            self.put(Text::new((x, y), line, size::TEXT).ink(ink));
        }
        y + 1.0
    }

    /// How high such lines are together, with the room below them.
    pub(super) fn height_of(&self, text: &str, room: f64) -> f64 {
        lines_high(wrap(Face::Sans, text, size::TEXT, room).len()) + 1.0
    }

    /// Width of one of two columns of text.
    pub(super) fn half(&self) -> f64 {
        (self.room() - GUTTER) / 2.0
    }

    /// Paragraphs: a few long ones across the page, others in two columns of one height, on as many pages as
    /// they take.
    pub(super) fn columns(&mut self, paragraphs: &[String]) {
        /// So many lines across the page are still read easily.
        const FEW: usize = 8;
        let half = self.half();
        let broken =
            |room: f64| paragraphs.iter().map(move |p| wrap(Face::Sans, p, size::TEXT, room));
        let across: Vec<Vec<String>> = broken(self.room()).collect();
        let count = across.iter().map(Vec::len).sum::<usize>();
        if count <= FEW.min(self.lines_left()) && broken(half).any(|lines| lines.len() > 1) {
            for line in across.into_iter().flatten() {
                self.y += STEP;
                let at = (self.left(), self.y);
                self.put(Text::new(at, line, size::TEXT));
            }
            self.y += 1.0;
            return;
        }
        let mut lines: std::collections::VecDeque<String> = broken(half).flatten().collect();
        while !lines.is_empty() {
            let most = self.lines_left();
            if most == 0 {
                self.resume();
                continue;
            }
            let count = lines.len().div_ceil(2).min(most);
            let top = self.y;
            for column in 0..2 {
                let x = if column == 0 { self.left() } else { self.left() + half + GUTTER };
                let mut y = top;
                for line in lines.drain(..count.min(lines.len())) {
                    y += STEP;
                    self.put(Text::new((x, y), line, size::TEXT));
                }
            }
            self.y = top + lines_high(count) + 1.0;
        }
    }

    /// How many lines of text the page at hand has room for.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a page of lines")]
    fn lines_left(&self) -> usize {
        ((self.bottom() - self.y - 1.0) / STEP).max(0.0) as usize
    }

    /// Gives the pages away, which have no numbers yet: those are drawn over them once their count is
    /// known, see [`Self::foot`].
    pub(super) fn take_pages(&mut self) -> Vec<Page> {
        std::mem::take(&mut self.pages)
    }

    /// What the page `index` of this sheet is called as `page` of `of` pages, and what is drawn at its
    /// foot: the title block on the first page of a report, the strip on all others.
    pub(super) fn foot(&self, index: usize, page: usize, of: usize) -> (String, Vec<Mark>) {
        let marks = if index == 0 && self.purpose != Purpose::Blank {
            title_block::block(self, page, of)
        } else {
            title_block::strip(self, page, of, STRIP)
        };
        (title_block::page_title(self, page, of), marks)
    }
}

/// How high so many lines of text are.
#[expect(clippy::cast_precision_loss, reason = "a page of lines")]
pub(super) fn lines_high(count: usize) -> f64 {
    count as f64 * STEP
}
