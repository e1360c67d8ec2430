//! The height gauges.

use crate::desk::{Desk, Tone};
use crate::widgets::{Choice, Field, NumberField};
use leptos::prelude::*;
use quarterturn_core::Job;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{BOUNDS, Instrument, Probe, Touch};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_core::show::Figures;

/// A gauge as a new job has it.
fn usual(unit: Unit) -> Option<Instrument> {
    Job::empty(unit).plan.instruments.into_iter().next()
}

/// The table of instruments.
#[component]
pub(super) fn Instruments() -> impl IntoView {
    let desk = Desk::here();
    let count = Memo::new(move |_| desk.job().plan.instruments.len());
    let add = move |_| {
        if count.get_untracked() >= BOUNDS.instruments {
            desk.say(
                Tone::Wrong,
                format!("A plan holds {} instruments at most.", BOUNDS.instruments),
                vec![],
            );
            return;
        }
        desk.change("an instrument more", |job| {
            job.plan.instruments.extend(usual(job.drawing.unit))
        });
    };
    view! {
        {move || (0..count.get()).map(|i| view! { <One index=i/> }).collect_view()}
        <p class="acts"><button type="button" class="button" on:click=add>"Add an instrument"</button></p>
        <p class="help">
            "Probe constant: what separates a touch from below from a touch from above on one plane (effective probe size). A gauge that has been qualified applies it itself; otherwise write it here, and readings from below are corrected by it."
        </p>
    }
}

#[component]
fn One(index: usize) -> impl IntoView {
    let desk = Desk::here();
    let of = move |get: fn(&Instrument) -> String| {
        Memo::new(move |_| desk.job().plan.instruments.get(index).map(get).unwrap_or_default())
    };
    let change = move |what: &'static str, put: &dyn Fn(&mut Instrument)| {
        desk.change(what, |job| {
            if let Some(instrument) = job.plan.instruments.get_mut(index) {
                put(instrument);
            }
        });
    };
    let text = move |what: &'static str, put: fn(&mut Instrument, String)| {
        Callback::new(move |typed: String| {
            let typed: String = typed.trim().chars().take(BOUNDS.text_chars).collect();
            change(what, &|i| put(i, typed.clone()));
            Ok(())
        })
    };
    let unit =
        Signal::derive(move || desk.job().plan.instruments.get(index).map_or(Unit::Mm, |i| i.unit));
    let units = Signal::derive(|| {
        [Unit::Inch, Unit::Mm].map(|u| (u.word().to_owned(), u.word().to_owned())).to_vec()
    });
    let take_unit = Callback::new(move |word: String| {
        change_unit(desk, index, if word == Unit::Inch.word() { Unit::Inch } else { Unit::Mm });
    });
    let take_resolution = Callback::new(move |figure: Option<Figure>| {
        let step = figure
            .filter(|f| f.0 > 0.0)
            .ok_or_else(|| EntryError("The smallest step is above zero.".to_owned()))?;
        change("a gauge's resolution", &|i| i.resolution = step);
        Ok(())
    });
    let take_error = Callback::new(move |figure: Option<Figure>| {
        if figure.is_some_and(|f| f.0 < 0.0) {
            return Err(EntryError("Without a sign: it counts both ways.".to_owned()));
        }
        change("a gauge's error limit", &|i| i.error_limit = figure);
        Ok(())
    });
    let probes = Signal::derive(|| {
        vec![
            ("gauge".to_owned(), "applied by the gauge".to_owned()),
            ("here".to_owned(), "to be applied here".to_owned()),
        ]
    });
    let probe = of(|i| {
        if matches!(i.probe, Probe::Constant(_)) { "here".to_owned() } else { "gauge".to_owned() }
    });
    let take_probe = Callback::new(move |word: String| {
        let probe =
            if word == "here" { Probe::Constant(Figure(0.0)) } else { Probe::AppliedByGauge };
        change("who applies the probe constant", &|i| i.probe = probe);
    });
    let take_constant = Callback::new(move |figure: Option<Figure>| {
        let k = figure.unwrap_or_default();
        if k.length(unit.get_untracked()).to_mm().abs() > BOUNDS.probe_mm {
            return Err(EntryError("No probe is that large.".to_owned()));
        }
        change("the probe constant", &|i| {
            if matches!(i.probe, Probe::Constant(_)) {
                i.probe = Probe::Constant(k);
            }
        });
        Ok(())
    });
    let remove = move |_| remove(desk, index);
    let heading = move || {
        let name = of(|i| i.name.clone()).get();
        if name.is_empty() { format!("Instrument {}", index + 1) } else { name }
    };
    view! {
        <div class="title instrument" role="group" aria-label=heading>
            <Field class="w5" label="Name" value=of(|i| i.name.clone()) take=text("a gauge's name", |i, t| i.name = t)/>
            <Field class="w3" label="Identification" value=of(|i| i.identification.clone())
                take=text("a gauge's identification", |i, t| i.identification = t)/>
            <Field class="w3" label="Calibration due" value=of(|i| i.calibration_due.clone())
                take=text("a gauge's calibration date", |i, t| i.calibration_due = t)/>
            <Choice class="w2" label="Unit" choices=units value=of(|i| i.unit.word().to_owned()) take=take_unit/>
            <NumberField class="w2" label="Resolution" unit value=of(|i| shown(i.resolution, i.unit)) take=take_resolution/>
            <NumberField class="w2" label="Error limit ±" unit
                value=of(|i| i.error_limit.map_or_else(String::new, |f| shown(f, i.unit))) take=take_error/>
            <Choice class="w4" label="Probe constant" choices=probes value=probe take=take_probe/>
            {move || (probe.get() == "here").then(|| view! {
                <NumberField class="w2" label="Constant K" unit take=take_constant value=of(|i| match i.probe {
                    Probe::Constant(k) => shown(k, i.unit),
                    Probe::AppliedByGauge => String::new(),
                })/>
            })}
            <button type="button" class="link remove" aria-label=move || format!("Remove {}", heading()) on:click=remove>"Remove"</button>
        </div>
    }
}

