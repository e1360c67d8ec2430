//! A panel that a button of the header opens, one at a time.

use crate::widgets::NextFrame;
use leptos::html;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

/// The panels of the header.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Panel {
    /// New, open, save, and the jobs that are kept.
    Jobs,
    /// Serial number and removal of the piece at hand.
    Piece,
    /// The gauge: its line, and how lines are read.
    Gauge,
}

impl Panel {
    /// Opens it, or closes it where it is open.
    pub(crate) fn toggle(self, open: RwSignal<Option<Self>>) {
        open.update(|o| *o = if *o == Some(self) { None } else { Some(self) });
    }

    const fn id(self) -> &'static str {
        match self {
            Self::Jobs => "jobs",
            Self::Piece => "piece-panel",
            Self::Gauge => "gauge-panel",
        }
    }
}

/// The button and the panel that it opens. The first field or button of the panel gets the focus. What
/// had it before gets it back, the entry at the bench say, or the button where that is gone.
#[component]
pub(crate) fn Opens(
    panel: Panel,
    /// Which panel is open.
    open: RwSignal<Option<Panel>>,
    /// Text of the button.
    text: &'static str,
    /// Name of the button, where the text alone does not say what it does.
    #[prop(optional)]
    named: Option<&'static str>,
    /// Its key.
    key: &'static str,
    /// Class of the button.
    class: &'static str,
    /// Name of the panel.
    label: &'static str,
    children: ChildrenFn,
) -> impl IntoView {
    let button: NodeRef<html::Button> = NodeRef::new();
    let body: NodeRef<html::Div> = NodeRef::new();
    let is_open = Memo::new(move |_| open.get() == Some(panel));
    let next_frame = NextFrame::new();
    // What had the focus last outside the panel.
    let came_from = StoredValue::new_local(None::<web_sys::HtmlElement>);
    window_event_listener(leptos::ev::focusin, move |event| {
        let target = event.target().and_then(|t| t.dyn_into::<web_sys::HtmlElement>().ok());
        let Some(target) = target else { return };
        if body.get_untracked().is_none_or(|b| !b.contains(Some(target.as_ref()))) {
            came_from.set_value(Some(target));
        }
    });
    Effect::new(move |was: Option<bool>| {
        let now = is_open.get();
        if now {
            let first = body.get().and_then(|b| b.query_selector("input, button").ok().flatten());
            if let Some(first) = first.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
                let _ = first.focus();
                // What is typed replaces what stands in a field, once that is shown.
                if let Ok(field) = first.dyn_into::<web_sys::HtmlInputElement>() {
                    next_frame.call(move || field.select());
                }
            }
        } else if was == Some(true) {
            // The focus must not be lost with the panel it was in.
            let from = came_from.get_value();
            if let Some(from) = from.filter(|from| from.is_connected()) {
                let _ = from.focus();
            } else if let Some(button) = button.get_untracked() {
                let _ = button.focus();
            }
        }
        now
    });
    // Escape closes it wherever the focus is.
    window_event_listener(leptos::ev::keydown, move |event| {
        if event.key() == "Escape" && is_open.get_untracked() {
            event.prevent_default();
            open.set(None);
        }
    });
    // A press anywhere else closes the panel.
    window_event_listener(leptos::ev::mousedown, move |event| {
        if !is_open.get_untracked() {
            return;
        }
        let target = event.target().and_then(|t| t.dyn_into::<web_sys::Node>().ok());
        let inside = body.get_untracked().is_some_and(|b| b.contains(target.as_ref()))
            || button.get_untracked().is_some_and(|b| b.contains(target.as_ref()));
        if !inside {
            open.set(None);
        }
    });
    view! {
        <button type="button" class=class node_ref=button title=key aria-keyshortcuts=key aria-label=named
            aria-expanded=move || is_open.get().to_string() aria-controls=panel.id()
            // A press leaves the focus where it is, to be come back to.
            on:mousedown=move |event| event.prevent_default()
            on:click=move |_| panel.toggle(open)>
            {text}
        </button>
        <div id=panel.id() role="region" aria-label=label hidden=move || !is_open.get() class="panel" node_ref=body>
            {move || is_open.get().then(|| children())}
        </div>
    }
}
