//! Fields that are taken over by Enter or on leaving them.
//!
//! What is typed and refused stays in the field with the reason under it; the document keeps
//! its value. Escape puts the document's value back. While a field holds something that is not
//! taken over it carries `data-editing`, so that Ctrl+Z there takes back typing.

use leptos::prelude::*;
use quarterturn_core::entry::{self, EntryError};
use quarterturn_core::quantity::{Figure, Unit};
use std::sync::atomic::{AtomicUsize, Ordering};
use web_sys::KeyboardEvent;

/// A name for an element that another one refers to.
fn fresh_id() -> String {
    static NEXT: AtomicUsize = AtomicUsize::new(0);
    format!("field-{}", NEXT.fetch_add(1, Ordering::Relaxed))
}

/// A line of text.
#[component]
pub(crate) fn Field(
    /// What it is.
    #[prop(into)]
    label: String,
    /// The document's value.
    #[prop(into)]
    value: Signal<String>,
    /// Takes what was typed over, or says why not.
    #[prop(into)]
    take: Callback<String, Result<(), EntryError>>,
    /// Class of the field as a whole.
    #[prop(into, optional)]
    class: String,
    /// A figure, not words.
    #[prop(optional)]
    figure: bool,
    /// The label is heard and not seen, where a column's head says it.
    #[prop(optional)]
    bare: bool,
    /// Shown in the empty field.
    #[prop(into, optional)]
    hint: String,
    /// A name of its own, where something else goes to it.
    #[prop(into, optional)]
    id: Option<String>,
) -> impl IntoView {
    let id = id.unwrap_or_else(fresh_id);
    let why_id = format!("{id}-why");
    let typed = RwSignal::new(value.get_untracked());
    let why: RwSignal<Option<String>> = RwSignal::new(None);
    // The document's value changed: by this field, another one, or a step taken back.
    Effect::new(move |_| {
        typed.set(value.get());
        why.set(None);
    });
    let commit = move || {
        // A field may be left by being taken away.
        let Some(text) = typed.try_get_untracked() else { return };
        if text == value.get_untracked() {
            why.set(None);
            return;
        }
        match take.run(text) {
            Ok(()) => {
                why.set(None);
                // Another way to write the same value: shown as the document has it.
                typed.set(value.get_untracked());
            }
            Err(e) => why.set(Some(e.to_string())),
        }
    };
    let keyed = move |event: KeyboardEvent| match event.key().as_str() {
        "Enter" => {
            event.prevent_default();
            commit();
        }
        "Escape" if typed.get_untracked() != value.get_untracked() => {
            event.prevent_default();
            event.stop_propagation();
            typed.set(value.get_untracked());
            why.set(None);
        }
        _ => {}
    };
    let described = why_id.clone();
    view! {
        <div class=format!("field {class}")>
            <label for=id.clone() class:away=bare>{label}</label>
            <input id=id type="text" class="box" class:fig=figure autocomplete="off" spellcheck="false" placeholder=hint
                inputmode=figure.then_some("decimal")
                prop:value=move || typed.get()
                data-editing=move || (typed.get() != value.get()).then_some("")
                aria-invalid=move || why.get().map(|_| "true")
                aria-describedby=move || why.get().map(|_| described.clone())
                on:input=move |event| typed.set(event_target_value(&event))
                on:blur=move |_| commit()
                on:keydown=keyed/>
            {move || why.get().map(|why| view! { <p class="why" id=why_id.clone()>{why}</p> })}
        </div>
    }
}

/// A number in a unit; empty where `take` is given `None`.
#[component]
pub(crate) fn NumberField(
    /// What it is.
    #[prop(into)]
    label: String,
    /// The document's value as it is shown; empty for none.
    #[prop(into)]
    value: Signal<String>,
    /// The unit it is typed in.
    #[prop(into)]
    unit: Signal<Unit>,
    /// Takes the number over, or says why not.
    #[prop(into)]
    take: Callback<Option<Figure>, Result<(), EntryError>>,
    /// Class of the field as a whole.
    #[prop(into, optional)]
    class: String,
    /// The label is heard and not seen.
    #[prop(optional)]
    bare: bool,
) -> impl IntoView {
    let read = Callback::new(move |text: String| {
        if text.trim().is_empty() {
            return take.run(None);
        }
        take.run(Some(entry::number(&text, unit.get_untracked())?))
    });
    view! { <Field label value take=read class figure=true bare/> }
}

