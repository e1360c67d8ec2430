//! The field for the next reading, and what the page says of the last one.

use super::complete::Complete;
use super::found::SoFarLine;
use super::questions::{Act, asked};
use super::rows::Ahead;
use super::station::{Note, Station, Step};
use super::zero::CountsFrom;
use crate::gauge::Gauge;
use leptos::prelude::*;
use quarterturn_core::entry;

/// The field for the next reading.
#[component]
pub(super) fn Entry() -> impl IntoView {
    let station = Station::here();
    let desk = station.desk;

    let placeholder = move || {
        let at = station.at.get();
        station.rows.with(|r| r.cell(at).map(|c| c.text.clone()).unwrap_or_default())
    };
    let apart = move || {
        let text = station.typed.get();
        let at = station.at.get();
        station.rows.with(|r| {
            let figures = r.figures?;
            let value = entry::number(&text, r.units.0).ok()?.length(figures.unit);
            // From the expected height as it is shown, so that the three figures agree.
            let apart = value - r.figures?.rounded(r.cell(at)?.expected?);
            Some(figures.signed(apart))
        })
    };
    let enter_does = move || {
        let at = station.at.get();
        let typed = station.typed.get();
        let taken = station.rows.with(|r| r.cell(at).is_some_and(|c| c.is_taken()));
        let again = station.again.get();
        let same = typed.trim().is_empty() || (!again && typed.trim() == station.prefill());
        match (same, taken, again) {
            _ if station.emptied() => " takes the reading back".to_owned(),
            (true, ..) => leads(station),
            (false, true, true) => " adds it".to_owned(),
            (false, true, false) => " replaces what stands there".to_owned(),
            (false, false, _) => " takes it".to_owned(),
        }
    };
    let input = move |ev| {
        let text = event_target_value(&ev);
        // A true minus in the large figure, as everywhere.
        let shown = text.replace('-', "−");
        if shown != text
            && let Some(field) = station.field.get_untracked()
        {
            field.set_value(&shown);
        }
        station.refused.set(None);
        station.typed.set(shown);
    };
    let describes = move || {
        if station.refused.with(Option::is_some) { "bench-how bench-refused" } else { "bench-how" }
    };
    let disabled = move || station.rows.with(|r| r.cells.is_empty());

    view! {
        <div class="bench-entry" class:bench-wrong=move || station.refused.with(Option::is_some)>
            <input
                node_ref=station.field
                class="bench-field fig"
                type="text"
                inputmode="decimal"
                autocomplete="off"
                spellcheck="false"
                aria-labelledby="bench-next"
                aria-describedby=describes
                aria-invalid=move || station.refused.with(Option::is_some).to_string()
                disabled=disabled
                data-editing=move || (station.typed.with(|_| station.pending())).then_some("")
                placeholder=placeholder
                prop:value=move || station.typed.get()
                on:input=input
                on:keydown=move |ev| key(station, &ev)
            />
            // The numeric keys of a touch screen have no minus.
            <button
                type="button"
                class="button bench-sign-key"
                disabled=disabled
                aria-label="Change the sign"
                on:click=move |_| station.change_sign()
            >
                "+/−"
            </button>
            <div class="bench-live">
                <p class="bench-apart">
                    {move || apart().map(|a| view! { <span class="fig">{a}</span> " from expected" })}
                </p>
                <p><b>"Enter"</b>{enter_does}</p>
                <button
                    type="button"
                    class="link"
                    disabled=disabled
                    title="A further reading of the same touch: Ctrl Enter"
                    on:click=move |_| station.once_more()
                >
                    "Same touch again"
                </button>
                " "
                <button
                    type="button"
                    class="link"
                    disabled=disabled
                    aria-expanded=move || station.zeroing.get().to_string()
                    title="The readings of this feature count from something else: Z"
                    on:click=move |_| station.set_zeroing(!station.zeroing.get_untracked())
                >
                    "Another zero"
                </button>
                " "
                <button
                    type="button"
                    class="link"
                    aria-expanded=move || station.sweeping.get().to_string()
                    title="An indicator led over a face: its lowest and highest reading: W"
                    on:click=move |_| station.set_sweeping(!station.sweeping.get_untracked())
                >
                    "Sweep"
                </button>
            </div>
        </div>
        <CountsFrom/>
        <div class="bench-said" role="status">
            {move || {
                station
                    .refused
                    .get()
                    .map(|why| view! { <p id="bench-refused" class="bench-refusal">{why}</p> })
            }}
            {move || station.note.get().map(|note| view! { <Said note/> })}
            <SoFarLine/>
            <Complete/>
        </div>
        {move || {
            desk.view().piece.is_none().then(|| view! { <p>"There is no piece to measure."</p> })
        }}
    }
}

