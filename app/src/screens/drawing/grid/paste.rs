//! Tables pasted from a spreadsheet, and rows copied to one.

use super::Grid;
use super::column::Column;
use super::pasting::Paste;
use crate::desk::Tone;
use crate::keep::columns_meant;
use leptos::prelude::*;
use quarterturn_core::entry::table;
use quarterturn_core::show::Figures;
use web_sys::ClipboardEvent;

/// Offers the rows of a table; a single cell is pasted by the browser.
pub(super) fn paste(grid: Grid, event: &ClipboardEvent) {
    let Some(text) = event.clipboard_data().and_then(|d| d.get_data("text/plain").ok()) else {
        return;
    };
    let lines = text.lines().filter(|l| !l.trim().is_empty()).count();
    if lines < 2 && !text.trim_end_matches(['\r', '\n']).contains('\t') {
        return;
    }
    event.prevent_default();
    grid.cancel();
    // A frame copied from a table, with its cells between tabs, is one callout.
    if lines < 2 && grid.takes_callout(text.trim()) {
        return;
    }
    let job = grid.desk.job_untracked();
    let read = table(&text, &job.drawing, None);
    if let Some(why) = read.no_table {
        return grid.desk.say(Tone::Wrong, why, vec![]);
    }
    if read.features.is_empty() && read.refused.is_empty() {
        let why = "Nothing in what was pasted reads as a row of the table.";
        return grid.desk.say(Tone::Wrong, why, vec![]);
    }
    let remembered = read.headings().and_then(|headings| columns_meant(&headings));
    grid.pasted.set(Some(Paste::Offered { text, meanings: remembered.clone(), remembered }));
}

/// Puts the selected rows on the clipboard as a table with its header; one cell is copied by
/// the browser.
pub(super) fn copy(grid: Grid, event: &ClipboardEvent) {
    let rows = grid.selection();
    if rows.len() < 2 || grid.editing.get_untracked() {
        return;
    }
    let job = grid.desk.job_untracked();
    let mut text = Column::ALL.map(Column::head).join("\t");
    let figures = Figures::of_drawing(&job.drawing);
    for feature in &job.drawing.features[rows] {
        text.push('\n');
        text.push_str(&Column::ALL.map(|c| c.text(feature, figures)).join("\t"));
    }
    if let Some(data) = event.clipboard_data()
        && data.set_data("text/plain", &text).is_ok()
    {
        event.prevent_default();
    }
}
