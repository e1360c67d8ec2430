//! Fields that are taken over by Enter or on leaving them.
//!
//! What is typed and refused stays in the field with the reason under it; the document keeps
//! its value, and where `kept` says so the refused text too. Escape puts the document's value back. While a field holds something that is not
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

/// Where the document keeps what a field refused, as it was typed.
#[derive(Clone, Copy)]
pub(crate) struct KeptText {
    /// The text that is kept.
    pub(crate) text: Signal<Option<String>>,
    /// Keeps another one; `None` takes it away.
    pub(crate) keep: Callback<Option<String>>,
}

/// What is said of a text that was refused earlier.
const KEPT: &str = "This is not understood and is kept as it was typed. Correct it, or press Esc.";

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
    /// Where what is refused is kept in the document.
    #[prop(optional_no_strip)]
    kept: Option<KeptText>,
) -> impl IntoView {
    let id = id.unwrap_or_else(fresh_id);
    let why_id = format!("{id}-why");
    let refused = Signal::derive(move || kept.and_then(|kept| kept.text.get()));
    let shown = Signal::derive(move || refused.get().unwrap_or_else(|| value.get()));
    let typed = RwSignal::new(shown.get_untracked());
    let why: RwSignal<Option<String>> = RwSignal::new(None);
    // The document's value changed: by this field, another one, or a step taken back.
    Effect::new(move |_| {
        let (text, is_kept) = (shown.get(), refused.get().is_some());
        let known = why.get_untracked().is_some() && typed.get_untracked() == text;
        if !(is_kept && known) {
            why.set(is_kept.then(|| KEPT.to_owned()));
        }
        typed.set(text);
    });
    let keep = move |text: Option<String>| {
        if let Some(kept) = kept.filter(|_| refused.get_untracked() != text) {
            kept.keep.run(text);
        }
    };
    let as_it_was = move || {
        typed.set(value.get_untracked());
        why.set(None);
        keep(None);
    };
    let commit = move || {
        // A field may be left by being taken away.
        let Some(text) = typed.try_get_untracked() else { return };
        if text == value.get_untracked() {
            return as_it_was();
        }
        match take.run(text.clone()) {
            Ok(()) => {
                // Another way to write the same value: shown as the document has it.
                as_it_was();
            }
            Err(e) => {
                why.set(Some(e.to_string()));
                // Nothing typed is nothing to keep.
                keep(Some(text.trim().to_owned()).filter(|text| !text.is_empty()));
            }
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
            as_it_was();
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
                data-editing=move || (typed.get() != shown.get()).then_some("")
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
    /// Where what is refused is kept in the document.
    #[prop(optional_no_strip)]
    kept: Option<KeptText>,
) -> impl IntoView {
    let read = Callback::new(move |text: String| {
        if text.trim().is_empty() {
            return take.run(None);
        }
        take.run(Some(entry::number(&text, unit.get_untracked())?))
    });
    view! { <Field label value take=read class figure=true bare kept/> }
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
