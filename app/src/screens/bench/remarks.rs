//! What is wrong or doubtful in the orientation at hand, and what was corrected on the piece.

use super::questions::{asked, remedies};
use super::station::Station;
use leptos::prelude::*;
use quarterturn_core::findings::{Place, Weight};
use quarterturn_core::show::{corrections, document_changes, remedy_words, removed_pieces};

/// Problems of the orientation and of the piece, as sentences.
#[component]
pub(super) fn Remarks() -> impl IntoView {
    let station = Station::here();
    let remarks = Memo::new(move |_| {
        let view = station.desk.view();
        let number = station.rows.with(|r| r.number);
        let of_piece = view.piece.iter().flat_map(|p| &p.problems);
        view.problems
            .iter()
            .chain(of_piece)
            .filter(|p| match p.place {
                Place::Orientation(n) => n == number,
                Place::Piece(index) => index == view.index,
                Place::Drawing | Place::Feature(_) => false,
            })
            .map(|p| (p.weight == Weight::Stops, p.says()))
            .collect::<Vec<_>>()
    });
    // The key acts on questions first.
    let acts = Memo::new(move |_| (asked(station).is_empty(), remedies(station)));
    view! {
        <Show when=move || !remarks.with(Vec::is_empty)>
            <ul class="bench-remarks" tabindex="0" aria-label="About this orientation">
                <For each=move || remarks.get() key=|r| r.clone() let:remark>
                    <li class:stops=remark.0>
                        {remark.1.clone()}
                        {move || {
                            let (free, list) = acts.get();
                            let at = list.iter().position(|(says, _)| *says == remark.1)?;
                            let remedy = list.get(at)?.1;
                            Some(view! {
                                " "
                                <button type="button" class="button bench-act" on:click=move |_| station.remedy(remedy)>
                                    {remedy_words(&remedy)}
                                    {(free && at == 0).then(|| view! { " " <kbd>"A"</kbd> })}
                                </button>
                            })
                        }}
                    </li>
                </For>
            </ul>
        </Show>
    }
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