/// Where Enter leads with nothing typed.
fn leads(station: Station) -> String {
    let ahead = station.rows.with(|r| r.ahead(station.at.get()));
    match ahead {
        Ahead::Next(_) => " goes to the next".to_owned(),
        Ahead::Missing(at) if at == station.at.get() => ": a reading is wanted here".to_owned(),
        Ahead::Missing(at) => {
            let name = station.rows.with(|r| r.touch_name(&station.desk.view(), at));
            format!(" goes to {name}, not read yet")
        }
        Ahead::Complete if !station.complete.get() && !station.is_zero_checked() => {
            " asks for the zero at the end".to_owned()
        }
        Ahead::Complete => match station.next_orientation() {
            Some(index) => {
                let view = station.desk.view();
                let number = view.job.plan.orientations.get(index).map_or(0, |o| o.number);
                format!(" goes on to orientation {number}")
            }
            None => " goes to Findings".to_owned(),
        },
    }
}

/// What the page says of the reading that came last, with a reason where it replaced another.
#[component]
fn Said(note: Note) -> impl IntoView {
    let station = Station::here();
    let of = note.why.as_ref().map(|(_, of)| format!("Why, {of} (for the record)"));
    let why = note.why.map(|(at, _)| at);
    let asks = note.asks.clone();
    // What is asked may be done or answered by another reading.
    let act = move || {
        let asks = asks.as_ref()?;
        let first = asked(station).into_iter().next()?;
        (first.question == *asks).then(|| view! { <Act asked=first keyed=true/> })
    };
    let write = move |ev: web_sys::Event| {
        let Some(at) = why else { return };
        let text = event_target_value(&ev).trim().to_owned();
        station.desk.change("reason of a correction", |job| {
            if let Some(entry) = job.record.get_mut(at) {
                entry.why = text;
            }
        });
    };
    view! {
        <p class="bench-note" class:bench-asks=note.asks.is_some()>
            {note.asks.is_some().then(|| view! { <span class="bench-mark" aria-hidden="true">"?"</span> })}
            {note.says.clone()}
            " "
            {act}
        </p>
        {of.map(|of| {
            view! {
                <label class="bench-why">
                    {of}
                    <input
                        type="text"
                        class="box"
                        maxlength="200"
                        autocomplete="off"
                        on:change=write
                        on:keydown=move |ev| {
                            if ev.key() == "Enter" || ev.key() == "Escape" {
                                ev.prevent_default();
                                station.focus();
                            }
                        }
                    />
                </label>
            }
        })}
    }
}

fn key(station: Station, ev: &web_sys::KeyboardEvent) {
    if ev.alt_key() || ev.is_composing() {
        return;
    }
    let key = ev.key();
    let control = ev.ctrl_key() || ev.meta_key();
    // With nothing typed the keys of the caret move among the cells.
    let idle = !station.pending();
    let empty = station.typed.with_untracked(|t| t.is_empty());
    match (key.as_str(), control, ev.shift_key()) {
        ("Enter", true, _) => station.once_more(),
        ("Enter", false, true) => station.step(Step::Back),
        ("Enter", false, false) => station.enter(),
        ("ArrowDown", false, _) => station.step(Step::Rows(1)),
        ("ArrowUp", false, _) => station.step(Step::Rows(-1)),
        ("PageDown", false, _) => station.step(Step::Rows(10)),
        ("PageUp", false, _) => station.step(Step::Rows(-10)),
        ("ArrowLeft", false, false) if idle => station.step(Step::Back),
        ("ArrowRight", false, false) if idle => station.step(Step::Next),
        // Held down it takes back no more than one.
        ("Backspace" | "Delete", false, _) if empty => {
            if !ev.repeat() {
                station.take_back();
            }
        }
        ("Escape", false, _) => {
            if !station.escape() {
                station.restore();
            }
        }
        ("a" | "A", false, _) if idle => station.act(),
        ("[", false, _) => station.turn_by(-1),
        ("]", false, _) => station.turn_by(1),
        ("s" | "S", false, _) if idle => station.set_open(true),
        ("z" | "Z", false, _) if idle => station.set_zeroing(true),
        ("w" | "W", false, _) if idle => station.set_sweeping(true),
        ("g" | "G", false, _) if idle => Gauge::here().request(),
        _ => return,
    }
    ev.prevent_default();
}
