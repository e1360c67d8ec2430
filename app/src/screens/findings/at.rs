//! What is selected on this screen: a feature, which lights up on every screen, or a line between
//! features, which is at home here alone.

use crate::desk::Desk;
use leptos::prelude::*;

/// The place at hand in the table: features by their index, and behind them the lines. A handle
/// that can be copied anywhere.
#[derive(Clone, Copy)]
pub(super) struct At {
    desk: Desk,
    line: RwSignal<Option<usize>>,
}

impl At {
    pub(super) fn new(desk: Desk) -> Self {
        let line = RwSignal::new(None);
        // A feature that is selected anywhere comes before a line.
        Effect::new(move || {
            desk.selected.track();
            line.set(None);
        });
        Self { desk, line }
    }

    /// The line that is selected; tracked.
    pub(super) fn line(self) -> Option<usize> {
        let lines = self.desk.job().drawing.relations.len();
        self.line.get().filter(|line| *line < lines)
    }

    /// The place in the table; tracked.
    pub(super) fn get(self) -> Option<usize> {
        let features = self.desk.job().drawing.features.len();
        self.line().map(|line| features + line).or_else(|| self.desk.selected.get())
    }

    /// The same, without following it.
    pub(super) fn get_untracked(self) -> Option<usize> {
        untrack(|| self.get())
    }

    /// Selects what stands at this place.
    pub(super) fn set(self, place: usize) {
        let features = self.desk.job_untracked().drawing.features.len();
        match place.checked_sub(features) {
            Some(line) => self.line.set(Some(line)),
            None => self.desk.selected.set(Some(place)),
        }
    }
}
