//! Temperature, inspector and date of the piece at hand.

use super::known::AtHand;
use super::station::Station;
use crate::clock;
use crate::widgets::{BareField, Field};
use leptos::prelude::*;
use quarterturn_core::entry::{self, EntryError};
use quarterturn_core::job::{BOUNDS, Piece};

/// Data of the piece, in a line.
#[component]
pub(super) fn PieceLine() -> impl IntoView {
    let desk = Station::here().desk;
    let today = move |_| {
        let index = desk.view_untracked().index;
        desk.change("date of the piece", |job| {
            if let Some(piece) = job.pieces.get_mut(index) {
                piece.date = clock::today();
            }
        });
    };
    let undated = move || {
        let view = desk.view();
        view.job.pieces.get(view.index).is_some_and(|p| p.date.is_empty())
    };
    view! {
        <div class="bench-piece" role="group" aria-label="This piece">
            <PartTemperature/>
            <PieceField label="inspector" class="bench-inspector" read=|p| &p.inspector write=|p| &mut p.inspector/>
            <PieceField label="date" class="bench-date" read=|p| &p.date write=|p| &mut p.date/>
            <Show when=undated>
                <button type="button" class="link" on:click=today>"today"</button>
            </Show>
        </div>
    }
}

/// The temperature of the part: lengths are corrected by it, and the sheet prints it. What is noted
/// for the sheet in other words stays as it is, and is said beside the field.
#[component]
fn PartTemperature() -> impl IntoView {
    let piece = AtHand::here();
    let value = Signal::derive(move || piece.get(|p| p.part_celsius).flatten());
    let take = Callback::new(move |celsius: Option<f64>| {
        piece.change("temperature of the part", |p| {
            let follows = p.temperature.is_empty() || p.temperature == on_the_sheet(p.part_celsius);
            if follows {
                p.temperature = on_the_sheet(celsius);
            }
            p.part_celsius = celsius;
        });
    });
    let noted = Memo::new(move |_| {
        piece
            .get(|p| p.temperature.clone())
            .filter(|text| *text != on_the_sheet(value.get()))
            .unwrap_or_default()
    });
    view! {
        <BareField label="part, °C" class="bench-temperature" read=entry::celsius value take/>
        <Show when=move || noted.with(|n| !n.is_empty())>
            <span class="bench-noted">{move || format!("noted: {}", noted.get())}</span>
        </Show>
    }
}

/// `20.4 °C`.
fn on_the_sheet(celsius: Option<f64>) -> String {
    celsius.map_or_else(String::new, |t| format!("{t} °C").replace('-', "−"))
}

/// One field of the piece.
#[component]
fn PieceField(
    label: &'static str,
    class: &'static str,
    read: fn(&Piece) -> &String,
    write: fn(&mut Piece) -> &mut String,
) -> impl IntoView {
    let desk = Station::here().desk;
    let value = Signal::derive(move || {
        let view = desk.view();
        view.job.pieces.get(view.index).map(|p| read(p).clone()).unwrap_or_default()
    });
    let take = move |text: String| {
        let text = text.trim().to_owned();
        if text.chars().count() > BOUNDS.text_chars {
            return Err(EntryError(format!(
                "More than {} characters are not kept.",
                BOUNDS.text_chars
            )));
        }
        let index = desk.view_untracked().index;
        desk.change(format!("{label} of the piece"), |job| {
            if let Some(piece) = job.pieces.get_mut(index) {
                *write(piece) = text;
            }
        });
        Ok(())
    };
    view! { <Field label value take class/> }
}
