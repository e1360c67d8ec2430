//! Materials that the plan adds to the table: an alloy with the coefficient of its certificate.

use super::Around;
use crate::widgets::{BareField, Field};
use leptos::prelude::*;
use quarterturn_core::entry;
use quarterturn_core::job::{BOUNDS, Material};

/// The plan's own materials, and the way to add one.
#[component]
pub(super) fn OwnMaterials(around: Around) -> impl IntoView {
    let desk = around.0;
    let own = Memo::new(move |_| desk.job().plan.materials.clone());
    let name = RwSignal::new(String::new());
    let expansion = RwSignal::new(None::<f64>);
    let source = RwSignal::new(String::new());
    let refused = RwSignal::new(None::<String>);
    let write = |draft: RwSignal<String>| {
        Callback::new(move |typed: String| {
            draft.set(typed.trim().to_owned());
            Ok(())
        })
    };
    let take_expansion = Callback::new(move |typed: Option<f64>| expansion.set(typed));
    let add = move |_| {
        let plan = desk.job_untracked();
        let Some(figure) = expansion.get_untracked() else {
            refused.set(Some("Write its coefficient, in millionths per kelvin.".to_owned()));
            return;
        };
        let material = Material {
            name: name.get_untracked().into(),
            expansion: figure,
            source: source.get_untracked().into(),
        };
        let why = if plan.plan.materials.len() >= BOUNDS.materials {
            Some(format!("A plan adds {} materials at most.", BOUNDS.materials))
        } else {
            material.refused(&plan.plan.materials).map(|why| format!("Not added: {why}"))
        };
        let added = why.is_none();
        refused.set(why);
        if added {
            desk.change(format!("material {} added", material.name), |job| {
                job.plan.materials.push(material);
            });
            name.set(String::new());
            expansion.set(None);
            source.set(String::new());
        }
    };
    let remove = move |gone: String| {
        desk.change(format!("material {gone} removed"), |job| {
            job.plan.materials.retain(|m| m.name != gone);
        });
    };
    let listed = move || {
        own.get()
            .into_iter()
            .map(|m| {
                let gone = m.name.to_string();
                let says = match m.source.as_ref() {
                    "" => format!("{}, {} millionths per K ", m.name, m.expansion),
                    source => format!("{}, {} millionths per K, {source} ", m.name, m.expansion),
                };
                view! {
                    <li>
                        {says}
                        <button type="button" class="link" aria-label=format!("Remove {gone}")
                            on:click=move |_| remove(gone.clone())>"Remove"</button>
                    </li>
                }
            })
            .collect_view()
    };
    view! {
        <div class="title" role="group" aria-label="A material of your own">
            <Field class="w4" label="Another material" value=name take=write(name)/>
            <BareField class="w3" label="its millionths per K" read=entry::expansion value=expansion take=take_expansion/>
            <Field class="w3" label="where from" value=source take=write(source)/>
            <button type="button" class="button w2" on:click=add>"Add it"</button>
        </div>
        <p class="help" role="status">{move || refused.get()}</p>
        <Show when=move || !own.with(Vec::is_empty)>
            <ul class="help" aria-label="Materials of your own">{listed}</ul>
        </Show>
    }
}
