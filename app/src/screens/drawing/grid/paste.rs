//! Tables pasted from a spreadsheet, and rows copied to one.

use super::Grid;
use super::column::Column;
use crate::desk::Tone;
use leptos::prelude::*;
use quarterturn_core::entry::{Refused, table};
use quarterturn_core::show::Figures;
use web_sys::ClipboardEvent;

/// What came of a paste.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Result {
    taken: usize,
    columns: Vec<String>,
    refused: Vec<Refused>,
}

/// Takes a table; a single cell is pasted by the browser.
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
    let pasted = table(&text, &job.drawing);
    let taken = pasted.features.len();
    if taken == 0 && pasted.refused.is_empty() {
        grid.desk.say(
            Tone::Wrong,
            "Nothing in what was pasted reads as a row of the table.",
            vec![],
        );
        return;
    }
    if taken > 0 {
        let first = job.drawing.features.len();
        grid.desk.change(format!("{taken} rows pasted"), |job| {
            job.drawing.features.extend(pasted.features)
        });
        grid.move_to(first, Column::Number);
    }
    grid.pasted.set(Some(Result { taken, columns: pasted.columns, refused: pasted.refused }));
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

/// What came of the last paste, until it is closed.
#[component]
pub(super) fn Pasting(grid: Grid) -> impl IntoView {
    let close = move |_| {
        grid.pasted.set(None);
        grid.focus();
    };
    view! {
        <div role="status">
            {move || grid.pasted.get().map(|result| {
                let Result { taken, columns, refused } = result;
                let rows = |n: usize| if n == 1 { "1 row".to_owned() } else { format!("{n} rows") };
                let headline = if refused.is_empty() {
                    format!("{} pasted.", rows(taken))
                } else {
                    format!("{} pasted, {} refused:", rows(taken), rows(refused.len()))
                };
                view! {
                    <section class="pasted" aria-label="What was pasted">
                        <button type="button" class="link close" on:click=close>"Close"</button>
                        <h2>{headline}</h2>
                        <ul>
                            {refused.into_iter().map(|r| view! {
                                <li><span class="row">{format!("Row {}", r.row)}</span>" "{r.why}" "<span class="soft">{short(&r.text)}</span></li>
                            }).collect_view()}
                        </ul>
                        <p class="soft">{format!("Columns were taken as: {}.", columns.join(", "))}</p>
                    </section>
                }
            })}
        </div>
    }
}

/// The beginning of a row as it was pasted.
fn short(text: &str) -> String {
    const MOST: usize = 60;
    let flat = text.replace(['\t', '\n'], "  ");
    if flat.chars().count() <= MOST {
        flat
    } else {
        format!("{} …", flat.chars().take(MOST).collect::<String>())
    }
}
