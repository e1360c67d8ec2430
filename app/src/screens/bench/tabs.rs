//! The orientations of the plan, one beside the other.

use super::rows::Rows;
use super::station::Station;
use leptos::prelude::*;
use quarterturn_core::picture::{carried_by, up_words};

/// The orientations.
#[component]
pub(super) fn Tabs() -> impl IntoView {
    let station = Station::here();
    let desk = station.desk;
    // (index, number, up, what carries it, taken, touches)
    let tabs = Memo::new(move |_| {
        let view = desk.view();
        view.job
            .plan
            .orientations
            .iter()
            .enumerate()
            .map(|(index, o)| {
                let (taken, count) = Rows::progress(&view, index);
                let progress = format!("{taken}/{count}");
                (index, o.number, format!("{} up", up_words(o)), carried_by(&view.job, o), progress)
            })
            .collect::<Vec<_>>()
    });
    view! {
        <nav class="bench-tabs" aria-label="Orientations">
            <For each=move || tabs.get() key=|tab| tab.clone() let:tab>
                {
                    let index = tab.0;
                    let here = move || desk.orientation.get() == index;
                    view! {
                        <button
                            type="button"
                            class="bench-tab"
                            class:here=here
                            aria-current=move || here().then_some("true")
                            title=tab.3.clone()
                            on:click=move |_| station.turn_to(index)
                        >
                            <b>{tab.1}</b>
                            " "
                            {tab.2.clone()}
                            " "
                            <small class="fig">{tab.4.clone()}</small>
                        </button>
                    }
                }
            </For>
            <button type="button" class="bench-tab bench-add" on:click=move |_| station.add_orientation()>
                "Add orientation"
            </button>
        </nav>
    }
}