/// A figure with all the digits it was typed with.
fn shown(figure: Figure, unit: Unit) -> String {
    let length = figure.length(unit);
    Figures::new(unit, 0).exact(length).plain(length)
}

/// Readings taken with the instrument, on all pieces.
fn taken_with(job: &Job, index: usize) -> usize {
    let with: Vec<u32> =
        job.plan.orientations.iter().filter(|o| o.instrument == index).map(|o| o.number).collect();
    let readings =
        job.pieces.iter().flat_map(|p| &p.readings).filter(|r| with.contains(&r.orientation));
    readings.map(|r| Touch::ALL.iter().map(|t| r.values(*t).len()).sum::<usize>()).sum()
}

/// The unit of a gauge. Readings are never converted: they stay what the gauge showed.
fn change_unit(desk: Desk, index: usize, to: Unit) {
    let job = desk.job_untracked();
    let Some(instrument) = job.plan.instruments.get(index) else { return };
    let from = instrument.unit;
    if from == to {
        return;
    }
    let change = move || {
        desk.change("a gauge's unit", |job| {
            let Some(i) = job.plan.instruments.get_mut(index) else { return };
            i.unit = to;
            // An untouched resolution goes with the unit; any other figure stays as typed.
            if let (Some(old), Some(new)) = (usual(from), usual(to))
                && i.resolution == old.resolution
            {
                i.resolution = new.resolution;
            }
        });
    };
    let count = taken_with(&job, index);
    if count == 0 {
        change();
        return;
    }
    desk.say(
        Tone::Ask,
        format!(
            "{count} readings were taken with this gauge in {}; a reading is never converted.",
            from.word()
        ),
        vec![(
            format!("It showed {} all along: keep the figures", to.word()),
            Callback::new(move |()| change()),
        )],
    );
}

fn remove(desk: Desk, index: usize) {
    let job = desk.job_untracked();
    if let Some(o) = job.plan.orientations.iter().find(|o| o.instrument == index) {
        desk.say(
            Tone::Wrong,
            format!(
                "Orientation {} uses this instrument. Give it another one on the Bench first.",
                o.number
            ),
            vec![],
        );
        return;
    }
    desk.change("an instrument less", |job| {
        if index >= job.plan.instruments.len() {
            return;
        }
        job.plan.instruments.remove(index);
        for o in job.plan.orientations.iter_mut().filter(|o| o.instrument > index) {
            o.instrument -= 1;
        }
    });
}
