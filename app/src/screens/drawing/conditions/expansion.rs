//! How much part and gauge grow with temperature: a material from the table, or any coefficient.

use super::Around;
use crate::widgets::{BareField, Choice};
use leptos::prelude::*;
use quarterturn_core::entry;
use quarterturn_core::job::{Conditions, MATERIALS, Material};

/// Stands for a coefficient of no material of the table.
const OWN: &str = "own";

/// The coefficients of the part and of the gauge's scale, and where they are from.
#[component]
pub(super) fn Expansions(around: Around) -> impl IntoView {
    let source = move || {
        let of = |what: &str, expansion: Option<f64>| {
            let material = expansion.and_then(Material::expanding)?;
            Some(format!("{what}: {} {}, {}.", material.name, material.expansion, material.source))
        };
        let (part, gauge) = around.get(|c| (c.part_expansion, c.gauge_expansion));
        let said: Vec<String> =
            [of("Part", part), of("Scale", gauge)].into_iter().flatten().collect();
        (!said.is_empty()).then(|| view! { <p class="help w12">{said.join(" ")}</p> })
    };
    view! {
        <Expansion around what=["Material of the part", "part, millionths per K", "the expansion of the part"]
            read=|c| c.part_expansion write=|c| &mut c.part_expansion/>
        <Expansion around what=["Scale of the gauge", "scale, millionths per K", "the expansion of the gauge's scale"]
            read=|c| c.gauge_expansion write=|c| &mut c.gauge_expansion/>
        {source}
    }
}

/// A choice of material and the coefficient beside it.
#[component]
fn Expansion(
    around: Around,
    /// Labels of the choice and of the coefficient, and what a change of it is called.
    what: [&'static str; 3],
    read: fn(&Conditions) -> Option<f64>,
    write: fn(&mut Conditions) -> &mut Option<f64>,
) -> impl IntoView {
    let [label, coefficient, step] = what;
    let value = Memo::new(move |_| around.get(read));
    let take = Callback::new(move |expansion: Option<f64>| {
        around.change(step, |c| *write(c) = expansion);
    });
    let chosen = Memo::new(move |_| match value.get() {
        None => String::new(),
        Some(v) => Material::expanding(v).map_or(OWN, |m| m.name).to_owned(),
    });
    let choices = Signal::derive(move || {
        let mut all = vec![(String::new(), "not known".to_owned())];
        all.extend(
            MATERIALS.iter().map(|m| (m.name.to_owned(), format!("{}, {}", m.name, m.expansion))),
        );
        if chosen.with(|c| c == OWN) {
            all.push((OWN.to_owned(), "another".to_owned()));
        }
        all
    });
    let choose = Callback::new(move |name: String| {
        if name != OWN {
            take.run(Material::named(&name).map(|m| m.expansion));
        }
    });
    view! {
        <Choice class="w4" label choices value=chosen take=choose/>
        <BareField class="w3" label=coefficient read=entry::expansion value take/>
    }
}
