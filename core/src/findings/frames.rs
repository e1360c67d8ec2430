//! The datum frames of all callouts of a piece.

use super::DatumLists;
use crate::adjust::Adjustment;
use crate::frame::Frame;
use crate::job::Job;

/// The frames that a drawing asks for, taken once for each list of datums.
#[derive(Clone, Debug)]
pub struct Frames {
    by_list: Vec<Frame>,
    /// The frame of all datums of the drawing: for what has no callout of its own.
    drawing: Frame,
}

impl Frames {
    /// Takes every frame of the drawing from the adjusted facts of a piece.
    #[must_use]
    pub fn of(job: &Job, lists: &DatumLists<'_>, bench: &Adjustment) -> Self {
        let by_list = lists.iter().map(|datums| Frame::of(job, datums, bench)).collect();
        Self { by_list, drawing: Frame::of_drawing(job, bench) }
    }

    /// The frame of a list of datums, by its index among the [`DatumLists`]; that of all datums where
    /// there is no list.
    #[must_use]
    pub fn get(&self, list: Option<usize>) -> &Frame {
        list.and_then(|list| self.by_list.get(list)).unwrap_or(&self.drawing)
    }

    /// The frame of all datums of the drawing.
    #[must_use]
    pub const fn drawing(&self) -> &Frame {
        &self.drawing
    }
}
