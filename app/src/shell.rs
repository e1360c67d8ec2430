//! The frame around the screens: which job, which screen, what there is to say, what is kept.

mod foot;
mod head;
mod jobs;
mod line;
mod panel;
mod piece;

use crate::desk::{Desk, Screen};
use crate::gauge::Gauge;
use crate::{file, keys, screens};
use foot::Foot;
use head::Head;
use leptos::html;
use leptos::prelude::*;
use line::LineStrip;
pub(crate) use panel::{Opens, Panel};

/// The whole page.
#[component]
pub(crate) fn Shell() -> impl IntoView {
    let desk = Desk::provide();
    Gauge::provide(desk);
    let open: RwSignal<Option<Panel>> = RwSignal::new(None);
    let picker: NodeRef<html::Input> = NodeRef::new();
    let pick = Callback::new(move |()| {
        if let Some(input) = picker.get_untracked() {
            input.click();
        }
    });
    let over = RwSignal::new(false);
    desk.begin();
    let title = Memo::new(move |_| desk.job().drawing.part_number.clone());
    Effect::new(move |_| {
        let title = title.get();
        document().set_title(&if title.is_empty() {
            "Quarterturn".to_owned()
        } else {
            format!("{title} – Quarterturn")
        });
    });
    keys::listen(desk, open, pick);
    // A screen belongs to one job: for another job it is made anew, with all that it remembers. A list
    // with one entry at most does that. A closure would make the new screen out of the parts of the old
    // one where both are of one kind, and rows that are kept so read signals of the old one, which are
    // gone. Of equal values a memo tells nobody, so a screen that is set once more stays.
    let shown =
        Memo::new(move |_| desk.ready.get().then(|| (desk.screen.get(), desk.opened.get())));

    let chosen = move |_| {
        let Some(input) = picker.get_untracked() else { return };
        if let Some(file) = input.files().and_then(|f| f.get(0)) {
            file::open(desk, file);
        }
        // The same file may be chosen again.
        input.set_value("");
    };
    let has_files = |event: &web_sys::DragEvent| {
        event.data_transfer().is_some_and(|d| d.types().includes(&"Files".into(), 0))
    };
    let dragged = move |event: web_sys::DragEvent| {
        if has_files(&event) {
            event.prevent_default();
            over.set(true);
        }
    };
    let dropped = move |event: web_sys::DragEvent| {
        if !has_files(&event) {
            return;
        }
        event.prevent_default();
        over.set(false);
        if let Some(file) = event.data_transfer().and_then(|d| d.files()).and_then(|f| f.get(0)) {
            file::open(desk, file);
        }
    };
    let left = move |event: web_sys::DragEvent| {
        if event.related_target().is_none() {
            over.set(false);
        }
    };
    view! {
        <div class="page" class:drop=over on:dragover=dragged on:drop=dropped on:dragleave=left>
            <Head open pick/>
            <LineStrip/>
            <main class="screen" tabindex="-1">
                <input type="file" class="away" tabindex="-1" aria-label="Job file or sheet to open" accept=".json,application/json,.pdf,application/pdf"
                    node_ref=picker on:change=chosen/>
                <For each=move || shown.get() key=|shown| *shown let:shown>
                    {match shown.0 {
                        Screen::Drawing => view! { <screens::Drawing/> }.into_any(),
                        Screen::Bench => view! { <screens::Bench/> }.into_any(),
                        Screen::Findings => view! { <screens::Findings/> }.into_any(),
                        Screen::Sheet => view! { <screens::Sheet/> }.into_any(),
                    }}
                </For>
            </main>
            <Foot/>
        </div>
    }
}
