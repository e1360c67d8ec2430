//! How a measured value becomes a verdict, and what the measurement suffers from beside the gauge.

mod expansion;
mod materials;

use crate::desk::Desk;
use crate::widgets::{BareField, Choice, NumberField};
use expansion::Expansions;
use leptos::prelude::*;
use materials::OwnMaterials;
use quarterturn_core::entry::{self, EntryError};
use quarterturn_core::job::{Conditions, Coverage, DecisionRule, Slope};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_core::show::as_typed;

/// The rule and the conditions.
#[component]
pub(super) fn RuleAndConditions() -> impl IntoView {
    view! {
        <Rule/>
        <Surroundings/>
    }
}

#[component]
fn Rule() -> impl IntoView {
    let desk = Desk::here();
    let rule = Memo::new(move |_| desk.job().plan.decision_rule);
    let change = move |rule: DecisionRule| {
        desk.change("the decision rule", |job| job.plan.decision_rule = rule);
    };
    let choices = Signal::derive(|| {
        vec![
            ("simple".to_owned(), "simple acceptance".to_owned()),
            ("guarded".to_owned(), "guarded acceptance".to_owned()),
        ]
    });
    let guarded = Memo::new(move |_| matches!(rule.get(), DecisionRule::GuardedAcceptance { .. }));
    let chosen =
        Signal::derive(move || if guarded.get() { "guarded" } else { "simple" }.to_owned());
    let choose = Callback::new(move |word: String| {
        change(if word == "guarded" {
            // As wide as the expanded uncertainty (ISO 14253-1).
            DecisionRule::GuardedAcceptance { multiple: 1.0 }
        } else {
            DecisionRule::SimpleAcceptance
        });
    });
    let coverage = Memo::new(move |_| desk.job().plan.coverage);
    let factors = Signal::derive(|| {
        vec![
            ("two".to_owned(), "k = 2, larger with few repeats".to_owned()),
            ("effective".to_owned(), "95.45 % by effective degrees of freedom".to_owned()),
        ]
    });
    let factor = Signal::derive(move || {
        match coverage.get() {
            Coverage::Two => "two",
            Coverage::Effective => "effective",
        }
        .to_owned()
    });
    let cover = Callback::new(move |word: String| {
        let coverage = if word == "effective" { Coverage::Effective } else { Coverage::Two };
        desk.change("the coverage factor", |job| job.plan.coverage = coverage);
    });
    let multiple = Signal::derive(move || guarded.get().then(|| rule.get().guard()));
    let widen = Callback::new(move |typed: Option<f64>| {
        change(DecisionRule::GuardedAcceptance { multiple: typed.unwrap_or(1.0) });
    });
    view! {
        <div class="title" role="group" aria-label="Decision">
            <Choice class="w4" label="Decision rule" choices value=chosen take=choose/>
            {move || guarded.get().then(|| view! {
                <BareField class="w2" label="Guard band, × U" read=entry::multiple value=multiple take=widen/>
            })}
            <Choice class="w5" label="Expanded uncertainty" choices=factors value=factor take=cover/>
        </div>
        <p class="help">{move || rule.get().sentence(coverage.get())} " It is printed on every sheet."</p>
    }
}

/// Reads and changes one of the conditions.
#[derive(Clone, Copy)]
struct Around(Desk);

impl Around {
    fn get<T>(self, get: impl FnOnce(&Conditions) -> T) -> T {
        get(&self.0.job().plan.conditions)
    }

    fn change(self, what: &'static str, put: impl FnOnce(&mut Conditions)) {
        self.0.change(what, |job| put(&mut job.plan.conditions));
    }

    /// The drawing's unit, in which lengths are typed here.
    fn unit(self) -> Signal<Unit> {
        Signal::derive(move || self.0.job().drawing.unit)
    }

    /// A length as it is shown; empty for one that is not known.
    fn length(self, get: fn(&Conditions) -> Option<Figure>) -> Memo<String> {
        Memo::new(move |_| {
            let unit = self.unit().get();
            self.get(get).map_or_else(String::new, |figure| as_typed(figure, unit))
        })
    }
}

