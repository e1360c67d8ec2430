//! The end of an orientation: the zero once more, and where to go from here.

use super::known::AtHand;
use super::station::{Station, ZERO_AT_END};
use leptos::html::Input;
use leptos::prelude::*;
use quarterturn_core::bench::seat_not_swept;
use quarterturn_core::entry;
use quarterturn_core::picture::{stands_in_words, zero_words};
use quarterturn_core::show::{as_typed, feature_name};

/// The orientation is complete.
#[component]
pub(super) fn Complete() -> impl IntoView {
    let station = Station::here();
    let full = Memo::new(move |_| {
        station.complete.get() && station.rows.with(|r| r.is_full() && !r.cells.is_empty())
    });
    view! {
        <Show when=move || full.get()>
            <div class="bench-complete">
                <ZeroAgain/>
                <Seat/>
                <GoOn/>
            </div>
        </Show>
    }
}

/// What the zero reads at the end, asked for by the field itself: with nothing typed, Enter goes on.
#[component]
fn ZeroAgain() -> impl IntoView {
    let station = Station::here();
    let piece = AtHand::here();
    let unit = move || station.rows.with(|r| r.units.0);
    let read = Memo::new(move |_| {
        let number = station.rows.with(|r| r.number);
        piece.get(|p| p.zero_check(number)).flatten().map(|f| as_typed(f, unit()))
    });
    let zero = move || {
        let view = station.desk.view();
        let orientation = view.job.plan.orientations.get(station.rows.with(|r| r.index));
        orientation.map(|o| zero_words(&view.job, o)).unwrap_or_default()
    };
    let field: NodeRef<Input> = NodeRef::new();
    let (typed, why) = (RwSignal::new(String::new()), RwSignal::new(None::<String>));
    Effect::new(move |_| {
        if let Some(field) = field.get() {
            let _shown = field.focus();
        }
    });
    let take = move || {
        let text = typed.get_untracked();
        if text.trim().is_empty() {
            station.go_on();
            return;
        }
        match entry::number(&text, station.rows.with_untracked(|r| r.units.0)) {
            Ok(figure) => {
                typed.set(String::new());
                piece.zero_at_end(Some(figure));
                station.focus();
            }
            Err(error) => why.set(Some(error.to_string())),
        }
    };
    let keyed = move |ev: web_sys::KeyboardEvent| {
        match ev.key().as_str() {
            "Enter" => take(),
            "Escape" => {
                typed.set(String::new());
                why.set(None);
                station.focus();
            }
            _ => return,
        }
        ev.prevent_default();
        ev.stop_propagation();
    };
    view! {
        {move || match read.get() {
            Some(read) => view! {
                <p>{format!("Zero at the end: {read}.")}</p>
            }.into_any(),
            None => view! {
                <p class="bench-ended">
                    <label for=ZERO_AT_END>{move || format!("Touch the zero once more ({}). It reads", zero())}</label>
                    " "
                    <input node_ref=field id=ZERO_AT_END type="text" class="box fig" inputmode="decimal" autocomplete="off"
                        aria-describedby="bench-end-why"
                        data-editing=move || typed.with(|t| !t.is_empty()).then_some("")
                        prop:value=move || typed.get()
                        on:input=move |ev| { why.set(None); typed.set(event_target_value(&ev).replace('-', "−")); }
                        on:keydown=keyed/>
                    " "
                    <span id="bench-end-why" class="bench-refusal" role="status">{move || why.get()}</span>
                </p>
            }.into_any(),
        }}
    }
}

/// The sweep that shows whether the part is seated, while it is not there.
#[component]
fn Seat() -> impl IntoView {
    let station = Station::here();
    let face = Memo::new(move |_| {
        let view = station.desk.view();
        let orientation = view.job.plan.orientations.get(station.rows.with(|r| r.index))?;
        let piece = view.job.pieces.get(view.index)?;
        seat_not_swept(&view.job, piece, orientation).map(feature_name)
    });
    view! {
        {move || face.get().map(|face| view! {
            <p class="soft">
                {format!("A part that is not seated shows in a sweep of {face}, on top. ")}
                <button type="button" class="link" on:click=move |_| station.set_sweeping(true)>"Sweep"</button>
            </p>
        })}
    }
}

/// Where to go from here.
#[component]
fn GoOn() -> impl IntoView {
    let station = Station::here();
    let next = Memo::new(move |_| station.next_orientation());
    let questions = move || match station.desk.view().questions().len() {
        0 => String::new(),
        1 => "One reading is in question: look at it first.".to_owned(),
        n => format!("{n} readings are in question: look at them first."),
    };
    let number = move || station.rows.with(|r| r.number);
    let next_words = move || {
        let view = station.desk.view();
        let orientation = view.job.plan.orientations.get(next.get()?)?;
        Some((orientation.number, stands_in_words(&view.job, orientation)))
    };
    view! {
        <div class="bench-on">
            {move || match next_words() {
                Some((to, words)) => view! {
                    <p>
                        {format!("Orientation {} is complete. Next is orientation {to}: {words}. ", number())}
                        "Clamp a tall or heavy part before you turn it, and set the zero anew."
                    </p>
                    <button type="button" class="button main" on:click=move |_| station.go_on()>
                        {format!("Go on to orientation {to} ")} <kbd>"Enter"</kbd>
                    </button>
                }
                .into_any(),
                None => view! {
                    <p>"Every reading of this piece is taken. " {questions}</p>
                    <button type="button" class="button main" on:click=move |_| station.go_on()>
                        "See what was found " <kbd>"Enter"</kbd>
                    </button>
                }
                .into_any(),
            }}
        </div>
    }
}
