//! The footer: whether all is kept, how much there is, what is missing, and the keys.

use crate::desk::Desk;
use crate::file;
use crate::keep::Kept;
use leptos::prelude::*;
use quarterturn_core::Job;
use quarterturn_core::job::Touch;

/// The footer.
#[component]
pub(super) fn Foot() -> impl IntoView {
    let desk = Desk::here();
    let counts = Memo::new(move |_| {
        let view = desk.view();
        let missing = view.piece.as_ref().map_or(0, |p| p.tally.missing);
        (view.job.drawing.features.len(), readings(&view.job, view.index), missing)
    });
    view! {
        <footer class="foot">
            <span role="status" class="kept" class:not=move || !matches!(desk.kept.get(), Kept::At(_) | Kept::Nothing | Kept::Soon)>
                {move || kept_words(&desk.kept.get())}
                {move || matches!(desk.kept.get(), Kept::Full | Kept::Never).then(|| view! {
                    " "
                    <button type="button" class="link" on:click=move |_| file::save(desk)>"save to a file"</button>
                })}
            </span>
            <span class="said" role="status">{move || {
                let said = desk.said.get();
                if !said.is_empty() {
                    return view! { <strong>{said}</strong> }.into_any();
                }
                let (features, readings, missing) = counts.get();
                let missing = if missing == 0 { String::new() } else { format!(", {} not measured", count(missing, "feature")) };
                format!("{}, {}{missing}", count(features, "feature"), count(readings, "reading")).into_any()
            }}</span>
            <ul class="keys" aria-label="Keys that work here">
                {move || desk.keys_here.get().into_iter().map(|(key, what)| view! {
                    <li><kbd>{key}</kbd>" "{what}</li>
                }).collect_view()}
                <li><kbd>"Alt 1–4"</kbd>" screens"</li>
                <li><kbd>"Ctrl Z"</kbd>" undo"</li>
            </ul>
        </footer>
    }
}

fn kept_words(kept: &Kept) -> String {
    match kept {
        Kept::Nothing => String::new(),
        Kept::At(time) => format!("all changes kept, {time}"),
        Kept::Soon => "keeping …".to_owned(),
        Kept::Full => "not kept: no room in the browser,".to_owned(),
        Kept::Never => "not kept by this browser,".to_owned(),
        Kept::Elsewhere => "changed in another tab".to_owned(),
    }
}

fn count(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

/// Touches read on the piece at hand, repeats not counted.
fn readings(job: &Job, piece: usize) -> usize {
    let Some(piece) = job.pieces.get(piece) else { return 0 };
    piece
        .readings
        .iter()
        .map(|r| Touch::ALL.iter().filter(|t| !r.values(**t).is_empty()).count())
        .sum()
}
