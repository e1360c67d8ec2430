//! Temperature, inspector and date of the piece at hand.

use super::station::Station;
use crate::clock;
use crate::widgets::Field;
use leptos::prelude::*;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{BOUNDS, Piece};

/// Data of the piece, in a line.
#[component]
pub(super) fn PieceLine() -> impl IntoView {
    let desk = Station::here().desk;
    let today = move |_| {
        let index = desk.view_untracked().index;
        desk.change("date of the piece", |job| {
            if let Some(piece) = job.pieces.get_mut(index) {
                piece.date = clock::today();
            }
        });
    };
    let undated = move || {
        let view = desk.view();
        view.job.pieces.get(view.index).is_some_and(|p| p.date.is_empty())
    };
    view! {
        <div class="bench-piece" role="group" aria-label="This piece">
            <PieceField label="temperature" class="bench-temperature" read=|p| &p.temperature write=|p| &mut p.temperature/>
            <PieceField label="inspector" class="bench-inspector" read=|p| &p.inspector write=|p| &mut p.inspector/>
            <PieceField label="date" class="bench-date" read=|p| &p.date write=|p| &mut p.date/>
            <Show when=undated>
                <button type="button" class="link" on:click=today>"today"</button>
            </Show>
        </div>
    }
}

/// One field of the piece.
#[component]
fn PieceField(
    label: &'static str,
    class: &'static str,
    read: fn(&Piece) -> &String,
    write: fn(&mut Piece) -> &mut String,
) -> impl IntoView {
    let desk = Station::here().desk;
    let value = Signal::derive(move || {
        let view = desk.view();
        view.job.pieces.get(view.index).map(|p| read(p).clone()).unwrap_or_default()
    });
    let take = move |text: String| {
        let text = text.trim().to_owned();
        if text.chars().count() > BOUNDS.text_chars {
            return Err(EntryError(format!(
                "More than {} characters are not kept.",
                BOUNDS.text_chars
            )));
        }
        let index = desk.view_untracked().index;
        desk.change(format!("{label} of the piece"), |job| {
            if let Some(piece) = job.pieces.get_mut(index) {
                *write(piece) = text;
            }
        });
        Ok(())
    };
    view! { <Field label value take class/> }
}
