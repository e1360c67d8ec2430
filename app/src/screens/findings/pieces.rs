//! The strip of pieces: all pieces of the job, each with the sign of its verdict, where there is more than
//! one.

use super::sign::{sign_svg, tone};
use crate::desk::Desk;
use crate::widgets::NextFrame;
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::callout::Verdict;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::Job;
use quarterturn_core::show::Lot;
use std::sync::Arc;
use wasm_bindgen::JsCast;

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

/// The strip. It is one stop for the Tab key; the arrow keys lead from piece to piece.
#[component]
pub(super) fn Pieces() -> impl IntoView {
    let desk = Desk::here();
    let verdicts = Memo::new(move |before: Option<&Verdicts>| Verdicts::of(desk.job(), before));
    let several = Memo::new(move |_| verdicts.with(|v| v.list.len() > 1));
    let count = Memo::new(move |_| verdicts.with(|v| v.list.len()));
    let names =
        Memo::new(move |_| verdicts.with(|v| short_names(v.list.iter().map(|(s, _)| s.as_str()))));
    let says = Memo::new(move |_| {
        verdicts.with(|v| {
            Lot::of(&v.job, v.list.iter().map(|(s, verdict)| (s.as_str(), *verdict))).headline()
        })
    });
    let list: NodeRef<html::Ul> = NodeRef::new();
    let next_frame = NextFrame::new();
    let keyed = move |event: web_sys::KeyboardEvent| {
        let (at, last) = (desk.piece.get_untracked(), count.get_untracked().saturating_sub(1));
        let to = match event.key().as_str() {
            "ArrowLeft" | "ArrowUp" => at.saturating_sub(1),
            "ArrowRight" | "ArrowDown" => (at + 1).min(last),
            "Home" => 0,
            "End" => last,
            _ => return,
        };
        event.prevent_default();
        event.stop_propagation();
        desk.piece.set(to);
        next_frame.call(move || {
            let current = list
                .get_untracked()
                .and_then(|l| l.query_selector("[aria-current]").ok().flatten())
                .and_then(|b| b.dyn_into::<web_sys::HtmlElement>().ok());
            if let Some(button) = current {
                let _focused = button.focus();
            }
        });
    };
    let one = move |index: usize| {
        let piece = Memo::new(move |_| verdicts.with(|v| v.list.get(index).cloned()));
        let short = Memo::new(move |_| names.with(|n| n.get(index).cloned().unwrap_or_default()));
        let current = move || desk.piece.get() == index;
        let whole = move || {
            piece.get().map(|(serial, verdict)| format!("Piece {serial}: {}", verdict.words()))
        };
        view! {
            <li>
                <button type="button" title=whole aria-label=whole
                    tabindex=move || if current() { "0" } else { "-1" }
                    aria-current=move || current().then_some("true")
                    on:click=move |_| desk.piece.set(index)>
                    {move || piece.get().map(|(_, verdict)| view! {
                        <i inner_html=sign_svg(verdict)></i>
                        <span class=tone(verdict)>{short.get()}</span>
                    })}
                </button>
            </li>
        }
    };
    view! {
        <Show when=move || several.get()>
            <nav class="pieces" aria-label="Pieces">
                <p>{says}</p>
                <ul node_ref=list on:keydown=keyed>
                    <For each=move || 0..count.get() key=|i| *i children=one/>
                </ul>
            </nav>
        </Show>
    }
}

/// Serial numbers up to so many characters are written in full.
const SHORT: usize = 5;
/// So much of a longer one is written at least.
const LEAST: usize = 3;

/// The serial numbers as they stand in the strip: of long ones what tells them apart, behind a mark for
/// what they have in common.
fn short_names<'a>(serials: impl Iterator<Item = &'a str> + Clone) -> Vec<String> {
    let letters = |serial: &str| serial.chars().collect::<Vec<char>>();
    let Some(first) = serials.clone().next().map(letters) else { return Vec::new() };
    let common = serials.clone().fold(first.len(), |common, serial| {
        first.iter().zip(serial.chars()).take(common).take_while(|(a, b)| **a == *b).count()
    });
    let name = |serial: &str| {
        let all = letters(serial);
        let cut = common.min(all.len().saturating_sub(LEAST));
        if all.len() <= SHORT || cut == 0 {
            return serial.to_owned();
        }
        format!("…{}", all.into_iter().skip(cut).collect::<String>())
    };
    serials.map(name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_serial_numbers_are_cut_where_they_are_alike() {
        let short = |serials: &[&str]| short_names(serials.iter().copied());
        assert_eq!(short(&["0001", "0012"]), ["0001", "0012"]);
        assert_eq!(short(&["LOT-7-0001", "LOT-7-0012"]), ["…001", "…012"]);
        assert_eq!(short(&["LOT-7-01", "LOT-8-12"]), ["…7-01", "…8-12"]);
        assert_eq!(short(&["alpha-1", "beta-22"]), ["alpha-1", "beta-22"]);
        assert_eq!(short(&["same-one", "same-one"]), ["…one", "…one"]);
        assert_eq!(short(&["", "a", "Łódź-Łódź"]), ["", "a", "Łódź-Łódź"]);
        assert_eq!(short(&[]), Vec::<String>::new());
    }
}