#[component]
fn Surroundings() -> impl IntoView {
    let around = Around(Desk::here());
    let unit = around.unit();
    let take_flatness = Callback::new(move |figure: Option<Figure>| {
        let figure = unsigned(figure)?;
        around.change("the flatness of the plate", |c| c.plate_flatness = figure);
        Ok(())
    });
    let take_rest = Callback::new(move |figure: Option<Figure>| {
        let figure = unsigned(figure)?;
        around.change("the uncertainty of the contact with the plate", |c| {
            c.rest_standard = figure;
        });
        Ok(())
    });
    let take_deviation = Callback::new(move |figure: Option<Figure>| {
        let figure = unsigned(figure)?;
        around.change("the unknown squareness", |c| {
            let over = c.squareness.map_or(Figure(0.0), |s| s.over);
            c.squareness = figure.map(|deviation| Slope { deviation, over });
        });
        Ok(())
    });
    let take_over = Callback::new(move |figure: Option<Figure>| {
        let over = unsigned(figure)?.unwrap_or_default();
        if around.0.job_untracked().plan.conditions.squareness.is_none() {
            return match figure {
                None => Ok(()),
                Some(_) => Err(EntryError("Write the deviation first.".to_owned())),
            };
        }
        around.change("the length of the unknown squareness", |c| {
            if let Some(slope) = &mut c.squareness {
                slope.over = over;
            }
        });
        Ok(())
    });
    let half =
        Memo::new(move |_| around.get(|c| c.squareness.is_some_and(|s| s.radians().is_none())));
    let apart = Signal::derive(move || around.get(|c| c.temperature_limit));
    let take_apart = Callback::new(move |limit: Option<f64>| {
        around.change("the unknown difference of temperature", |c| c.temperature_limit = limit);
    });
    view! {
        <div class="title" role="group" aria-label="Conditions">
            <NumberField class="w3" label="Flatness of the plate" unit take=take_flatness
                value=around.length(|c| c.plate_flatness)/>
            <NumberField class="w4" label="Part on plate, standard uncertainty" unit take=take_rest
                value=around.length(|c| c.rest_standard)/>
            <NumberField class="w3" label="Squareness limit ±" unit take=take_deviation
                value=around.length(|c| c.squareness.map(|s| s.deviation))/>
            <NumberField class="w3" label="over a length of" unit take=take_over
                value=around.length(|c| c.squareness.map(|s| s.over).filter(|l| l.0 > 0.0))/>
            <BareField class="w4" label="Part-gauge temperature difference, ± K" read=entry::kelvin value=apart take=take_apart/>
            <Expansions around/>
        </div>
        {move || half.get().then(|| view! {
            <p class="help" role="status">"The unknown squareness counts once the length is written beside it."</p>
        })}
        <p class="help">
            "Lengths in " {move || unit.get().word()} ". Flatness: highest less lowest point of the plate over the area used. Part on plate: standard uncertainty of the height of the carrying face above the zero of the plate, from dirt, contact and the setting of that zero; blank: that of a touch. Squareness limit: how far the edges that the part stands on may be out of square to each other without being known; what is known of a piece is written in the set-up on the Bench. Part-gauge temperature difference: how far their temperatures may be apart. What else is blank is taken as zero."
        </p>
        <p class="help">
            "Lengths are corrected to 20 °C where both coefficients are known, and the temperature \
             of the piece, which is written on the Bench. An alloy has its own coefficient: choose \
             the nearest material and write over it, or add the alloy here with the source of its \
             figure."
        </p>
        <OwnMaterials around/>
    }
}

/// A length that has no sign.
fn unsigned(figure: Option<Figure>) -> Result<Option<Figure>, EntryError> {
    if figure.is_some_and(|f| f.0 < 0.0) {
        return Err(EntryError("Without a sign: it counts both ways.".to_owned()));
    }
    Ok(figure)
}
