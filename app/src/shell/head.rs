//! The header: the four screens, and which part, revision and piece one is at.

use super::jobs::Jobs;
use super::panel::Panel;
use super::piece::PieceButton;
use crate::desk::{Desk, Screen};
use crate::gauge::GaugeButton;
use leptos::prelude::*;

/// The header.
#[component]
pub(super) fn Head(open: RwSignal<Option<Panel>>, pick: Callback<()>) -> impl IntoView {
    let desk = Desk::here();
    let tab = move |screen: Screen, key: usize| {
        view! {
            <li>
                <button type="button" data-word=screen.word() title=format!("Alt+{key}")
                    aria-current=move || (desk.screen.get() == screen).then_some("page")
                    aria-keyshortcuts=format!("Alt+{key}")
                    on:click=move |_| desk.screen.set(screen)>
                    {screen.word()}
                </button>
            </li>
        }
    };
    let demo = Memo::new(move |_| desk.job().demo);
    view! {
        <header class="head">
            <div class="brand">
                "Quarterturn"
                {move || demo.get().then(|| view! { <span class="demo">"example"</span> })}
            </div>
            <nav class="screens" aria-label="Screens">
                <ul>{Screen::ALL.into_iter().zip(1..).map(|(s, k)| tab(s, k)).collect_view()}</ul>
            </nav>
            <Which open/>
            <GaugeButton open/>
            <Jobs open pick/>
        </header>
    }
}

/// Which part, revision, piece and unit.
#[component]
fn Which(open: RwSignal<Option<Panel>>) -> impl IntoView {
    let desk = Desk::here();
    let part = Memo::new(move |_| {
        let job = desk.job();
        let d = &job.drawing;
        (d.part_number.clone(), d.revision.clone(), d.part_name.clone(), d.unit)
    });
    let serials =
        Memo::new(move |_| desk.job().pieces.iter().map(|p| p.serial.clone()).collect::<Vec<_>>());
    view! {
        <div class="which">
            <span class="part">{move || {
                let (number, revision, name, _) = part.get();
                let number = if number.is_empty() { "no part number".to_owned() } else { number };
                let revision = if revision.is_empty() { String::new() } else { format!(" rev {revision}") };
                view! {
                    {number} {revision}
                    {(!name.is_empty()).then(|| view! { " "<span class="dot">"·"</span>" "<strong>{name}</strong> })}
                }
            }}</span>
            <span class="dot">"·"</span>
            <label for="piece">"piece"</label>
            <select id="piece" hidden=move || serials.with(Vec::is_empty) prop:value=move || { serials.track(); desk.piece.get().to_string() }
                on:change=move |event| {
                    if let Ok(index) = event_target_value(&event).parse() {
                        desk.piece.set(index);
                    }
                }>
                {move || serials.get().into_iter().enumerate().map(|(i, serial)| {
                    let serial = if serial.trim().is_empty() { format!("no serial ({})", i + 1) } else { serial };
                    view! { <option value=i.to_string() selected=move || desk.piece.get() == i>{serial}</option> }
                }).collect_view()}
            </select>
            <span>{move || match serials.with(Vec::len) {
                0 => "none".to_owned(),
                count => format!("({} of {count})", desk.piece.get() + 1),
            }}</span>
            <PieceButton open/>
            <button type="button" class="button small" title="Add a piece" aria-label="Add a piece"
                on:click=move |_| desk.add_piece()>"+"</button>
            <span class="dot">"·"</span>
            <strong>{move || part.with(|p| p.3.word())}</strong>
        </div>
    }
}
