//! The probe constant of a gauge and its uncertainty.

use super::Gauge;
use super::error::{figure, optional};
use super::trial::Trial;
use crate::widgets::{Choice, NumberField};
use leptos::prelude::*;
use quarterturn_core::bench::ProbeFound;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{BOUNDS, Instrument, Probe, ProbeTrial};
use quarterturn_core::quantity::Figure;
use quarterturn_core::show::as_typed;

/// Who applies the constant; here, also what it is.
#[component]
pub(super) fn ProbeConstant(gauge: Gauge) -> impl IntoView {
    let probes = Signal::derive(|| {
        vec![
            ("gauge".to_owned(), "applied by the gauge".to_owned()),
            ("here".to_owned(), "to be applied here".to_owned()),
            ("found".to_owned(), "found by a trial, applied here".to_owned()),
        ]
    });
    let here = Memo::new(move |_| {
        gauge.get(|i| matches!(i.probe, Probe::Constant(_))).unwrap_or_default()
    });
    let probe = Memo::new(move |_| {
        let word = gauge.get(|i| match i.probe {
            Probe::AppliedByGauge => "gauge",
            Probe::Constant(_) => "here",
            Probe::Found => "found",
        });
        word.unwrap_or_default().to_owned()
    });
    let take_probe = Callback::new(move |word: String| {
        gauge.change("who applies the probe constant", |i| {
            i.probe = match word.as_str() {
                "here" => Probe::Constant(stated(i)),
                "found" => Probe::Found,
                _ => Probe::AppliedByGauge,
            };
            // The touches of a trial stay until it is discarded.
            if i.probe == Probe::Found && i.probe_found.is_none() {
                i.probe_found = Some(ProbeTrial::default());
            }
        });
    });
    let constant = Memo::new(move |_| {
        let shown = gauge.get(|i| match i.probe {
            Probe::Constant(k) => as_typed(k, i.unit),
            Probe::AppliedByGauge | Probe::Found => String::new(),
        });
        shown.unwrap_or_default()
    });
    let take_constant = Callback::new(move |figure: Option<Figure>| {
        let k = figure.unwrap_or_default();
        if k.length(gauge.unit().get_untracked()).to_mm().abs() > BOUNDS.probe_mm {
            return Err(EntryError("No probe is that large.".to_owned()));
        }
        gauge.change("the probe constant", |i| {
            if matches!(i.probe, Probe::Constant(_)) {
                i.probe = Probe::Constant(k);
            }
        });
        Ok(())
    });
    view! {
        <Choice class="w4" label="Probe constant" choices=probes value=probe take=take_probe/>
        {move || here.get().then(|| view! {
            <NumberField class="w2" label="Constant K" unit=gauge.unit() take=take_constant value=constant/>
            <NumberField class="w3" label="Uncertainty of K" unit=gauge.unit()
                value=figure(gauge, |i| i.probe_standard)
                take=optional(gauge, "the uncertainty of the probe constant", |i, f| i.probe_standard = f)/>
        })}
        <Trial gauge/>
    }
}

/// The constant to begin with where it is to be stated: the one that was found, if any.
fn stated(instrument: &Instrument) -> Figure {
    let found = ProbeFound::of(instrument).map(|f| f.constant.to(instrument.unit));
    // No more digits than a display has that is a thousand times finer.
    found.map_or_else(Figure::default, |k| Figure((k * 1e9).round() / 1e9))
}
