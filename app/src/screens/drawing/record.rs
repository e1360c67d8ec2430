//! What was changed of drawing and plan after something was measured, with room for the reason.

use crate::desk::Desk;
use leptos::prelude::*;
use quarterturn_core::show::{document_changes, last_document_change};

/// The last change with its reason, and the list of all. Nothing where nothing was changed.
#[component]
pub(super) fn Record() -> impl IntoView {
    let desk = Desk::here();
    let last = Memo::new(move |_| {
        let job = desk.job();
        let entry = job.document_record.last()?;
        Some((job.document_record.len(), last_document_change(&job)?, entry.why.clone()))
    });
    let list = Memo::new(move |_| {
        let view = desk.view();
        let piece = view.job.pieces.get(view.index);
        piece.map(|p| document_changes(&view.job, &p.serial)).unwrap_or_default()
    });
    let count = move || match list.with(Vec::len) {
        1 => "1 change after the first reading".to_owned(),
        n => format!("{n} changes after the first reading"),
    };
    let write = move |ev: web_sys::Event| {
        let text = event_target_value(&ev).trim().to_owned();
        desk.change("reason of a change", |job| {
            if let Some(entry) = job.document_record.last_mut() {
                entry.why = text;
            }
        });
    };
    view! {
        {move || {
            last.get().map(|(_, says, why)| {
                view! {
                    <div class="drawing-record">
                        <label class="bench-why">
                            "Changed after the first reading. Why? (for the record)"
                            <input
                                type="text"
                                class="box"
                                maxlength="200"
                                autocomplete="off"
                                prop:value=why
                                on:change=write
                            />
                        </label>
                        <p class="soft">{says}</p>
                        <details class="bench-record">
                            <summary>{count}</summary>
                            <ul>
                                {move || {
                                    list.get().into_iter().map(|says| view! { <li>{says}</li> }).collect_view()
                                }}
                            </ul>
                        </details>
                    </div>
                }
            })
        }}
    }
}
