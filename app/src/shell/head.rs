//! The header: the four screens, and which part, revision and piece one is at.

use super::jobs::Jobs;
use crate::desk::{Desk, Screen};
use leptos::prelude::*;
use quarterturn_core::job::Piece;

/// The header.
#[component]
pub(super) fn Head(jobs_open: RwSignal<bool>, pick: Callback<()>) -> impl IntoView {
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
            <Which/>
            <Jobs open=jobs_open pick/>
        </header>
    }
}

/// Which part, revision, piece and unit.
#[component]
fn Which() -> impl IntoView {
    let desk = Desk::here();
    let part = Memo::new(move |_| {
        let job = desk.job();
        let d = &job.drawing;
        (d.part_number.clone(), d.revision.clone(), d.part_name.clone(), d.unit)
    });
    let serials =
        Memo::new(move |_| desk.job().pieces.iter().map(|p| p.serial.clone()).collect::<Vec<_>>());
    let add = move |_| {
        let mut index = 0;
        desk.change("a piece more", |job| {
            let serial = next_serial(&job.pieces);
            let piece = match job.pieces.last() {
                Some(last) => last.next(serial),
                None => Piece { serial, ..Piece::default() },
            };
            job.pieces.push(piece);
            index = job.pieces.len() - 1;
        });
        desk.piece.set(index);
    };
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
            <select id="piece" prop:value=move || { serials.track(); desk.piece.get().to_string() }
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
            <span>{move || format!("({} of {})", desk.piece.get() + 1, serials.with(Vec::len))}</span>
            <button type="button" class="button small" title="Add a piece" aria-label="Add a piece" on:click=add>"+"</button>
            <span class="dot">"·"</span>
            <strong>{move || part.with(|p| p.3.word())}</strong>
        </div>
    }
}

/// The serial number after the last one: its figure counted on, its zeros kept.
fn next_serial(pieces: &[Piece]) -> String {
    let Some(last) = pieces.last() else { return "1".to_owned() };
    let stem = last.serial.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = &last.serial[stem.len()..];
    digits.parse::<u64>().ok().and_then(|n| n.checked_add(1)).map_or_else(
        || format!("{}", pieces.len() + 1),
        |n| format!("{stem}{n:0width$}", width = digits.len()),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn serial_numbers_count_on() {
        for (last, next) in
            [("0021", "0022"), ("A-9", "A-10"), ("099", "100"), ("x", "2"), ("", "2")]
        {
            let piece = Piece { serial: last.to_owned(), ..Piece::default() };
            assert_eq!(next_serial(&[piece]), next, "{last}");
        }
        assert_eq!(next_serial(&[]), "1");
    }
}
