//! The trial that a probe constant is found from: what was touched, and every touch as the gauge
//! showed it.

use super::Gauge;
use super::error::figure;
use crate::desk::Tone;
use crate::widgets::{Choice, Field, NumberField};
use leptos::prelude::*;
use quarterturn_core::entry::{self, EntryError};
use quarterturn_core::job::{ProbeTrial, ProbeWay};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_core::show::{as_typed, probe_doubts, probe_trial};

/// The trial of a gauge, while it has one.
#[component]
pub(super) fn Trial(gauge: Gauge) -> impl IntoView {
    let there = Memo::new(move |_| gauge.get(|i| i.probe_found.is_some()).unwrap_or_default());
    let says = Memo::new(move |_| gauge.get(probe_trial).flatten().unwrap_or_default());
    let doubts = Memo::new(move |_| gauge.get(probe_doubts).unwrap_or_default());
    let discard = move |_| change(gauge, "the trial of a probe constant", |t| *t = None);
    view! {
        <Show when=move || there.get()>
            <Touched gauge/>
            <Side gauge label="Touches from above" what="touches from above"
                read=|t| &t.down write=|t| &mut t.down/>
            <Side gauge label="Touches from below" what="touches from below"
                read=|t| &t.up write=|t| &mut t.up/>
            <p class="help w12" role="status">
                {says} " "
                <strong>{move || doubts.get().join(" ")}</strong> " "
                <button type="button" class="link" on:click=discard>"Discard the trial"</button>
            </p>
        </Show>
    }
}

/// What was touched, with the gap or the thickness that is known.
#[component]
fn Touched(gauge: Gauge) -> impl IntoView {
    let ways = Signal::derive(|| {
        [
            ("plane", "both sides of one plane"),
            ("gap", "a known gap"),
            ("thickness", "a known thickness"),
        ]
        .map(|(word, words)| (word.to_owned(), words.to_owned()))
        .to_vec()
    });
    let way = Memo::new(move |_| {
        gauge.get(|i| i.probe_found.as_ref().map(|t| t.way)).flatten().unwrap_or_default()
    });
    let word = Signal::derive(move || {
        match way.get() {
            ProbeWay::Plane => "plane",
            ProbeWay::Gap(_) => "gap",
            ProbeWay::Thickness(_) => "thickness",
        }
        .to_owned()
    });
    let choose = Callback::new(move |word: String| {
        with_trial(gauge, "what a trial touches", |t| {
            let known = t.way.known().unwrap_or_default();
            t.way = match word.as_str() {
                "gap" => ProbeWay::Gap(known),
                "thickness" => ProbeWay::Thickness(known),
                _ => ProbeWay::Plane,
            };
        });
    });
    let known = Memo::new(move |_| {
        let unit = gauge.unit().get();
        let known = way.get().known().filter(|k| k.0 > 0.0);
        known.map_or_else(String::new, |k| as_typed(k, unit))
    });
    let take_known = Callback::new(move |figure: Option<Figure>| {
        if figure.is_some_and(|f| f.0 <= 0.0) {
            return Err(EntryError("It is larger than zero.".to_owned()));
        }
        let figure = figure.unwrap_or_default();
        with_trial(gauge, "the known gap or thickness of a trial", |t| match &mut t.way {
            ProbeWay::Plane => {}
            ProbeWay::Gap(known) | ProbeWay::Thickness(known) => *known = figure,
        });
        Ok(())
    });
    let take_standard = Callback::new(move |figure: Option<Figure>| {
        if figure.is_some_and(|f| f.0 < 0.0) {
            return Err(EntryError("Without a sign: it counts both ways.".to_owned()));
        }
        with_trial(gauge, "the uncertainty of a gap or thickness", |t| t.known_standard = figure);
        Ok(())
    });
    let is_known = Memo::new(move |_| way.get().known().is_some());
    view! {
        <Choice class="w4" label="K found from" choices=ways value=word take=choose/>
        {move || is_known.get().then(|| view! {
            <NumberField class="w3" label="which is" unit=gauge.unit() value=known take=take_known/>
            <NumberField class="w3" label="its uncertainty, k = 1" unit=gauge.unit() take=take_standard
                value=figure(gauge, |i| i.probe_found.as_ref().and_then(|t| t.known_standard))/>
        })}
    }
}

/// The touches of one side, repeats beside each other.
#[component]
fn Side(
    gauge: Gauge,
    label: &'static str,
    what: &'static str,
    read: fn(&ProbeTrial) -> &Vec<Figure>,
    write: fn(&mut ProbeTrial) -> &mut Vec<Figure>,
) -> impl IntoView {
    let value = Memo::new(move |_| {
        gauge
            .get(|i| i.probe_found.as_ref().map(|t| list(read(t), i.unit)))
            .flatten()
            .unwrap_or_default()
    });
    let take = Callback::new(move |typed: String| {
        let figures = entry::numbers(&typed, gauge.unit().get_untracked())?;
        with_trial(gauge, what, |t| *write(t) = figures);
        Ok(())
    });
    let unit = Memo::new(move |_| gauge.unit().get());
    move || {
        let hint = match unit.get() {
            Unit::Inch => ".48600 .48605",
            Unit::Mm => "12.345 12.346",
        };
        view! { <Field class="w6" label value take figure=true hint/> }
    }
}

/// Repeats as they are typed.
pub(super) fn list(figures: &[Figure], unit: Unit) -> String {
    figures.iter().map(|f| as_typed(*f, unit)).collect::<Vec<_>>().join("  ")
}

fn with_trial(gauge: Gauge, what: &'static str, put: impl FnOnce(&mut ProbeTrial)) {
    change(gauge, what, |t| {
        if let Some(trial) = t {
            put(trial);
        }
    });
}

/// Changes the trial; what was read and is replaced goes into the record, and that is said.
fn change(gauge: Gauge, what: &'static str, put: impl FnOnce(&mut Option<ProbeTrial>)) {
    let recorded = gauge.desk.job_untracked().record.len();
    gauge.change(what, |i| put(&mut i.probe_found));
    if gauge.desk.job_untracked().record.len() > recorded {
        let says = "The record keeps the touches that stood there before.";
        gauge.desk.say(Tone::Plain, says, vec![]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_of_repeats_is_read_back_as_the_same() {
        for unit in [Unit::Mm, Unit::Inch] {
            let figures = [12.345, -0.00005, 0.5].map(Figure).to_vec();
            assert_eq!(entry::numbers(&list(&figures, unit), unit), Ok(figures));
        }
        assert_eq!(list(&[], Unit::Mm), "");
    }
}