/// A number that is no length, such as a temperature; empty where `take` is given `None`.
#[component]
pub(crate) fn BareField(
    /// What it is.
    #[prop(into)]
    label: String,
    /// The document's value.
    #[prop(into)]
    value: Signal<Option<f64>>,
    /// Reads what was typed, or says why not.
    read: fn(&str) -> Result<f64, EntryError>,
    /// Takes the number over.
    #[prop(into)]
    take: Callback<Option<f64>>,
    /// Class of the field as a whole.
    #[prop(into, optional)]
    class: String,
) -> impl IntoView {
    let shown = Signal::derive(move || {
        value.get().map_or_else(String::new, |v| v.to_string().replace('-', "−"))
    });
    let typed = Callback::new(move |text: String| {
        let number = if text.trim().is_empty() { None } else { Some(read(&text)?) };
        take.run(number);
        Ok(())
    });
    view! { <Field label value=shown take=typed class figure=true/> }
}

/// Several lines of text. Enter makes a new line; it is taken over on leaving it.
#[component]
pub(crate) fn TextArea(
    /// What it is.
    #[prop(into)]
    label: String,
    /// The document's value.
    #[prop(into)]
    value: Signal<String>,
    /// Takes what was typed over.
    #[prop(into)]
    take: Callback<String>,
    /// Class of the field as a whole.
    #[prop(into, optional)]
    class: String,
) -> impl IntoView {
    let id = fresh_id();
    let typed = RwSignal::new(value.get_untracked());
    Effect::new(move |_| typed.set(value.get()));
    let commit = move || {
        let Some(text) = typed.try_get_untracked() else { return };
        if text != value.get_untracked() {
            take.run(text);
        }
    };
    view! {
        <div class=format!("field {class}")>
            <label for=id.clone()>{label}</label>
            <textarea id=id class="box" rows="3" spellcheck="false"
                prop:value=move || typed.get()
                data-editing=move || (typed.get() != value.get()).then_some("")
                on:input=move |event| typed.set(event_target_value(&event))
                on:blur=move |_| commit()></textarea>
        </div>
    }
}

/// One of several.
#[component]
pub(crate) fn Choice(
    /// What it is.
    #[prop(into)]
    label: String,
    /// The choices: what stands for each in `value`, and its words.
    #[prop(into)]
    choices: Signal<Vec<(String, String)>>,
    /// The one chosen.
    #[prop(into)]
    value: Signal<String>,
    /// Takes another one over.
    #[prop(into)]
    take: Callback<String>,
    /// Class of the field as a whole.
    #[prop(into, optional)]
    class: String,
    /// The label is heard and not seen.
    #[prop(optional)]
    bare: bool,
) -> impl IntoView {
    let id = fresh_id();
    let node: NodeRef<leptos::html::Select> = NodeRef::new();
    // Also when the choice is refused, or made by a step taken back.
    let show = move || {
        if let Some(select) = node.get_untracked() {
            select.set_value(&value.get_untracked());
        }
    };
    Effect::new(move |_| {
        value.track();
        choices.track();
        node.track();
        show();
    });
    view! {
        <div class=format!("field {class}")>
            <label for=id.clone() class:away=bare>{label}</label>
            <select id=id class="box" node_ref=node on:change=move |event| {
                take.run(event_target_value(&event));
                show();
            }>
                {move || choices.get().into_iter().map(|(stands, words)| {
                    let here = stands.clone();
                    view! { <option value=stands selected=move || value.get() == here>{words}</option> }
                }).collect_view()}
            </select>
        </div>
    }
}
