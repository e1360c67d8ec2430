//! What is missing or contradictory, each a button that goes where it can be mended.

use super::grid::{Column, Grid};
use crate::desk::{Desk, Screen};
use leptos::prelude::*;
use quarterturn_core::findings::{Place, Problem, Weight};
use quarterturn_core::job::{Feature, Kind};

/// So many are listed; the rest is counted.
const MOST: usize = 30;

/// The cell of `feature` that something is wrong with.
fn cell(feature: &Feature) -> Option<Column> {
    if let Some(refused) = feature.not_understood.first() {
        return Some(Column::of(refused.field));
    }
    if feature.number.is_empty() {
        return Some(Column::Number);
    }
    let slot = matches!(feature.kind, Kind::Slot | Kind::Tab);
    if (slot && feature.across.is_none()) || (feature.kind == Kind::Face && feature.looks.is_none())
    {
        return Some(Column::Direction);
    }
    let missing =
        |column: Column, there: bool| (!there && column.applies(feature)).then_some(column);
    missing(Column::X, feature.x.is_some()).or_else(|| missing(Column::Y, feature.y.is_some()))
}

/// The list under the picture.
#[component]
pub(super) fn Problems(grid: Grid) -> impl IntoView {
    let desk = Desk::here();
    let problems = Memo::new(move |_| desk.view().problems.clone());
    let go = move |place: &Place| match place {
        Place::Feature(index) => {
            let column = desk.job_untracked().drawing.features.get(*index).and_then(cell);
            grid.go(*index, column);
        }
        Place::Orientation(number) => {
            let at =
                desk.job_untracked().plan.orientations.iter().position(|o| o.number == *number);
            if let Some(at) = at {
                desk.orientation.set(at);
            }
            desk.screen.set(Screen::Bench);
        }
        Place::Piece(_) => desk.screen.set(Screen::Bench),
        Place::Drawing => grid.focus(),
    };
    let line = move |problem: Problem| {
        let says = problem.says();
        let Problem { weight, place, .. } = problem;
        let sign = if weight == Weight::Stops { "!" } else { "?" };
        let meant = if weight == Weight::Stops { "Stops a result: " } else { "To be looked at: " };
        view! {
            <li class:stops=weight == Weight::Stops>
                <span class="sign" aria-hidden="true">{sign}</span>
                <button type="button" class="link" on:click=move |_| go(&place)><span class="away">{meant}</span>{says}</button>
            </li>
        }
    };
    view! {
        <div class="problems" role="region" aria-label="Problems of the drawing and the plan" tabindex="0">
            {move || {
                let list = problems.get();
                if list.is_empty() {
                    let features = desk.job().drawing.features.iter().filter(|f| f.kind.is_sized()).count();
                    let says = if features == 0 {
                        "Type the first feature into the empty row of the table, or paste a table from a spreadsheet there."
                    } else {
                        "Nothing is missing on the drawing. Next: the Bench."
                    };
                    return view! { <p class="none">{says}</p> }.into_any();
                }
                let more = list.len().saturating_sub(MOST);
                view! {
                    <ul>{list.into_iter().take(MOST).map(line).collect_view()}</ul>
                    {(more > 0).then(|| view! { <p class="none">{format!("and {more} more")}</p> })}
                }.into_any()
            }}
        </div>
    }
}
