//! A page: paper of a given size with marks on it.

use super::mark::Mark;

/// Paper of a given size with marks on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Width in millimetres.
    pub width: f64,
    /// Height in millimetres.
    pub height: f64,
    /// What the page is, for those who cannot see it: 'Layout sheet, page 1 of 2'.
    pub title: String,
    /// The marks, each drawn over those before it.
    pub marks: Vec<Mark>,
    /// Places on the page that a reader of the document can go to, from the top down.
    pub bookmarks: Vec<Bookmark>,
}

/// A place that a reader can go to.
#[derive(Debug, Clone, PartialEq)]
pub struct Bookmark {
    /// What is there.
    pub title: String,
    /// Whether it is a part of what the bookmark before it leads to.
    pub level: Level,
    /// From the top of the page, in millimetres.
    pub y: f64,
}

/// How a bookmark stands to the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// A document of its own: the sheet of a piece.
    Sheet,
    /// A section of it.
    Section,
}

impl Page {
    /// A blank page of `width` by `height` millimetres.
    #[must_use]
    pub fn new(width: f64, height: f64, title: impl Into<String>) -> Self {
        Self { width, height, title: title.into(), marks: Vec::new(), bookmarks: Vec::new() }
    }

    /// Adds a mark over those that are there.
    pub fn put(&mut self, mark: impl Into<Mark>) {
        self.marks.push(mark.into());
    }
}
