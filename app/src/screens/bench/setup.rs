//! How the part stands, what carries it, what reads zero: a line when it is set up, open for
//! editing when asked for.

use super::blocks::BlockHeight;
use super::known::OnThisPiece;
use super::offers::{carriers, gauges, zeros};
use super::stand::Planning;
use super::station::Station;
use super::ways::Ways;
use crate::desk::Tone;
use crate::widgets::{Check, Choice};
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::job::{Blocks, Job, Orientation, Taken, Zero};
use quarterturn_core::picture::{carried_by, up_words, zero_words};
use quarterturn_core::quantity::Figure;
use wasm_bindgen::JsCast;

/// The set-up of the orientation at hand.
#[component]
pub(super) fn SetUp() -> impl IntoView {
    let station = Station::here();
    let desk = station.desk;
    let planning = Memo::new(move |_| Planning(desk.job()));
    let line = Memo::new(move |_| {
        planning
            .with(|p| p.0.plan.orientations.get(desk.orientation.get()).map(|o| in_a_line(&p.0, o)))
    });
    let toggle = move |_| station.set_open(!station.open.get_untracked());
    view! {
        <Show when=move || line.with(Option::is_some)>
            <div class="bench-line">
                <h2>
                    <b>{move || line.get().map(|l| l.0)}</b>
                    {move || line.get().map(|l| l.1)}
                </h2>
                <button
                    type="button"
                    class="link"
                    aria-expanded=move || station.open.get().to_string()
                    aria-controls="bench-setup"
                    on:click=toggle
                >
                    {move || if station.open.get() { "Done" } else { "Change" }}
                </button>
            </div>
            <div id="bench-setup" class="bench-setup" hidden=move || !station.open.get()>
                <Show when=move || station.open.get()>
                    <Form planning/>
                </Show>
            </div>
        </Show>
    }
}

/// `−X up` and ` · right edge on the plate · zero: face C from above · Height gauge HG-2, inch`.
fn in_a_line(job: &Job, orientation: &Orientation) -> (String, String) {
    let gauge = job.instrument(orientation).map_or_else(
        || "no gauge".to_owned(),
        |i| {
            let name = [i.name.as_str(), i.identification.as_str()].join(" ");
            format!("{}, {}", name.trim(), i.unit.word())
        },
    );
    let taken = match orientation.taken {
        Taken::Touches => "",
        Taken::CentreAndSize => " · centre and size",
    };
    let angle = if orientation.find_angle { " · angle from the readings" } else { "" };
    let rest = format!(
        " · {} · zero: {} · {gauge}{taken}{angle}",
        carried_by(job, orientation),
        zero_words(job, orientation)
    );
    (format!("{} up", up_words(orientation)), rest)
}

