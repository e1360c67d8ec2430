//! The height gauges.

mod error;
mod probe;
mod trial;
mod unit;

use crate::desk::{Desk, Tone};
use crate::widgets::{Choice, Field, NumberField};
use error::Errors;
use leptos::prelude::*;
use probe::ProbeConstant;
use quarterturn_core::Job;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{BOUNDS, Instrument};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_core::show::as_typed;
use unit::change_unit;

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
            "Measures up to: the largest height of the gauge; a height beyond it is asked about. \
             Error limit, and what it grows by in millionths (ppm) of the height: as the calibration \
             certificate states them. Repeatability: the standard deviation of one touch; repeats \
             among the readings say it for themselves once there are enough of them. A blank field \
             means not known. Without an error limit or a repeatability no uncertainty is worked \
             out."
        </p>
        <p class="help">
            "Probe constant: what separates a touch from below from a touch from above on one \
             plane (effective probe size). A gauge that has been qualified applies it itself; \
             otherwise write it here, or find it by a trial, and readings from below are corrected \
             by it. Its uncertainty is the standard one, k = 1."
        </p>
        <p class="help">
            "A trial touches both sides of one plane (K = above − below), the faces of a known gap \
             (K = gap − (below − above)) or of a known thickness (K = above − below − thickness), \
             all from one zero. Write the repeats of each side beside each other, as the gauge \
             shows them; they are kept and printed on the sheet. Five degrees of freedom and more, \
             three or four touches a side, say themselves how uncertain the constant is."
        </p>
    }
}

/// One gauge of the plan. A handle that can be copied.
#[derive(Clone, Copy)]
struct Gauge {
    desk: Desk,
    /// Its place among the instruments of the plan.
    index: usize,
}

impl Gauge {
    /// What the gauge says; tracked.
    fn get<T>(self, get: impl FnOnce(&Instrument) -> T) -> Option<T> {
        self.desk.job().plan.instruments.get(self.index).map(get)
    }

    fn change(self, what: &'static str, put: impl FnOnce(&mut Instrument)) {
        self.desk.change(what, |job| {
            if let Some(instrument) = job.plan.instruments.get_mut(self.index) {
                put(instrument);
            }
        });
    }

    /// The unit that it shows.
    fn unit(self) -> Signal<Unit> {
        Signal::derive(move || self.get(|i| i.unit).unwrap_or(Unit::Mm))
    }
}

#[component]
fn One(index: usize) -> impl IntoView {
    let desk = Desk::here();
    let gauge = Gauge { desk, index };
    let of = move |get: fn(&Instrument) -> String| {
        Memo::new(move |_| gauge.get(get).unwrap_or_default())
    };
    let text = move |what: &'static str, put: fn(&mut Instrument, String)| {
        Callback::new(move |typed: String| {
            let typed: String = typed.trim().chars().take(BOUNDS.text_chars).collect();
            gauge.change(what, |i| put(i, typed));
            Ok(())
        })
    };
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
        gauge.change("a gauge's resolution", |i| i.resolution = step);
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
            <Field class="w3" label="Calibration certificate" value=of(|i| i.certificate.clone())
                take=text("a gauge's calibration certificate", |i, t| i.certificate = t)/>
            <Field class="w3" label="Calibration due" value=of(|i| i.calibration_due.clone())
                take=text("a gauge's calibration date", |i, t| i.calibration_due = t)/>
            <Choice class="w2" label="Unit" choices=units value=of(|i| i.unit.word().to_owned()) take=take_unit/>
            <NumberField class="w2" label="Resolution" unit=gauge.unit() value=of(|i| as_typed(i.resolution, i.unit)) take=take_resolution/>
            <Errors gauge/>
            <ProbeConstant gauge/>
            <button type="button" class="link remove" aria-label=move || format!("Remove {}", heading()) on:click=remove>"Remove"</button>
        </div>
    }
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
