//! What is wrong or doubtful, in sentences, each with the way to where it is mended.

use crate::desk::{Desk, Screen, View};
use leptos::prelude::*;
use quarterturn_core::findings::{Place, Problem, Weight};
use quarterturn_core::show::question;

/// Remarks listed at once; more are counted.
const MOST: usize = 40;

/// One remark and where it leads.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Remark {
    pub(crate) says: String,
    pub(crate) stops: bool,
    pub(crate) screen: Screen,
    pub(crate) orientation: Option<usize>,
    pub(crate) feature: Option<usize>,
}

/// Nothing stops a result before what only warns; questions of readings come between.
pub(crate) fn remarks(view: &View) -> Vec<Remark> {
    let at = |number: u32| view.job.plan.orientations.iter().position(|o| o.number == number);
    let of_problem = |p: &Problem| Remark {
        says: p.says(),
        stops: p.weight == Weight::Stops,
        screen: match p.place {
            Place::Drawing | Place::Feature(_) => Screen::Drawing,
            Place::Orientation(_) | Place::Piece(_) => Screen::Bench,
        },
        orientation: match p.place {
            Place::Orientation(number) => at(number),
            _ => None,
        },
        feature: match p.place {
            Place::Feature(index) => Some(index),
            _ => None,
        },
    };
    let problems =
        || view.problems.iter().chain(view.piece.iter().flat_map(|p| &p.problems)).map(of_problem);
    let questions = view.questions().iter().map(|q| Remark {
        says: question(q, &view.job, &view.planned),
        stops: false,
        screen: Screen::Bench,
        orientation: at(q.orientation),
        feature: Some(q.feature),
    });
    let mut all: Vec<Remark> = problems().filter(|r| r.stops).collect();
    all.extend(questions);
    all.extend(problems().filter(|r| !r.stops));
    all
}

#[component]
pub(super) fn Remarks() -> impl IntoView {
    let desk = Desk::here();
    let list = Memo::new(move |_| remarks(&desk.view()));
    let any = Memo::new(move |_| list.with(|l| !l.is_empty()));
    let one = move |remark: Remark| {
        let Remark { says, stops, screen, orientation, feature } = remark;
        let words = match screen {
            Screen::Drawing => "to the drawing",
            _ => "to the bench",
        };
        let go = move |_| {
            if let Some(index) = orientation {
                desk.orientation.set(index);
            }
            if feature.is_some() {
                desk.selected.set(feature);
            }
            desk.screen.set(screen);
        };
        view! {
            <li class:stops=stops>
                {says}" "<button type="button" class="link" on:click=go>{words}</button>
            </li>
        }
    };
    view! {
        <Show when=move || any.get()>
            <section class="remarks" tabindex="0" aria-label="To look at">
                <h2>"To look at "<span class="count">{move || list.with(Vec::len)}</span></h2>
                <ul>
                    {move || list.get().into_iter().take(MOST).map(one).collect_view()}
                </ul>
                {move || list.with(Vec::len).checked_sub(MOST).filter(|more| *more > 0).map(|more| view! {
                    <p>{format!("and {more} more")}</p>
                })}
            </section>
        </Show>
    }
}
