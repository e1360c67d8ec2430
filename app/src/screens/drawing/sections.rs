//! What is below the title: the features, or one of the other parts of the sheet's data.

use super::grid::{FeatureGrid, Grid, KEYS};
use super::{conditions, datums, instruments, lines, order};
use crate::desk::Desk;
use crate::widgets::NextFrame;
use leptos::html;
use leptos::prelude::*;

/// The sections.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Section {
    Features,
    Lines,
    Datums,
    Order,
    Instruments,
    Conditions,
}

impl Section {
    const ALL: [Self; 6] = [
        Self::Features,
        Self::Lines,
        Self::Datums,
        Self::Order,
        Self::Instruments,
        Self::Conditions,
    ];

    const fn words(self) -> &'static str {
        match self {
            Self::Features => "Features",
            Self::Lines => "Lines",
            Self::Datums => "Datums",
            Self::Order => "Order and report",
            Self::Instruments => "Instruments",
            Self::Conditions => "Decision and conditions",
        }
    }

    const fn id(self) -> &'static str {
        match self {
            Self::Features => "section-features",
            Self::Lines => "section-lines",
            Self::Datums => "section-datums",
            Self::Order => "section-order",
            Self::Instruments => "section-instruments",
            Self::Conditions => "section-conditions",
        }
    }

    fn step(self, on: bool) -> Self {
        let at = Self::ALL.iter().position(|s| *s == self).unwrap_or(0);
        let by = if on { 1 } else { Self::ALL.len() - 1 };
        Self::ALL[(at + by) % Self::ALL.len()]
    }
}

/// The tabs and what they show.
#[component]
pub(super) fn Sections(grid: Grid) -> impl IntoView {
    let at = RwSignal::new(Section::Features);
    // A problem's button goes to a cell.
    Effect::new(move |before: Option<usize>| {
        let asked = grid.asked.get();
        if before.is_some_and(|b| b != asked) {
            at.set(Section::Features);
        }
        asked
    });
    let desk = Desk::here();
    Effect::new(move |_| {
        desk.keys_here.set(match at.get() {
            Section::Features => KEYS.to_vec(),
            _ => {
                vec![("Enter", "take over"), ("Esc", "as it was"), ("← →", "on the tabs: sections")]
            }
        });
    });
    let tabs: NodeRef<html::Div> = NodeRef::new();
    let next_frame = NextFrame::new();
    let focus_tab = move || {
        next_frame.call(move || {
            use wasm_bindgen::JsCast;
            let tab = tabs
                .get_untracked()
                .and_then(|t| t.query_selector("[aria-selected=true]").ok().flatten());
            if let Some(tab) = tab.and_then(|t| t.dyn_into::<web_sys::HtmlElement>().ok()) {
                let _ = tab.focus();
            }
        });
    };
    let leave = Callback::new(move |()| focus_tab());
    let keyed = move |event: web_sys::KeyboardEvent| {
        match event.key().as_str() {
            "ArrowRight" => at.update(|s| *s = s.step(true)),
            "ArrowLeft" => at.update(|s| *s = s.step(false)),
            "ArrowDown" if at.get_untracked() == Section::Features => {
                event.prevent_default();
                grid.focus();
                return;
            }
            _ => return,
        }
        event.prevent_default();
        focus_tab();
    };
    let tab = move |section: Section| {
        view! {
            <button type="button" role="tab" id=section.id() aria-controls="section"
                aria-selected=move || (at.get() == section).to_string()
                tabindex=move || if at.get() == section { "0" } else { "-1" }
                on:click=move |_| at.set(section)>
                {section.words()}
            </button>
        }
    };
    view! {
        <div class="sections" role="tablist" aria-label="Parts of the drawing" node_ref=tabs on:keydown=keyed>
            {Section::ALL.into_iter().map(tab).collect_view()}
        </div>
        <div class="section" id="section" role="tabpanel" aria-labelledby=move || at.get().id()>
            {move || match at.get() {
                Section::Features => view! { <FeatureGrid grid leave/> }.into_any(),
                Section::Lines => view! { <lines::Lines/> }.into_any(),
                Section::Datums => view! { <datums::Datums/> }.into_any(),
                Section::Order => view! { <order::Order/> }.into_any(),
                Section::Instruments => view! { <instruments::Instruments/> }.into_any(),
                Section::Conditions => view! { <conditions::RuleAndConditions/> }.into_any(),
            }}
        </div>
    }
}
