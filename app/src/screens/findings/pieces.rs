//! The pieces of the job, each with its verdict, where there is more than one.

use super::sign::{sign_svg, tone};
use crate::desk::Desk;
use leptos::prelude::*;
use quarterturn_core::callout::Verdict;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::Job;
use std::sync::Arc;

/// The verdicts of all pieces, with the job they were made from.
#[derive(Clone)]
struct Verdicts {
    job: Arc<Job>,
    list: Vec<(String, Verdict)>,
}

impl PartialEq for Verdicts {
    fn eq(&self, other: &Self) -> bool {
        self.list == other.list
    }
}

impl Verdicts {
    /// Of every piece; those that are as they were under the same drawing and plan are taken
    /// over, so that an edit costs one piece and not the lot.
    fn of(job: Arc<Job>, before: Option<&Self>) -> Self {
        if job.pieces.len() < 2 {
            return Self { job, list: Vec::new() };
        }
        let before = before.filter(|b| b.job.drawing == job.drawing && b.job.plan == job.plan);
        let kept = |i: usize| {
            let b = before?;
            (b.job.pieces.get(i)? == job.pieces.get(i)?).then(|| b.list.get(i).cloned()).flatten()
        };
        let mut ready = None;
        let mut list = Vec::with_capacity(job.pieces.len());
        for (i, piece) in job.pieces.iter().enumerate() {
            list.push(kept(i).unwrap_or_else(|| {
                let ready = ready.get_or_insert_with(|| Ready::of(&job));
                let verdict = ready.piece(i).map_or(Verdict::NothingAsked, |p| p.verdict);
                (piece.serial.clone(), verdict)
            }));
        }
        drop(ready);
        Self { job, list }
    }
}

#[component]
pub(super) fn Pieces() -> impl IntoView {
    let desk = Desk::here();
    let verdicts = Memo::new(move |before: Option<&Verdicts>| Verdicts::of(desk.job(), before));
    let several = Memo::new(move |_| verdicts.with(|v| v.list.len() > 1));
    let count = Memo::new(move |_| verdicts.with(|v| v.list.len()));
    let one = move |index: usize| {
        let piece = Memo::new(move |_| verdicts.with(|v| v.list.get(index).cloned()));
        let current = move || desk.piece.get() == index;
        view! {
            <li>
                <button type="button" aria-current=move || current().then_some("true")
                    on:click=move |_| desk.piece.set(index)>
                    {move || piece.get().map(|(serial, verdict)| view! {
                        <i inner_html=sign_svg(verdict)></i>
                        <span class=tone(verdict)>{serial}</span>
                        <span class="away">{format!(" {}", verdict.words())}</span>
                    })}
                </button>
            </li>
        }
    };
    view! {
        <Show when=move || several.get()>
            <nav class="pieces" aria-label="Pieces">
                <ul>
                    <For each=move || 0..count.get() key=|i| *i children=one/>
                </ul>
            </nav>
        </Show>
    }
}
