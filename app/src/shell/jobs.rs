//! The jobs: new, open, save, the example, and the shelf of those kept in this browser.

use crate::desk::Desk;
use crate::file;
use crate::keep::{Shelved, shelf};
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::quantity::Unit;

/// The button and the panel that it opens.
#[component]
pub(super) fn Jobs(open: RwSignal<bool>, pick: Callback<()>) -> impl IntoView {
    let button: NodeRef<html::Button> = NodeRef::new();
    let first: NodeRef<html::Button> = NodeRef::new();
    let panel: NodeRef<html::Div> = NodeRef::new();
    Effect::new(move |was: Option<bool>| {
        let now = open.get();
        if now {
            if let Some(button) = first.get() {
                let _ = button.focus();
            }
        } else if was == Some(true) {
            // The focus must not be lost with the panel it was in.
            if let Some(button) = button.get_untracked() {
                let _ = button.focus();
            }
        }
        now
    });
    // A press anywhere else closes the panel.
    window_event_listener(leptos::ev::mousedown, move |event| {
        use wasm_bindgen::JsCast;
        if !open.get_untracked() {
            return;
        }
        let target = event.target().and_then(|t| t.dyn_into::<web_sys::Node>().ok());
        let inside = panel.get_untracked().is_some_and(|p| p.contains(target.as_ref()))
            || button.get_untracked().is_some_and(|b| b.contains(target.as_ref()));
        if !inside {
            open.set(false);
        }
    });
    view! {
        <button type="button" class="button jobs-button" node_ref=button title="Alt+J" aria-keyshortcuts="Alt+J"
            aria-expanded=move || open.get().to_string() aria-controls="jobs"
            on:click=move |_| open.update(|o| *o = !*o)>
            "Jobs"
        </button>
        <div id="jobs" role="region" aria-label="Jobs" hidden=move || !open.get() class="jobs" node_ref=panel
            on:keydown=move |event| {
                if event.key() == "Escape" {
                    event.prevent_default();
                    open.set(false);
                }
            }>
            {move || open.get().then(|| view! { <Panel open pick first/> })}
        </div>
    }
}

#[component]
fn Panel(open: RwSignal<bool>, pick: Callback<()>, first: NodeRef<html::Button>) -> impl IntoView {
    let desk = Desk::here();
    let act = move |act: Callback<()>| {
        move |_| {
            open.set(false);
            act.run(());
        }
    };
    let new = move |unit| act(Callback::new(move |()| desk.new_job(unit)));
    let kept = RwSignal::new(shelf());
    let others = move || {
        desk.opened.track();
        let here = desk.open_id();
        kept.get().into_iter().filter(|s| s.id != here).collect::<Vec<_>>()
    };
    view! {
        <div class="acts">
            <button type="button" class="button" node_ref=first on:click=new(Unit::Inch)>"New, in inch"</button>
            <button type="button" class="button" on:click=new(Unit::Mm)>"New, in mm"</button>
            <button type="button" class="button" title="Ctrl+O" on:click=act(pick)>"Open a file …"</button>
            <button type="button" class="button" title="Ctrl+S" on:click=act(Callback::new(move |()| file::save(desk)))>
                "Save to a file"
            </button>
            <button type="button" class="button" on:click=act(Callback::new(move |()| desk.example(false)))>"Example"</button>
        </div>
        <h2>"On the shelf"</h2>
        {move || {
            let list = others();
            if list.is_empty() {
                return view! {
                    <p>"No other job is kept in this browser. A new one puts the open one here; nothing is lost."</p>
                }.into_any();
            }
            view! {
                <ul class="shelf">
                    {list.into_iter().map(|s| view! { <OnShelf shelved=s open kept/> }).collect_view()}
                </ul>
            }.into_any()
        }}
    }
}

#[component]
fn OnShelf(shelved: Shelved, open: RwSignal<bool>, kept: RwSignal<Vec<Shelved>>) -> impl IntoView {
    let desk = Desk::here();
    let Shelved { id, title, when } = shelved;
    let (to_open, to_forget, name) = (id.clone(), id, title.clone());
    let words = format!("Remove {title} from this browser");
    // A job that cannot be read has no date.
    let when = when.get(..16).map(|w| format!("{w} UTC")).unwrap_or_default();
    view! {
        <li>
            <button type="button" class="link title" on:click=move |_| {
                open.set(false);
                desk.open_kept(&to_open);
            }><span>{title}</span></button>
            <span class="when">{when}</span>
            <button type="button" class="link" aria-label=words on:click=move |_| {
                desk.forget(&to_forget, &name);
                kept.set(shelf());
            }>"Remove"</button>
        </li>
    }
}
