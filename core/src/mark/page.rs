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
}

impl Page {
    /// A blank page of `width` by `height` millimetres.
    #[must_use]
    pub fn new(width: f64, height: f64, title: impl Into<String>) -> Self {
        Self { width, height, title: title.into(), marks: Vec::new() }
    }

    /// Adds a mark over those that are there.
    pub fn put(&mut self, mark: impl Into<Mark>) {
        self.marks.push(mark.into());
    }
}
