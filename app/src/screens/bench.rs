//! The Bench: the part as it stands on the plate, the touch that comes next, and the readings.
//!
//! Built for one hand on the gauge: the field for the next reading has the focus, a number
//! starts it, Enter takes it and goes on.

mod blocks;
mod complete;
mod entry;
mod found;
mod head;
mod known;
mod line;
mod offers;
mod piece;
mod questions;
mod remarks;
mod rows;
mod setup;
mod stand;
mod station;
mod sweep;
mod table;
mod tabs;
mod ways;
mod zero;

#[cfg(test)]
mod tests;

use crate::desk::Desk;
use entry::Entry;
use head::Head;
use leptos::prelude::*;
use piece::PieceLine;
use remarks::{Corrected, Remarks};
use setup::SetUp;
use stand::StandPicture;
use station::Station;
use sweep::{Sweeping, Swept};
use table::ReadingsTable;
use tabs::Tabs;

/// The Bench screen.
#[component]
pub(crate) fn Bench() -> impl IntoView {
    let desk = Desk::here();
    let station = Station::provide(desk);
    desk.keys_here.set(vec![
        ("Enter", "take"),
        ("Ctrl Enter", "again"),
        ("Backspace", "take back"),
        ("[ ]", "orientation"),
        ("A", "act"),
        ("S", "set-up"),
        ("Z", "zero"),
        ("W", "sweep"),
    ]);
    let keys = window_event_listener(leptos::ev::keydown, move |ev| station.window_key(&ev));
    desk.before_leaving(Callback::new(move |()| station.leaving()));
    on_cleanup(move || {
        keys.remove();
        station.leaving();
    });
    let measures = Memo::new(move |_| {
        let view = desk.view();
        !view.planned.is_empty() && view.piece.is_some()
    });

    let touches = Memo::new(move |_| station.rows.with(|r| !r.cells.is_empty()));

    view! {
        <div class="bench">
            <h1 class="away">"Bench"</h1>
            <div class="bench-top">
                <Tabs/>
                <Show when=move || desk.view().piece.is_some()>
                    <PieceLine/>
                </Show>
            </div>
            <section class="bench-left" aria-label="The part on the plate">
                <SetUp/>
                <StandPicture/>
                <Remarks/>
                <Corrected/>
                <p class="bench-cautions">
                    "Clamp a tall or heavy part to the angle plate before you turn it. Keep fingers out \
                     from under a motorised carriage. Deburr and clean before touching. Let part and \
                     plate come to one temperature."
                </p>
            </section>
            <section class="bench-right" aria-label="Readings">
                <Show when=move || measures.get() fallback=move || view! { <Missing/> }>
                    <Head/>
                    <Sweeping/>
                    <Show when=move || touches.get()>
                        <Entry/>
                        <ReadingsTable/>
                    </Show>
                    <Swept/>
                </Show>
            </section>
        </div>
    }
}

/// What is missing before anything can be read.
#[component]
fn Missing() -> impl IntoView {
    let desk = Desk::here();
    let station = Station::here();
    let no_piece = move || desk.view().piece.is_none();
    view! {
        <Show
            when=no_piece
            fallback=move || {
                view! {
                    <p class="bench-empty">"The plan has no orientation yet. Add the first way in which the part stands."</p>
                    <button type="button" class="button main" on:click=move |_| station.add_orientation()>"Add an orientation"</button>
                }
            }
        >
            <p class="bench-empty">"There is no piece yet. Add the first one, then take its readings."</p>
            <button type="button" class="button main" on:click=move |_| desk.add_piece()>"Add a piece"</button>
        </Show>
    }
}
