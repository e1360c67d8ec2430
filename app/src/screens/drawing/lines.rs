//! What the drawing asks between features and of the form of faces: a table of lines, each typed
//! straight through.

mod heights;

use crate::desk::Desk;
use crate::widgets::Field;
use heights::Heights;
use leptos::prelude::*;
use quarterturn_core::entry::{self, EntryError, LINE_EXAMPLES};
use quarterturn_core::job::{Asks, BOUNDS, Line};
use quarterturn_core::show::line_text;

/// The table of lines. Its last row is empty and takes a further one.
#[component]
pub(super) fn Lines() -> impl IntoView {
    let desk = Desk::here();
    let count = Memo::new(move |_| desk.job().drawing.lines.len());
    view! {
        <table class="figures entries lines-asked">
            <caption class="away">"Lines between features"</caption>
            <thead>
                <tr>
                    <th scope="col" class="letter">"no."</th>
                    <th scope="col">"requirement"</th>
                    <th scope="col" class="carrier">"note, for the sheet"</th>
                    <th scope="col"><span class="away">"remove"</span></th>
                </tr>
            </thead>
            <tbody>
                {move || (0..count.get()).map(|i| view! { <Row index=i/> }).collect_view()}
                <Next/>
            </tbody>
        </table>
        <div class="help">
            <p>"Typed as one says it, with the numbers of the table of features:"</p>
            <ul class="examples">
                {LINE_EXAMPLES.map(|(typed, means)| view! {
                    <li><code>{typed}</code>" "{means}</li>
                }).collect_view()}
            </ul>
        </div>
    }
}

/// What a line asks, typed.
fn read(desk: Desk, typed: &str) -> Result<Asks, EntryError> {
    entry::line(typed, desk.job_untracked().drawing.unit)
}

#[component]
fn Row(index: usize) -> impl IntoView {
    let desk = Desk::here();
    let number = Memo::new(move |_| {
        desk.job().drawing.lines.get(index).map(|l| l.number.clone()).unwrap_or_default()
    });
    let asked = Memo::new(move |_| {
        let job = desk.job();
        job.drawing.lines.get(index).map(|l| line_text(&l.asks, &job.drawing)).unwrap_or_default()
    });
    let note = Memo::new(move |_| {
        desk.job().drawing.lines.get(index).map(|l| l.note.clone()).unwrap_or_default()
    });
    let take_number = Callback::new(move |typed: String| {
        let new = typed.trim().to_owned();
        if new.is_empty() || new.chars().count() > BOUNDS.label_chars {
            return Err(EntryError("A line has a short number, such as 20.".to_owned()));
        }
        let job = desk.job_untracked();
        if job.drawing.lines.iter().enumerate().any(|(i, l)| i != index && l.number == new) {
            return Err(EntryError(format!("Line {new} is there already.")));
        }
        desk.change("a line's number", |job| job.renumber_line(index, &new));
        Ok(())
    });
    let take_asks = Callback::new(move |typed: String| {
        let asks = read(desk, &typed)?;
        let name = format!("line {}", number.get_untracked());
        desk.change(name, |job| {
            if let Some(line) = job.drawing.lines.get_mut(index) {
                line.asks = asks;
            }
        });
        Ok(())
    });
    let take_note = Callback::new(move |typed: String| {
        let note: String = typed.trim().chars().take(BOUNDS.text_chars).collect();
        desk.change("a line's note", |job| {
            if let Some(line) = job.drawing.lines.get_mut(index) {
                line.note = note;
            }
        });
        Ok(())
    });
    let remove = move |_| {
        desk.change("a line less", |job| {
            if index < job.drawing.lines.len() {
                job.drawing.lines.remove(index);
            }
        });
    };
    let flat = Memo::new(move |_| {
        let job = desk.job();
        job.drawing.lines.get(index).is_some_and(|l| matches!(l.asks, Asks::Flatness(_)))
    });
    view! {
        <tr>
            <th scope="row"><Field bare=true label="Number" value=number take=take_number/></th>
            <td>
                <Field bare=true label=format!("Requirement of row {}", index + 1) value=asked take=take_asks/>
                <Show when=move || flat.get()><Heights line=number/></Show>
            </td>
            <td><Field bare=true label=format!("Note of row {}", index + 1) value=note take=take_note/></td>
            <td>
                <button type="button" class="link" aria-label=move || format!("Remove line {}", number.get()) on:click=remove>
                    "Remove"
                </button>
            </td>
        </tr>
    }
}

/// The empty row: what is typed there becomes a line.
#[component]
fn Next() -> impl IntoView {
    let desk = Desk::here();
    // It stays empty: what it took over stands in the row above it.
    let empty = Signal::derive(move || {
        desk.job().drawing.lines.len();
        String::new()
    });
    let number = Memo::new(move |_| desk.job().free_line_number());
    let take = Callback::new(move |typed: String| {
        if typed.trim().is_empty() {
            return Ok(());
        }
        let job = desk.job_untracked();
        if job.drawing.lines.len() >= BOUNDS.lines {
            return Err(EntryError(format!("A drawing holds {} lines at most.", BOUNDS.lines)));
        }
        let asks = read(desk, &typed)?;
        desk.change("a line more", |job| {
            let number = job.free_line_number();
            job.drawing.lines.push(Line { number, asks, note: String::new() });
        });
        Ok(())
    });
    view! {
        <tr>
            <th scope="row" class="ghost">{number}</th>
            <td>
                <Field bare=true label="Requirement of a further line" hint="distance 3 4 along x 40 ±0.1"
                    value=empty take id="further-line"/>
            </td>
            <td></td>
            <td></td>
        </tr>
    }
}
