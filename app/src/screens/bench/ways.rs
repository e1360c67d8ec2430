//! Which way is up: four pictures of the part as it would stand, or an angle.

use super::setup::change;
use super::stand::{Planning, SMALL, small};
use super::station::Station;
use leptos::prelude::*;
use quarterturn_core::Job;
use quarterturn_core::bench::stood;
use quarterturn_core::entry;
use quarterturn_core::job::Orientation;
use quarterturn_core::picture::stands_in_words;
use quarterturn_core::quantity::Side;

/// In the order of the turns that are made most.
const WAYS: [Side; 4] = [Side::PlusY, Side::MinusX, Side::PlusX, Side::MinusY];

/// The choice of what is up. The arrow keys go through it.
#[component]
pub(super) fn Ways(
    planning: Memo<Planning>,
    orientation: Memo<Option<Orientation>>,
) -> impl IntoView {
    let station = Station::here();
    let side = Memo::new(move |_| orientation.with(|o| o.as_ref().and_then(Orientation::up_side)));
    let oblique = move || orientation.with(Option::is_some) && side.get().is_none();
    let stand = move |degrees: f64| {
        change(station, "which way is up", move |job, o| *o = stood(job, o, degrees));
    };
    view! {
        <fieldset class="bench-ways">
            <legend>"Which way does the part stand? Choose the picture that looks like it."</legend>
            {WAYS
                .into_iter()
                .map(|way| {
                    // Its picture and words, in this orientation with only the way changed.
                    let shown = Memo::new(move |_| {
                        planning.with(|p| {
                            orientation.with(|o| {
                                o.as_ref().map(|o| {
                                    let o = stood(&p.0, o, way.degrees());
                                    (small(&p.0, &o), words(&p.0, &o))
                                })
                            })
                        })
                    });
                    let chosen = move || side.get() == Some(way);
                    view! {
                        <label class="bench-way" class:here=chosen>
                            <input
                                type="radio"
                                name="bench-way"
                                prop:checked=chosen
                                on:change=move |_| stand(way.degrees())
                            />
                            <svg viewBox=format!("0 0 {} {}", SMALL.0, SMALL.1) aria-hidden="true">
                                <g inner_html=move || shown.with(|s| s.as_ref().map(|s| s.0.clone()).unwrap_or_default())></g>
                            </svg>
                            <span>
                                <b>{move || shown.with(|s| s.as_ref().map(|s| s.1.0.clone()))}</b>
                                {move || shown.with(|s| s.as_ref().map(|s| s.1.1.clone()))}
                            </span>
                        </label>
                    }
                })
                .collect_view()}
            <Oblique orientation oblique=Signal::derive(oblique) stand=Callback::new(stand)/>
        </fieldset>
    }
}

/// What is up, and the rest of the words.
fn words(job: &Job, orientation: &Orientation) -> (String, String) {
    let words = stands_in_words(job, orientation);
    match words.split_once(": ") {
        Some((up, rest)) => (format!("{up}: "), rest.to_owned()),
        None => (String::new(), words),
    }
}

/// Any other angle, set up on a sine bar.
#[component]
fn Oblique(
    orientation: Memo<Option<Orientation>>,
    oblique: Signal<bool>,
    stand: Callback<f64>,
) -> impl IntoView {
    let wrong = RwSignal::new(None::<String>);
    let field: NodeRef<leptos::html::Input> = NodeRef::new();
    let value = move || {
        orientation.with(|o| {
            o.as_ref().map(|o| o.up_degrees.to_string().replace('-', "−")).unwrap_or_default()
        })
    };
    let commit = move |ev: web_sys::Event| match entry::degrees(&event_target_value(&ev)) {
        Ok(degrees) => {
            wrong.set(None);
            stand.run(degrees);
        }
        Err(why) => wrong.set(Some(why.to_string())),
    };
    view! {
        <div class="bench-way bench-angle" class:here=move || oblique.get()>
            <label>
                <input
                    type="radio"
                    name="bench-way"
                    prop:checked=move || oblique.get()
                    on:change=move |_| {
                        if let Some(field) = field.get_untracked() {
                            let _shown = field.focus();
                            field.select();
                        }
                    }
                />
                <span>"another way, leaning on a sine bar; up is"</span>
            </label>
            <label>
                <input
                    node_ref=field
                    type="text"
                    inputmode="decimal"
                    class="box fig"
                    autocomplete="off"
                    aria-label="Direction that is up, in degrees from +X towards +Y"
                    aria-invalid=move || wrong.with(Option::is_some).to_string()
                    prop:value=value
                    on:change=commit
                />
                <span>"° from +X towards +Y"</span>
            </label>
            <small class="bench-refusal" role="status">{move || wrong.get()}</small>
        </div>
    }
}
