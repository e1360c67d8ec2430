//! How the part stands, what carries it, what reads zero: a line when it is set up, open for
//! editing when asked for.

use super::stand::Planning;
use super::station::Station;
use super::ways::Ways;
use crate::desk::Tone;
use crate::widgets::{Choice, NumberField};
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::bench::Setup;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{Blocks, Job, Kind, Orientation, Taken, Zero};
use quarterturn_core::picture::{carried_by, up_words, zero_words};
use quarterturn_core::quantity::{Figure, Side};
use quarterturn_core::show::{Figures, feature_name};
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
    let rest = format!(
        " · {} · zero: {} · {gauge}{taken}",
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
    let on_blocks = move |figure: Option<Figure>| {
        let figure = figure.unwrap_or_default();
        if figure.0 < 0.0 {
            return Err(EntryError("Blocks have no negative height.".to_owned()));
        }
        change(station, "height of the blocks", |_, o| o.rest.blocks = Blocks::High(figure));
        Ok(())
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
                <NumberField label="height of blocks under it" value=says(blocks) unit take=on_blocks/>
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
            </div>
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
        if let Blocks::High(height) = &mut o.rest.blocks
            && after != before
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

/// `orientation` standing another way: on the face that then looks down, its zero where it was
/// if it can still be touched, otherwise at the plate.
pub(super) fn stood(job: &Job, orientation: &Orientation, degrees: f64) -> Orientation {
    let mut new = orientation.clone();
    new.up_degrees = degrees;
    let down = new.up_side().map(Side::opposite);
    let looks_down = |f: &&quarterturn_core::job::Feature| {
        f.kind == Kind::Face && f.looks.is_some() && f.looks == down
    };
    new.rest.face = job.drawing.features.iter().find(looks_down).map(|f| f.number.clone());
    let on_plate = matches!(&new.zero, Zero::Feature(n) if new.rest.face.as_ref() == Some(n));
    if on_plate || (Setup::of(job, &new).is_err() && down.is_some()) {
        new.zero = Zero::Plate;
    }
    new
}

/// The edge of the outline and the faces that look down: (value, words).
fn carriers(job: &Job, orientation: &Orientation) -> Vec<(String, String)> {
    let down = orientation.up_side().map(Side::opposite);
    let given = orientation.rest.face.as_deref();
    let bare = match down {
        Some(down) => format!("{} edge of the outline", down.edge()),
        None => "a sine bar".to_owned(),
    };
    let mut all = vec![(String::new(), bare)];
    let faces = job
        .drawing
        .features
        .iter()
        .filter(|f| {
            f.kind == Kind::Face
                && (f.looks.is_some() && f.looks == down || given == Some(&f.number))
        })
        .map(|f| {
            let edge = f.looks.map_or(String::new(), |s| format!(", {} edge", s.edge()));
            (f.number.clone(), format!("{}{edge}", feature_name(f)))
        });
    all.extend(faces);
    if let Some(number) = given
        && !all.iter().any(|(n, _)| n == number)
    {
        all.push((number.to_owned(), format!("{number}, not in the drawing")));
    }
    all
}

/// The plate and the features that can read zero in this orientation: (value, words).
fn zeros(job: &Job, orientation: &Orientation) -> Vec<(String, String)> {
    let given = match &orientation.zero {
        Zero::Plate => None,
        Zero::Feature(number) => Some(number.as_str()),
    };
    let mut tried = orientation.clone();
    let mut all = vec![(String::new(), "at the plate".to_owned())];
    let features = job.drawing.features.iter().filter_map(|f| {
        let bare = orientation.rest.blocks.height().is_some_and(|h| h.0 <= 0.0);
        let lies = orientation.rest.face.as_ref() == Some(&f.number) && bare;
        if f.number.is_empty() || (lies && given != Some(&f.number)) {
            return None;
        }
        tried.zero = Zero::Feature(f.number.clone());
        let words = zero_words(job, &tried);
        (given == Some(&f.number) || sees(job, f, orientation))
            .then(|| (f.number.clone(), format!("at {words}")))
    });
    all.extend(features);
    if let Some(number) = given
        && job.feature(number).is_none()
    {
        all.push((number.to_owned(), format!("{number}, not in the drawing")));
    }
    all
}

/// Whether a feature can be touched as the zero.
fn sees(job: &Job, feature: &quarterturn_core::job::Feature, orientation: &Orientation) -> bool {
    let mut alone = orientation.clone();
    alone.zero = Zero::Feature(feature.number.clone());
    // The drawing with this feature alone, so that many features are not searched many times.
    let mut small = Job::empty(job.drawing.unit);
    small.plan.clone_from(&job.plan);
    small.drawing.features = vec![feature.clone()];
    Setup::of(&small, &alone).is_ok()
}

fn gauges(job: &Job, _: &Orientation) -> Vec<(String, String)> {
    job.plan
        .instruments
        .iter()
        .enumerate()
        .map(|(i, g)| {
            let name = [g.name.as_str(), g.identification.as_str()].join(" ");
            (i.to_string(), format!("{}, {}", name.trim(), g.unit.word()))
        })
        .collect()
}

/// Height of the blocks, as it is written.
fn blocks(job: &Job, orientation: &Orientation) -> String {
    let figures = Figures::of_readings(job, orientation);
    orientation.rest.blocks.height().map_or_else(String::new, |height| {
        let length = height.length(figures.unit);
        figures.exact(length).plain(length)
    })
}
