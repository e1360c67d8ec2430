//! The field that lies over the cell at hand and takes what is typed.

use super::column::{Column, next_number};
use super::{Grid, keys, paste};
use leptos::prelude::*;
use quarterturn_core::job::Kind;
use quarterturn_core::show::feature_name;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;

/// The field. `size` is the room of the table, `leave` goes out of it.
#[component]
pub(super) fn CellField(
    grid: Grid,
    size: Signal<(f64, f64)>,
    leave: Callback<()>,
) -> impl IntoView {
    let desk = grid.desk;
    // It lies over the cell at hand, wherever that comes to lie.
    Effect::new(move |_| {
        let (row, column) = grid.at.get();
        size.track();
        grid.count.track();
        grid.window.rows();
        grid.pasted.track();
        grid.next_frame.call(move || place(grid, row, column));
    });
    // It holds what the cell shows, selected, so that typing replaces it.
    Effect::new(move |_| {
        let (row, column) = grid.at.get();
        let shown = grid.shown(row, column);
        if grid.editing.get() {
            return;
        }
        grid.typed.set(shown.clone());
        if let Some(field) = grid.field.get() {
            field.set_value(&shown);
            if document().active_element().is_some_and(|e| e.is_same_node(Some(&field))) {
                field.select();
            }
        }
    });
    let label = move || {
        let (row, column) = grid.at.get();
        let name = desk
            .job()
            .drawing
            .features
            .get(row)
            .map_or_else(|| "new feature".to_owned(), feature_name);
        format!("{} of {name}", column.head())
    };
    // The number that the empty row would get by itself.
    let next = move || {
        let (row, column) = grid.at.get();
        (column == Column::Number && row == grid.count.get())
            .then(|| next_number(&desk.job().drawing))
    };
    let class = move || format!("box cell {}", grid.at.get().1.class());
    let is_wrong = move || grid.wrong.with(|w| w.contains_key(&grid.at.get()));
    view! {
        <input type="text" class=class id="grid-cell" autocomplete="off" spellcheck="false" node_ref=grid.field
            aria-label=label aria-describedby="under-grid" placeholder=next
            class:editing=move || grid.editing.get()
            aria-invalid=move || is_wrong().then_some("true")
            data-editing=move || grid.editing.get().then_some("")
            on:input=move |event| typing(grid, &event)
            on:focus=move |_| {
                if let Some(field) = grid.field.get_untracked().filter(|_| !grid.editing.get_untracked()) {
                    field.select();
                }
            }
            on:blur=move |_| grid.commit()
            on:dblclick=move |_| grid.editing.set(true)
            on:paste=move |event| paste::paste(grid, &event)
            on:copy=move |event| paste::copy(grid, &event)
            on:keydown=move |event| keys::pressed(grid, &event, leave)/>
    }
}

fn typing(grid: Grid, event: &web_sys::Event) {
    let text = event_target_value(event);
    let grew = text.chars().count() > grid.typed.get_untracked().chars().count()
        || !grid.editing.get_untracked();
    grid.editing.set(true);
    grid.typed.set(text.clone());
    if grid.at.get_untracked().1 == Column::Kind && grew {
        complete(grid, &text);
    }
}

/// Completes the word of a kind from its first letters; what was added is selected, so that
/// typing on goes on as if it were not there.
fn complete(grid: Grid, text: &str) {
    let lower = text.to_lowercase();
    if lower.is_empty() {
        return;
    }
    let Some(kind) = Kind::ALL.into_iter().find(|k| k.word().starts_with(&lower)) else { return };
    let Some(field) = grid.field.get_untracked() else { return };
    field.set_value(kind.word());
    grid.typed.set(kind.word().to_owned());
    let end = |s: &str| u32::try_from(s.len()).unwrap_or(0);
    let _ = field.set_selection_range(end(&lower), end(kind.word()));
}

/// Lays the field over its cell.
fn place(grid: Grid, row: usize, column: Column) {
    let (Some(field), Some(scroller)) =
        (grid.field.get_untracked(), grid.window.scroller.get_untracked())
    else {
        return;
    };
    if grid.at.get_untracked() != (row, column) {
        return;
    }
    let selector = format!("[data-row=\"{row}\"] > [data-col=\"{}\"]", column.index());
    let cell = scroller
        .query_selector(&selector)
        .ok()
        .flatten()
        .and_then(|c| c.dyn_into::<HtmlElement>().ok());
    let Some(cell) = cell else { return };
    let Some(ground) = field.offset_parent() else { return };
    let (c, g) = (cell.get_bounding_client_rect(), ground.get_bounding_client_rect());
    let style = web_sys::HtmlElement::style(&field);
    for (name, value) in [
        ("left", c.left() - g.left()),
        ("top", c.top() - g.top()),
        ("width", c.width()),
        ("height", c.height()),
    ] {
        // A number of pixels is never refused.
        let _ = style.set_property(name, &format!("{value}px"));
    }
}
