//! The jobs: new, open, save, the example, and the shelf of those kept in this browser.

use super::panel::{Opens, Panel};
use crate::desk::Desk;
use crate::file;
use crate::keep::{Lasting, Shelved, shelf};
use leptos::prelude::*;
use leptos::task::spawn_local;
use quarterturn_core::quantity::Unit;

/// The button and the panel that it opens.
#[component]
pub(super) fn Jobs(open: RwSignal<Option<Panel>>, pick: Callback<()>) -> impl IntoView {
    view! {
        <Opens panel=Panel::Jobs open text="Jobs" key="Alt+J" class="button jobs-button" label="Jobs">
            <Content open pick/>
        </Opens>
    }
}

#[component]
fn Content(open: RwSignal<Option<Panel>>, pick: Callback<()>) -> impl IntoView {
    let desk = Desk::here();
    let act = move |act: Callback<()>| {
        move |_| {
            open.set(None);
            act.run(());
        }
    };
    let new = move |unit| act(Callback::new(move |()| desk.new_job(unit)));
    let kept = RwSignal::new(None::<Vec<Shelved>>);
    let look = move || {
        spawn_local(async move { kept.set(Some(shelf().await)) });
    };
    look();
    let others = move || {
        desk.opened.track();
        let here = desk.open_id();
        let all = kept.get()?;
        Some(all.into_iter().filter(|s| s.id != here).collect::<Vec<_>>())
    };
    view! {
        <div class="acts">
            <button type="button" class="button" on:click=new(Unit::Inch)>"New, in inch"</button>
            <button type="button" class="button" on:click=new(Unit::Mm)>"New, in mm"</button>
            <button type="button" class="button" title="Ctrl+O" on:click=act(pick)>"Open a file …"</button>
            <button type="button" class="button" title="Ctrl+S" on:click=act(Callback::new(move |()| file::save(desk)))>
                "Save to a file"
            </button>
            <button type="button" class="button" on:click=act(Callback::new(move |()| desk.example(false)))>"Example"</button>
        </div>
        <h2>"On the shelf"</h2>
        {move || {
            let Some(list) = others() else { return ().into_any() };
            if list.is_empty() {
                return view! {
                    <p>"No other job is kept in this browser. A new one puts the open one here; nothing is lost."</p>
                }.into_any();
            }
            view! {
                <ul class="shelf">
                    {list.into_iter().map(|s| view! { <OnShelf shelved=s open look/> }).collect_view()}
                </ul>
            }.into_any()
        }}
        {move || (desk.lasting.get() == Lasting::Not).then(|| view! {
            <p>"This browser may clear what it keeps when its disk is nearly full. Save jobs to files as well."</p>
        })}
    }
}

#[component]
fn OnShelf(
    shelved: Shelved,
    open: RwSignal<Option<Panel>>,
    /// Looks at the shelf again.
    look: impl Fn() + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let desk = Desk::here();
    let Shelved { id, title, when } = shelved;
    let (to_open, to_forget, name) = (id.clone(), id, title.clone());
    let words = format!("Remove {title} from this browser");
    // A job that cannot be read has no date.
    let when = when.get(..16).map(|w| format!("{w} UTC")).unwrap_or_default();
    view! {
        <li>
            <button type="button" class="link title" on:click=move |_| {
                open.set(None);
                desk.open_kept(&to_open);
            }><span>{title}</span></button>
            <span class="when">{when}</span>
            <button type="button" class="link" aria-label=words on:click=move |_| {
                desk.forget(&to_forget, &name, look);
            }>"Remove"</button>
        </li>
    }
}