/// Everything of the set-up, to be changed.
#[component]
fn Form(planning: Memo<Planning>) -> impl IntoView {
    let station = Station::here();
    let desk = station.desk;
    let orientation = Memo::new(move |_| {
        planning.with(|p| p.0.plan.orientations.get(desk.orientation.get()).cloned())
    });
    // What the orientation says, and what it could say.
    let says = move |read: fn(&Job, &Orientation) -> String| {
        Signal::derive(move || {
            planning.with(|p| {
                orientation.with(|o| o.as_ref().map(|o| read(&p.0, o)).unwrap_or_default())
            })
        })
    };
    let could = move |list: fn(&Job, &Orientation) -> Vec<(String, String)>| {
        Signal::derive(move || {
            planning.with(|p| {
                orientation.with(|o| o.as_ref().map(|o| list(&p.0, o)).unwrap_or_default())
            })
        })
    };
    let unit = Signal::derive(move || {
        planning.with(|p| {
            orientation.with(|o| o.as_ref().map_or(p.0.drawing.unit, |o| p.0.reading_unit(o)))
        })
    });
    let single = move || planning.with(|p| p.0.plan.orientations.len() == 1);
    let closes = move |ev: web_sys::KeyboardEvent| {
        if ev.key() == "Escape" {
            ev.prevent_default();
            station.set_open(false);
        }
    };
    let carried = move |number: String| {
        change(station, "what carries the part", |_, o| {
            o.rest.face = (!number.is_empty()).then_some(number);
        });
    };
    let zeroed = move |number: String| {
        change(station, "zero", |_, o| {
            o.zero = if number.is_empty() { Zero::Plate } else { Zero::Feature(number) };
        });
    };
    let taken = move |what: String| {
        change(station, "what is taken", |_, o| {
            o.taken = if what == "size" { Taken::CentreAndSize } else { Taken::Touches };
        });
    };
    let seeks =
        Signal::derive(move || orientation.with(|o| o.as_ref().is_some_and(|o| o.find_angle)));
    let seek = move |find: bool| {
        change(station, "whether the angle is found from the readings", |_, o| o.find_angle = find);
    };
    let gauged = move |index: String| {
        if let Ok(index) = index.parse() {
            take_gauge(station, index);
        }
    };

    // Opened by a key, the keyboard goes on in it.
    let form: NodeRef<html::Form> = NodeRef::new();
    Effect::new(move |_| {
        let Some(form) = form.get() else { return };
        let chosen = form.query_selector("input[type=radio]:checked").ok().flatten();
        if let Some(radio) = chosen.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
            let _shown = radio.focus();
        }
    });
    view! {
        <form node_ref=form on:submit=|ev| ev.prevent_default() on:keydown=closes>
            <Ways planning orientation/>
            <div class="bench-fields">
                <Choice
                    label="carried by"
                    choices=could(carriers)
                    value=says(|_, o| o.rest.face.clone().unwrap_or_default())
                    take=carried
                />
                <BlockHeight planning orientation unit/>
                <Choice
                    label="zero"
                    choices=could(zeros)
                    value=says(|_, o| match &o.zero {
                        Zero::Plate => String::new(),
                        Zero::Feature(number) => number.clone(),
                    })
                    take=zeroed
                />
                <Choice
                    label="what is taken"
                    choices=could(|_, _| {
                        vec![
                            ("touches".to_owned(), "lowest and highest point".to_owned()),
                            ("size".to_owned(), "centre and size, by the gauge".to_owned()),
                        ]
                    })
                    value=says(|_, o| match o.taken {
                        Taken::Touches => "touches".to_owned(),
                        Taken::CentreAndSize => "size".to_owned(),
                    })
                    take=taken
                />
                <Choice label="gauge" choices=could(gauges) value=says(|_, o| o.instrument.to_string()) take=gauged/>
                <div class="field">
                    <span class="label">"direction that is up"</span>
                    <Check label="find its exact angle from the readings" value=seeks take=seek/>
                </div>
            </div>
            <OnThisPiece orientation unit/>
            <p class="bench-actions">
                <button type="button" class="button main" on:click=move |_| station.set_open(false)>"Done"</button>
                <button type="button" class="button" disabled=single on:click=move |_| station.remove_orientation()>
                    "Remove this orientation"
                </button>
            </p>
        </form>
    }
}

/// Changes the orientation at hand.
pub(super) fn change(station: Station, what: &str, edit: impl FnOnce(&Job, &mut Orientation)) {
    let desk = station.desk;
    let index = desk.orientation.get_untracked();
    let old = desk.job_untracked();
    desk.change(what, |job| {
        if let Some(orientation) = job.plan.orientations.get_mut(index) {
            edit(&old, orientation);
        }
    });
}

/// Takes another gauge. Blocks keep their height; readings stay as they were written, so that
/// they mean something else where the unit is another one, and that is said.
fn take_gauge(station: Station, index: usize) {
    let (before, taken) = station.rows.with_untracked(|r| (r.units.0, r.taken + r.unseen + r.idle));
    change(station, "gauge", |job, o| {
        o.instrument = index;
        let after = job.reading_unit(o);
        if after != before
            && let Blocks::High(height) = &mut o.rest.blocks
        {
            *height = Figure(height.length(before).to(after));
        }
    });
    let after = station.rows.with_untracked(|r| r.units.0);
    if after != before && taken > 0 {
        station.desk.say(
            Tone::Ask,
            format!(
                "The {taken} readings of this orientation were taken in {} and are kept as they were \
                 written; they now count as {}. Ctrl Z takes the change back.",
                before.word(),
                after.word()
            ),
            vec![],
        );
    }
}
