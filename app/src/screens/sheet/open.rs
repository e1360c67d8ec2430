//! What is still open when a document is wanted: said before it is made, and never in its way.

use super::choice::Shown;
use crate::desk::{Desk, Screen, View};
use crate::screens::findings::{Remark, remarks};
use crate::widgets::NextFrame;
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::Job;
use std::sync::Arc;

/// So many are listed; the rest is counted.
const MOST: usize = 60;

/// Something open, and the piece that it is of.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Open {
    remark: Remark,
    piece: Option<usize>,
}

/// What is open in the sheets that are shown: in drawing and plan, then piece by piece.
pub(super) fn open(job: &Arc<Job>, shown: Shown, piece: usize) -> Vec<Open> {
    let mut of_job = View::of(job, piece);
    of_job.piece = None;
    let common = remarks(&of_job);
    let pieces = match shown {
        Shown::Piece => piece..piece + 1,
        Shown::EveryPiece => 0..job.pieces.len(),
        Shown::Blank => 0..0,
    };
    let of_pieces = pieces.flat_map(|index| {
        let view = View::of(job, index);
        let mut own: Vec<Remark> =
            remarks(&view).into_iter().filter(|r| !common.contains(r)).collect();
        own.extend(not_measured(&view));
        let serial = view.piece.map(|p| p.serial).unwrap_or_default();
        own.into_iter().map(move |remark| {
            let says = match shown {
                Shown::EveryPiece => format!("Piece {serial}: {}", remark.says),
                Shown::Piece | Shown::Blank => remark.says,
            };
            Open { remark: Remark { says, ..remark }, piece: Some(index) }
        })
    });
    let of_pieces: Vec<Open> = of_pieces.collect();
    let common = common.into_iter().map(|remark| Open { remark, piece: None });
    common.chain(of_pieces).collect()
}

/// How much of a piece is not measured.
fn not_measured(view: &View) -> Option<Remark> {
    let tally = view.piece.as_ref()?.tally;
    let says = match tally.missing {
        0 => return None,
        1 => format!("One of {} features and lines is not fully measured.", tally.asked),
        n => format!("{n} of {} features and lines are not fully measured.", tally.asked),
    };
    let screen = Screen::Bench;
    Some(Remark { says, stops: true, screen, orientation: None, feature: None })
}

/// The list with what can be done, where there is one.
#[component]
pub(super) fn OpenPoints(
    /// What is open; `None` while nobody asked.
    list: RwSignal<Option<Vec<Open>>>,
    /// Makes the document all the same.
    go_on: Callback<()>,
) -> impl IntoView {
    let desk = Desk::here();
    let all_the_same: NodeRef<html::Button> = NodeRef::new();
    let next_frame = NextFrame::new();
    Effect::new(move |_| {
        if list.with(Option::is_some) {
            next_frame.call(move || {
                if let Some(button) = all_the_same.get_untracked() {
                    let _focused = button.focus();
                }
            });
        }
    });
    let leads = move |of: Open| {
        let Open { remark, piece } = of;
        let words = match remark.screen {
            Screen::Drawing => "to the drawing",
            _ => "to the bench",
        };
        let go = move |_| {
            if let Some(index) = piece {
                desk.piece.set(index);
            }
            if let Some(index) = remark.orientation {
                desk.orientation.set(index);
            }
            if remark.feature.is_some() {
                desk.selected.set(remark.feature);
            }
            desk.screen.set(remark.screen);
        };
        view! {
            <li class:stops=remark.stops>
                {remark.says}" "<button type="button" class="link" on:click=go>{words}</button>
            </li>
        }
    };
    let keyed = move |event: web_sys::KeyboardEvent| {
        if event.key() == "Escape" {
            event.prevent_default();
            event.stop_propagation();
            list.set(None);
        }
    };
    view! {
        {move || list.get().map(|points| {
            let count = points.len();
            let heading = if count == 1 {
                "One point is open".to_owned()
            } else {
                format!("{count} points are open")
            };
            let more = count.saturating_sub(MOST);
            view! {
                <section class="open-points" id="open-points" aria-labelledby="open-points-head" on:keydown=keyed>
                    <h2 id="open-points-head">{heading}</h2>
                    <div class="acts">
                        <button type="button" class="button main" node_ref=all_the_same on:click=move |_| go_on.run(())>
                            "Download all the same"
                        </button>
                        <button type="button" class="button" on:click=move |_| list.set(None)>"Not yet"</button>
                    </div>
                    <ul tabindex="0" role="list" aria-label="Open points">
                        {points.into_iter().take(MOST).map(leads).collect_view()}
                        {(more > 0).then(|| view! { <li>{format!("and {more} more")}</li> })}
                    </ul>
                </section>
            }
        })}
    }
}
