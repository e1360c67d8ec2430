//! A box to tick.

use leptos::prelude::*;

/// Yes or no, with its words beside it.
#[component]
pub(crate) fn Check(
    /// What it says when ticked.
    #[prop(into)]
    label: Signal<String>,
    /// Whether the document says so.
    #[prop(into)]
    value: Signal<bool>,
    /// Takes the other over.
    #[prop(into)]
    take: Callback<bool>,
    /// Class of the field as a whole.
    #[prop(into, optional)]
    class: String,
) -> impl IntoView {
    view! {
        <label class=format!("check {class}")>
            <input type="checkbox" prop:checked=move || value.get()
                on:change=move |event| take.run(event_target_checked(&event))/>
            <span>{move || label.get()}</span>
        </label>
    }
}
