//! The Drawing screen: what the drawing says, typed or pasted, and its picture beside it.

mod conditions;
mod datums;
mod grid;
mod instruments;
mod kept;
mod lines;
mod order;
mod outline;
mod picture;
mod problems;
mod record;
mod sections;
mod standard;
mod title;
mod unit;

use crate::desk::Desk;
use leptos::prelude::*;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{BOUNDS, Job};

/// The Drawing screen.
#[component]
pub(crate) fn Drawing() -> impl IntoView {
    let grid = grid::Grid::new();
    view! {
        <div class="panes drawing">
            <section class="pane typed" aria-label="What the drawing says">
                <h1 class="away">"Drawing"</h1>
                <title::Title/>
                <record::Record/>
                <sections::Sections grid/>
            </section>
            <section class="pane seen" aria-label="Picture of the drawing">
                <picture::Picture grid/>
                <problems::Problems grid/>
            </section>
        </div>
    }
}

/// A text of the document: where it stands, and how it is put there.
fn text(
    desk: Desk,
    what: &'static str,
    get: impl Fn(&Job) -> String + Send + Sync + 'static,
    put: impl Fn(&mut Job, String) + Send + Sync + 'static,
) -> (Signal<String>, Callback<String, Result<(), EntryError>>) {
    let value = Memo::new(move |_| get(&desk.job()));
    let take = Callback::new(move |typed: String| {
        if typed.chars().count() > BOUNDS.text_chars {
            return Err(EntryError(format!("A text may have {} characters.", BOUNDS.text_chars)));
        }
        desk.change(what, |job| put(job, typed.trim().to_owned()));
        Ok(())
    });
    (value.into(), take)
}
