//! The piece at hand: its serial number, its removal, and the pieces that were removed.

use super::panel::{Opens, Panel};
use crate::desk::Desk;
use crate::widgets::Field;
use leptos::prelude::*;
use quarterturn_core::job::BOUNDS;
use quarterturn_core::show::removed_pieces;

/// The button and the panel that it opens.
#[component]
pub(super) fn PieceButton(open: RwSignal<Option<Panel>>) -> impl IntoView {
    view! {
        <Opens panel=Panel::Piece open text="Edit" named="Edit or remove this piece" key="Alt+P" class="button small"
            label="This piece">
            <Content open/>
        </Opens>
    }
}

#[component]
fn Content(open: RwSignal<Option<Panel>>) -> impl IntoView {
    let desk = Desk::here();
    let there = Memo::new(move |_| desk.job().pieces.len() > desk.piece.get());
    let removed = Memo::new(move |_| removed_pieces(&desk.job()));
    view! {
        <Show when=move || there.get() fallback=|| view! { <p>"The job has no piece."</p> }>
            <SerialNumber open/>
            <Removal open/>
        </Show>
        <Show when=move || !removed.with(Vec::is_empty)>
            <h2>"Removed pieces"</h2>
            <ul class="removed">
                {move || removed.get().into_iter().map(|says| view! { <li>{says}</li> }).collect_view()}
            </ul>
        </Show>
    }
}

#[component]
fn SerialNumber(open: RwSignal<Option<Panel>>) -> impl IntoView {
    let desk = Desk::here();
    let serial = Memo::new(move |_| {
        desk.job().pieces.get(desk.piece.get()).map(|p| p.serial.clone()).unwrap_or_default()
    });
    // Enter closes the panel once the field has taken the number over.
    let entered = move |event: web_sys::KeyboardEvent| {
        if event.key() == "Enter" && event_target_value(&event).trim() == serial.get_untracked() {
            open.set(None);
        }
    };
    view! {
        <div on:keydown=entered>
            <Field label="Serial number" value=serial take=Callback::new(move |typed: String| desk.set_serial(&typed))/>
        </div>
    }
}

/// A piece on which something was read is removed with the reason for it.
#[component]
fn Removal(open: RwSignal<Option<Panel>>) -> impl IntoView {
    let desk = Desk::here();
    let why = RwSignal::new(String::new());
    let piece = Memo::new(move |_| {
        let job = desk.job();
        job.pieces.get(desk.piece.get()).map(|p| (p.serial.clone(), p.is_blank()))
    });
    let blank = move || piece.with(|p| p.as_ref().is_none_or(|(_, blank)| *blank));
    let words =
        move || piece.with(|p| p.as_ref().map(|(serial, _)| format!("Remove piece {serial}")));
    let remove = move |_| {
        open.set(None);
        desk.remove_piece(why.get_untracked().trim());
    };
    view! {
        <div class="removal">
            <Show when=move || !blank()>
                <div class="field">
                    <label for="why-removed">"Why it is removed (for the record, which keeps its readings)"</label>
                    <input id="why-removed" type="text" class="box" autocomplete="off" maxlength=BOUNDS.text_chars
                        prop:value=move || why.get()
                        on:input=move |event| why.set(event_target_value(&event))/>
                </div>
            </Show>
            <button type="button" class="button" on:click=remove>{words}</button>
        </div>
    }
}
