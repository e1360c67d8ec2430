//! Relations: what the drawing asks between features and of the form of faces, a table in which each
//! is typed straight through.

mod heights;

use super::kept::kept;
use crate::desk::Desk;
use crate::widgets::Field;
use heights::Heights;
use leptos::prelude::*;
use quarterturn_core::entry::{self, EntryError, relation_examples};
use quarterturn_core::job::{BOUNDS, DrawingPlace, Relation, RelationKind};
use quarterturn_core::show::relation_text;

/// The table of relations. Its last row is empty and takes a further one.
#[component]
pub(super) fn Lines() -> impl IntoView {
    let desk = Desk::here();
    let count = Memo::new(move |_| desk.job().drawing.relations.len());
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
                {move || relation_examples(desk.job().drawing.unit).map(|(typed, means)| view! {
                    <li><code>{typed}</code>" "{means}</li>
                }).collect_view()}
            </ul>
        </div>
    }
}

/// What a relation asks, typed.
fn read(desk: Desk, typed: &str) -> Result<RelationKind, EntryError> {
    entry::relation(typed, desk.job_untracked().drawing.unit)
}

#[component]
fn Row(index: usize) -> impl IntoView {
    let desk = Desk::here();
    let number = Memo::new(move |_| {
        desk.job().drawing.relations.get(index).map(|l| l.number.clone()).unwrap_or_default()
    });
    let asked = Memo::new(move |_| {
        let job = desk.job();
        job.drawing
            .relations
            .get(index)
            .map(|r| relation_text(&r.kind, &job.drawing))
            .unwrap_or_default()
    });
    let note = Memo::new(move |_| {
        desk.job().drawing.relations.get(index).map(|l| l.note.clone()).unwrap_or_default()
    });
    let take_number = Callback::new(move |typed: String| {
        let new = typed.trim().to_owned();
        if new.is_empty() || new.chars().count() > BOUNDS.label_chars {
            return Err(EntryError("A line has a short number, such as 20.".to_owned()));
        }
        let job = desk.job_untracked();
        if job.drawing.relations.iter().enumerate().any(|(i, l)| i != index && l.number == new) {
            return Err(EntryError(format!("Line {new} is there already.")));
        }
        desk.change("a line's number", |job| {
            let old = DrawingPlace::LineNumber(number.get_untracked());
            job.drawing.set_refused(&old, None);
            job.renumber_relation(index, &new);
        });
        Ok(())
    });
    let take_asks = Callback::new(move |typed: String| {
        let kind = read(desk, &typed)?;
        let name = format!("line {}", number.get_untracked());
        desk.change(name, |job| {
            if let Some(relation) = job.drawing.relations.get_mut(index) {
                relation.kind = kind;
            }
            let place = DrawingPlace::LineRequirement(number.get_untracked());
            job.drawing.set_refused(&place, None);
        });
        Ok(())
    });
    let take_note = Callback::new(move |typed: String| {
        let note: String = typed.trim().chars().take(BOUNDS.text_chars).collect();
        desk.change("a line's note", |job| {
            if let Some(relation) = job.drawing.relations.get_mut(index) {
                relation.note = note;
            }
        });
        Ok(())
    });
    let remove = move |_| {
        desk.change("a line less", |job| job.drawing.remove_relation(index));
    };
    let heights = Memo::new(move |_| {
        desk.job().drawing.relations.get(index).and_then(|r| r.kind.basis().heights())
    });
    let kept =
        move |place: fn(String) -> DrawingPlace| Some(kept(desk, move || place(number.get())));
    view! {
        <tr>
            <th scope="row"><Field bare=true label="Number" value=number take=take_number kept=kept(DrawingPlace::LineNumber)/></th>
            <td>
                <Field bare=true label=format!("Requirement of row {}", index + 1) value=asked take=take_asks kept=kept(DrawingPlace::LineRequirement)/>
                {move || heights.get().map(|over| view! { <Heights relation=number over/> })}
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

/// The empty row: what is typed there becomes a relation.
#[component]
fn Next() -> impl IntoView {
    let desk = Desk::here();
    // It stays empty: what it took over stands in the row above it.
    let empty = Signal::derive(move || {
        desk.job().drawing.relations.len();
        String::new()
    });
    let number = Memo::new(move |_| desk.job().free_relation_number());
    let hint = Memo::new(move |_| {
        let mut examples = relation_examples(desk.job().drawing.unit);
        examples.next().map(|(typed, _)| typed).unwrap_or_default()
    });
    let take = Callback::new(move |typed: String| {
        if typed.trim().is_empty() {
            return Ok(());
        }
        let job = desk.job_untracked();
        if job.drawing.relations.len() >= BOUNDS.relations {
            return Err(EntryError(format!("A drawing holds {} lines at most.", BOUNDS.relations)));
        }
        let kind = read(desk, &typed)?;
        desk.change("a line more", |job| {
            let number = job.free_relation_number();
            job.drawing.relations.push(Relation { number, kind, note: String::new() });
            job.drawing.set_refused(&DrawingPlace::FurtherLine, None);
        });
        Ok(())
    });
    view! {
        <tr>
            <th scope="row" class="ghost">{number}</th>
            <td>
                {move || view! {
                    <Field bare=true label="Requirement of a further line" hint=hint.get()
                        value=empty take id="further-line" kept=Some(kept(desk, || DrawingPlace::FurtherLine))/>
                }}
            </td>
            <td></td>
            <td></td>
        </tr>
    }
}
