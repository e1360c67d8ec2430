//! How much part and gauge grow with temperature: a material of the table or of the plan, or any
//! coefficient.

use super::Around;
use crate::widgets::{BareField, Choice};
use leptos::prelude::*;
use quarterturn_core::entry;
use quarterturn_core::job::{Conditions, Plan};

/// Stands for a coefficient of no material that is offered. It has no name that could be one.
const OWN: &str = " ";

/// The coefficients of the part and of the gauge's scale, and where they are from.
#[component]
pub(super) fn Expansions(around: Around) -> impl IntoView {
    let source = move || {
        let job = around.0.job();
        let of = |what: &str, expansion: Option<f64>| {
            let material = job.plan.material_expanding(expansion?)?;
            let source = match material.source.as_ref() {
                "" => String::new(),
                source => format!(", {source}"),
            };
            Some(format!("{what}: {} {}{source}.", material.name, material.expansion))
        };
        let c = &job.plan.conditions;
        let said: Vec<String> = [of("Part", c.part_expansion), of("Scale", c.gauge_expansion)]
            .into_iter()
            .flatten()
            .collect();
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
        Some(v) => {
            let job = around.0.job();
            job.plan.material_expanding(v).map_or_else(|| OWN.to_owned(), |m| m.name.to_string())
        }
    });
    let offered = Memo::new(move |_| offers(&around.0.job().plan));
    let choices = Signal::derive(move || {
        let mut all = vec![(String::new(), "not known".to_owned())];
        all.extend(offered.get());
        if chosen.with(|c| c == OWN) {
            all.push((OWN.to_owned(), "another".to_owned()));
        }
        all
    });
    let choose = Callback::new(move |name: String| {
        if name != OWN {
            let job = around.0.job_untracked();
            take.run(job.plan.material_named(&name).map(|m| m.expansion));
        }
    });
    view! {
        <Choice class="w4" label choices value=chosen take=choose/>
        <BareField class="w3" label=coefficient read=entry::expansion value take/>
    }
}

/// The materials of plan and table: (name, words).
fn offers(plan: &Plan) -> Vec<(String, String)> {
    plan.offered().map(|m| (m.name.to_string(), format!("{}, {}", m.name, m.expansion))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use quarterturn_core::job::Material;

    #[test]
    fn materials_of_the_plan_are_offered_before_those_of_the_table() {
        let own = Material { name: "6061 plate".into(), expansion: 23.6, source: "".into() };
        let plan = Plan { materials: vec![own], ..Plan::default() };
        let offered = offers(&plan);
        assert_eq!(offered[0], ("6061 plate".to_owned(), "6061 plate, 23.6".to_owned()));
        assert_eq!(offered[1], ("steel".to_owned(), "steel, 11.5".to_owned()));
    }
}
