//! A long table of which only the rows in sight are made.
//!
//! Up to [`ALL`] rows everything is made, so that the page can be searched and printed. Above
//! that, the rows in sight and some to either side; two empty rows stand for the others.

use leptos::html;
use leptos::prelude::*;
use std::ops::Range;

/// So many rows are made without counting what is in sight.
const ALL: usize = 120;

/// Rows made beyond those in sight, to either side.
const SPARE: usize = 4;

/// The rows in sight. All rows must have the same height.
#[derive(Clone, Copy)]
pub(crate) struct Window {
    /// The element that scrolls.
    pub(crate) scroller: NodeRef<html::Div>,
    count: Signal<usize>,
    row: RwSignal<f64>,
    top: RwSignal<f64>,
    rows: Memo<(usize, usize)>,
}

impl Window {
    /// For `count` rows of `row` pixels; the true height is measured as soon as there is one row
    /// with the attribute `data-row`.
    pub(crate) fn new(count: Signal<usize>, row: f64) -> Self {
        let scroller: NodeRef<html::Div> = NodeRef::new();
        let (row, top, height) = (RwSignal::new(row), RwSignal::new(0.0), RwSignal::new(900.0));
        let rows = Memo::new(move |_| {
            let count = count.get();
            if count <= ALL {
                return (0, count);
            }
            let (row, top, height) = (row.get().max(1.0), top.get(), height.get());
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a count of rows"
            )]
            let at = |y: f64| (y / row).floor().max(0.0) as usize;
            // In steps, so that not every pixel of scrolling makes and drops a row.
            let from = at(top).saturating_sub(SPARE) / 4 * 4;
            let to = ((at(top + height) + SPARE) / 4 + 1) * 4;
            (from.min(count), to.min(count))
        });
        let this = Self { scroller, count, row, top, rows };
        let size = super::room(scroller);
        Effect::new(move |_| {
            let (_, h) = size.get();
            if h > 0.0 {
                height.set(h);
            }
            this.measure();
        });
        this
    }

    /// To be called when the element scrolls.
    pub(crate) fn scrolled(self) {
        if let Some(scroller) = self.scroller.get_untracked() {
            self.top.set(f64::from(scroller.scroll_top()));
            self.measure();
        }
    }

    fn measure(self) {
        let Some(scroller) = self.scroller.get_untracked() else { return };
        let Ok(Some(row)) = scroller.query_selector("[data-row]") else { return };
        let height = row.get_bounding_client_rect().height();
        if height > 1.0 && (height - self.row.get_untracked()).abs() > 0.01 {
            self.row.set(height);
        }
    }

    /// The rows to be made; tracked.
    pub(crate) fn rows(self) -> Range<usize> {
        let (from, to) = self.rows.get();
        from..to
    }

    /// Height of what stands for the rows before, in pixels; tracked.
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    pub(crate) fn above(self) -> f64 {
        self.rows.get().0 as f64 * self.row.get()
    }

    /// Height of what stands for the rows behind, in pixels; tracked.
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    pub(crate) fn below(self) -> f64 {
        self.count.get().saturating_sub(self.rows.get().1) as f64 * self.row.get()
    }

    /// Scrolls so far that the row is in sight, `head` pixels being covered by the table's head.
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        reason = "pixels and rows"
    )]
    pub(crate) fn reveal(self, index: usize, head: f64) {
        let Some(scroller) = self.scroller.get_untracked() else { return };
        let row = self.row.get_untracked();
        let (from, to) = (index as f64 * row, (index + 1) as f64 * row + head);
        let (top, height) = (f64::from(scroller.scroll_top()), f64::from(scroller.client_height()));
        if from < top {
            scroller.set_scroll_top(from as i32);
        } else if to > top + height {
            scroller.set_scroll_top((to - height).ceil() as i32);
        } else {
            return;
        }
        self.top.set(f64::from(scroller.scroll_top()));
    }
}
