//! What is wrong or doubtful in the orientation at hand, and what was corrected on the piece.

use super::questions::asked;
use super::station::Station;
use leptos::prelude::*;
use quarterturn_core::findings::{Place, Remedy, Weight};
use quarterturn_core::show::{corrections, document_changes, remedy_words, removed_pieces};

/// A problem of the orientation or of the piece.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(super) struct Remark {
    stops: bool,
    says: String,
    /// What can be done about it in one step.
    pub(super) remedy: Option<Remedy>,
}

/// The problems of the orientation at hand and of the piece; tracked.
pub(super) fn remarks(station: Station) -> Vec<Remark> {
    let view = station.desk.view();
    let number = station.rows.with(|r| r.number);
    let of_piece = view.piece.iter().flat_map(|p| &p.problems);
    let here = view.problems.iter().chain(of_piece).filter(|p| match p.place {
        Place::Orientation(n) => n == number,
        Place::Piece(index) => index == view.index,
        Place::Drawing | Place::Feature(_) => false,
    });
    here.map(|p| Remark {
        stops: p.weight == Weight::Stops,
        says: p.says(),
        remedy: Remedy::of(&view.job, p),
    })
    .collect()
}

/// Problems of the orientation and of the piece, as sentences.
#[component]
pub(super) fn Remarks() -> impl IntoView {
    let station = Station::here();
    let list = Memo::new(move |_| remarks(station));
    // The key acts on questions, and where there are none on the first remark that can be acted on.
    let keyed = Memo::new(move |_| {
        let free = asked(station).is_empty();
        list.with(|l| l.iter().find(|r| free && r.remedy.is_some()).cloned())
    });
    view! {
        <Show when=move || !list.with(Vec::is_empty)>
            <ul class="bench-remarks" tabindex="0" aria-label="About this orientation">
                <For each=move || list.get() key=|r| r.clone() let:remark>
                    {
                        let (stops, says) = (remark.stops, remark.says.clone());
                        view! { <li class:stops=stops>{says} <Act remark keyed/></li> }
                    }
                </For>
            </ul>
        </Show>
    }
}

/// The button that does what can be done about a remark, where something can.
#[component]
fn Act(remark: Remark, keyed: Memo<Option<Remark>>) -> impl IntoView {
    let station = Station::here();
    remark.remedy.map(|remedy| {
        let is_keyed = move || keyed.with(|k| k.as_ref() == Some(&remark));
        view! {
            " "
            <button type="button" class="button bench-act" on:click=move |_| station.remedy(remedy)>
                {remedy_words(&remedy)}
                {move || is_keyed().then(|| view! { " " <kbd>"A"</kbd> })}
            </button>
        }
    })
}

/// What was corrected on the piece at hand, as the sheet lists it, and the pieces that were removed.
#[component]
pub(super) fn Corrected() -> impl IntoView {
    let station = Station::here();
    let list = Memo::new(move |_| {
        let view = station.desk.view();
        let mut list = corrections(&view.job, view.index);
        list.extend(removed_pieces(&view.job));
        let piece = view.job.pieces.get(view.index);
        list.extend(piece.map(|p| document_changes(&view.job, &p.serial)).unwrap_or_default());
        list
    });
    let count = move || match list.with(Vec::len) {
        1 => "1 entry in the record".to_owned(),
        n => format!("{n} entries in the record"),
    };
    view! {
        <Show when=move || !list.with(Vec::is_empty)>
            <details class="bench-record">
                <summary>{count}</summary>
                <ul>
                    {move || list.get().into_iter().map(|says| view! { <li>{says}</li> }).collect_view()}
                </ul>
            </details>
        </Show>
    }
}
