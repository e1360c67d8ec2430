//! What the keys do in the table.

use super::Grid;
use super::column::Column;
use leptos::prelude::*;
use web_sys::KeyboardEvent;

/// The keys for the footer.
pub(crate) const KEYS: [(&str, &str); 5] = [
    ("F2", "edit"),
    ("Ctrl Enter", "new row"),
    ("Ctrl Delete", "remove row"),
    ("Ctrl V", "paste a table"),
    ("Esc", "out of the table"),
];

/// Rows that PageUp and PageDown go.
const PAGE: usize = 10;

/// Deals with a key; what it does not know goes to the browser.
pub(super) fn pressed(grid: Grid, event: &KeyboardEvent, leave: Callback<()>) {
    if event.is_composing() || event.alt_key() {
        return;
    }
    if done(grid, event, leave) {
        event.prevent_default();
        event.stop_propagation();
    }
}

fn done(grid: Grid, event: &KeyboardEvent, leave: Callback<()>) -> bool {
    let (row, column) = grid.at.get_untracked();
    let count = grid.count.get_untracked();
    let editing = grid.editing.get_untracked();
    let command = event.ctrl_key() || event.meta_key();
    let key = event.key();
    if !editing
        && (key.starts_with("Arrow")
            || key.starts_with("Page")
            || matches!(key.as_str(), "Home" | "End"))
    {
        grid.tabbed.set_value(None);
    }
    match (key.as_str(), command) {
        ("Enter", true) => {
            grid.commit();
            grid.insert_row();
        }
        ("Delete", true) if !editing => grid.remove_rows(),
        ("Home", true) if !editing => grid.move_to(0, Column::Number),
        ("End", true) if !editing => grid.move_to(count, Column::Number),
        (_, true) => return false,
        ("Enter", _) => {
            grid.commit();
            let back = grid.tabbed.get_value().unwrap_or(column);
            grid.tabbed.set_value(None);
            let next = if event.shift_key() { row.saturating_sub(1) } else { row + 1 };
            // What was just typed may have made a row.
            grid.move_to(next.min(grid.desk.job_untracked().drawing.features.len()), back);
        }
        ("Tab", _) => return tab(grid, !event.shift_key()),
        ("Escape", _) if editing => grid.cancel(),
        ("Escape", _) => {
            let was_wrong = grid.wrong.with_untracked(|w| w.contains_key(&(row, column)));
            if was_wrong {
                grid.forget(row, column);
            } else {
                leave.run(());
            }
        }
        ("F2", _) => {
            grid.editing.set(true);
            if let Some(field) = grid.field.get_untracked() {
                let end = u32::try_from(field.value().encode_utf16().count()).unwrap_or(0);
                let _ = field.set_selection_range(end, end);
            }
        }
        ("ArrowUp", _) => vertical(grid, row.saturating_sub(1), event.shift_key()),
        ("ArrowDown", _) => vertical(grid, row + 1, event.shift_key()),
        ("PageUp", _) => vertical(grid, row.saturating_sub(PAGE), event.shift_key()),
        ("PageDown", _) => vertical(grid, row + PAGE, event.shift_key()),
        ("ArrowLeft", _) if !editing => grid.move_to(row, beside(column, false)),
        ("ArrowRight", _) if !editing => grid.move_to(row, beside(column, true)),
        ("Home", _) if !editing => grid.move_to(row, Column::Number),
        ("End", _) if !editing => grid.move_to(row, Column::Note),
        ("Delete", _) if !editing => grid.enter(row, column, ""),
        _ => return false,
    }
    true
}

fn beside(column: Column, on: bool) -> Column {
    let at = column.index();
    let next = if on { (at + 1).min(Column::ALL.len() - 1) } else { at.saturating_sub(1) };
    Column::ALL[next]
}

/// Up or down, with Shift extending the selection of rows.
fn vertical(grid: Grid, to: usize, extend: bool) {
    grid.commit();
    let (_, column) = grid.at.get_untracked();
    let from = grid.from.get_untracked();
    grid.move_to(to, column);
    if extend {
        grid.from.set(from);
    }
}

/// To the next cell that can say anything; out of the table at its ends.
fn tab(grid: Grid, on: bool) -> bool {
    grid.commit();
    let (mut row, mut column) = grid.at.get_untracked();
    if on && grid.tabbed.get_value().is_none() {
        grid.tabbed.set_value(Some(column));
    }
    let job = grid.desk.job_untracked();
    let features = &job.drawing.features;
    loop {
        let (first, last) = (Column::Number, Column::Note);
        if on && column == last {
            if row >= features.len() {
                return false;
            }
            (row, column) = (row + 1, first);
        } else if !on && column == first {
            if row == 0 {
                return false;
            }
            (row, column) = (row - 1, last);
        } else {
            column = beside(column, on);
        }
        // The empty row is a hole until it is said to be something else.
        let applies = features.get(row).map_or(column != Column::Direction, |f| column.applies(f));
        if applies {
            break;
        }
    }
    grid.move_to(row, column);
    true
}
