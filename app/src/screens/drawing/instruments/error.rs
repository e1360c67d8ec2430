//! How wrong a gauge may be: what the uncertainty of its readings is made of.

use super::Gauge;
use crate::widgets::{BareField, NumberField};
use leptos::prelude::*;
use quarterturn_core::entry::{self, EntryError};
use quarterturn_core::job::Instrument;
use quarterturn_core::quantity::Figure;
use quarterturn_core::show::as_typed;

/// A figure that counts both ways, or is not known.
pub(super) fn optional(
    gauge: Gauge,
    what: &'static str,
    put: fn(&mut Instrument, Option<Figure>),
) -> Callback<Option<Figure>, Result<(), EntryError>> {
    Callback::new(move |figure: Option<Figure>| {
        if figure.is_some_and(|f| f.0 < 0.0) {
            return Err(EntryError("Without a sign: it counts both ways.".to_owned()));
        }
        gauge.change(what, |i| put(i, figure));
        Ok(())
    })
}

/// A figure of the gauge as it is shown; empty for one that is not known.
pub(super) fn figure(gauge: Gauge, get: fn(&Instrument) -> Option<Figure>) -> Memo<String> {
    Memo::new(move |_| {
        gauge.get(|i| get(i).map_or_else(String::new, |f| as_typed(f, i.unit))).unwrap_or_default()
    })
}

/// Measuring range, error limit with its growth, and the repeatability.
#[component]
pub(super) fn Errors(gauge: Gauge) -> impl IntoView {
    let growth = Signal::derive(move || gauge.get(|i| i.error_growth).flatten());
    let take_growth = Callback::new(move |share: Option<f64>| {
        gauge.change("the growth of a gauge's error", |i| i.error_growth = share);
    });
    view! {
        <NumberField class="w2" label="Measures up to" unit=gauge.unit()
            value=figure(gauge, |i| i.range)
            take=optional(gauge, "a gauge's measuring range", |i, f| i.range = f)/>
        <NumberField class="w2" label="Error limit ±" unit=gauge.unit()
            value=figure(gauge, |i| i.error_limit)
            take=optional(gauge, "a gauge's error limit", |i, f| i.error_limit = f)/>
        <BareField class="w2" label="plus, ppm" read=entry::millionths value=growth take=take_growth/>
        <NumberField class="w2" label="Repeatability" unit=gauge.unit()
            value=figure(gauge, |i| i.repeatability)
            take=optional(gauge, "a gauge's repeatability", |i, f| i.repeatability = f)/>
    }
}
