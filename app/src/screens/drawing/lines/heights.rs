//! The heights of a face or an edge of the piece at hand, for a relation that takes any: pasted, a
//! row for each place.

use crate::desk::Desk;
use crate::widgets::Choice;
use leptos::prelude::*;
use quarterturn_core::entry;
use quarterturn_core::job::Grid;
use quarterturn_core::quantity::Unit;
use quarterturn_core::relation::HeightsOver;
use quarterturn_core::show::grid_text;

/// The field under a relation that takes heights.
#[component]
pub(super) fn Heights(
    /// Number of the relation.
    relation: Memo<String>,
    /// Over what they are taken.
    over: HeightsOver,
) -> impl IntoView {
    let desk = Desk::here();
    let piece = Memo::new(move |_| {
        let view = desk.view();
        view.job.pieces.get(view.index).map(|p| p.serial.clone())
    });
    let instrument = Memo::new(move |_| {
        let view = desk.view();
        let piece = view.job.pieces.get(view.index);
        piece.and_then(|p| p.grid(&relation.get())).map_or(0, |g| g.instrument)
    });
    let unit = Memo::new(move |_| {
        let job = desk.job();
        job.plan.instruments.get(instrument.get()).map_or(job.drawing.unit, |i| i.unit)
    });
    let value = Memo::new(move |_| {
        let view = desk.view();
        let grid = view.job.pieces.get(view.index).and_then(|p| p.grid(&relation.get()));
        grid.map_or_else(String::new, |g| grid_text(&g.points, unit.get(), over))
    });
    let typed = RwSignal::new(value.get_untracked());
    let why: RwSignal<Option<String>> = RwSignal::new(None);
    Effect::new(move |_| {
        typed.set(value.get());
        why.set(None);
    });
    let put = move |instrument: usize, points| {
        let index = desk.view_untracked().index;
        let relation = relation.get_untracked();
        desk.change(format!("heights of line {relation}"), |job| {
            if let Some(piece) = job.pieces.get_mut(index) {
                piece.set_grid(Grid { relation, instrument, points });
            }
        });
    };
    let commit = move || {
        // A field may be left by being taken away.
        let Some(text) = typed.try_get_untracked() else { return };
        if text == value.get_untracked() {
            why.set(None);
            return;
        }
        match entry::grid(&text, unit.get_untracked(), over) {
            Ok(points) => {
                why.set(None);
                put(instrument.get_untracked(), points);
                typed.set(value.get_untracked());
            }
            Err(e) => why.set(Some(e.to_string())),
        }
    };
    let instruments = Signal::derive(move || {
        let all = desk.job();
        let named = all.plan.instruments.iter().enumerate();
        named.map(|(i, one)| (i.to_string(), format!("{} {}", i + 1, one.called()))).collect()
    });
    let several = Memo::new(move |_| desk.job().plan.instruments.len() > 1);
    let chosen = Signal::derive(move || instrument.get().to_string());
    let choose = Callback::new(move |index: String| {
        let view = desk.view_untracked();
        let grid = view.job.pieces.get(view.index).and_then(|p| p.grid(&relation.get_untracked()));
        if let (Ok(index), Some(grid)) = (index.parse(), grid) {
            put(index, grid.points.clone());
        }
    });
    let id = move || format!("heights-{}", relation.get());
    let why_id = move || format!("heights-{}-why", relation.get());
    view! {
        <Show when=move || piece.get().is_some()>
            <div class="field heights">
                <label for=id>
                    {move || format!(
                        "heights of piece {}, {}: {} and height in a row",
                        piece.get().unwrap_or_default(),
                        match unit.get() { Unit::Mm => "mm", Unit::Inch => "inch" },
                        match over {
                            HeightsOver::Face => "x, y",
                            HeightsOver::Edge => "place along the edge",
                        },
                    )}
                </label>
                <textarea id=id class="box fig" rows="4" spellcheck="false"
                    prop:value=move || typed.get()
                    data-editing=move || (typed.get() != value.get()).then_some("")
                    aria-invalid=move || why.get().map(|_| "true")
                    aria-describedby=move || why.get().map(|_| why_id())
                    on:input=move |event| typed.set(event_target_value(&event))
                    on:blur=move |_| commit()></textarea>
                {move || why.get().map(|says| view! { <p class="why" id=why_id>{says}</p> })}
                <Show when=move || several.get() && !value.with(String::is_empty)>
                    <Choice label="taken with" choices=instruments value=chosen take=choose/>
                </Show>
            </div>
        </Show>
    }
}
