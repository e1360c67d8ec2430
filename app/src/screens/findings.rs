//! The Findings screen: what was found of the piece at hand, feature by feature, as a table, as
//! a picture, and as the sum that led to each verdict.

mod at;
mod cause;
mod detail;
mod filter;
mod keys;
mod layer;
mod pattern;
mod picture;
mod pieces;
mod remarks;
mod row;
mod sign;
mod table;

use crate::desk::{Desk, Screen};
use at::At;
use cause::CauseOf;
use detail::{DetailOf, Shown};
use filter::{Filter, Filters};
use leptos::prelude::*;
use picture::Picture;
use pieces::Pieces;
use quarterturn_core::callout::Verdict;
use quarterturn_core::job::DecisionRule;
use quarterturn_core::quantity::Unit;
use quarterturn_core::show::headline;
use remarks::Remarks;
pub(crate) use remarks::{Remark, remarks};
use row::Rows;
pub(crate) use sign::sign_svg;
use sign::tone;
use std::sync::Arc;
use table::Table;

/// The Findings screen.
#[component]
pub(crate) fn Findings() -> impl IntoView {
    let desk = Desk::here();
    let at = At::new(desk);
    let rows = Memo::new(move |before: Option<&Rows>| Rows::of(desk.view(), before));
    let filter = RwSignal::new(Filter::All);
    let listed = Memo::new(move |_| {
        let filter = filter.get();
        let lets = |r: &&Arc<row::Row>| filter.lets(r.verdict);
        Arc::new(rows.with(|r| r.list.iter().filter(lets).map(|row| row.index).collect::<Vec<_>>()))
    });
    let shown = RwSignal::new(Shown::Sum);
    keys::listen(desk, at, listed, filter, shown);
    // Something is always selected, so that the sum and the zone have something to show.
    Effect::new(move || {
        let first = listed.with(|l| l.first().copied());
        if let Some(first) = first.filter(|_| at.get_untracked().is_none()) {
            at.set(first);
        }
    });
    // A pattern has a picture of its own, and a diagnosis needs the room.
    let alone = Memo::new(move |_| match shown.get() {
        Shown::Cause => true,
        Shown::Pattern(nth) => {
            let patterns = |i| desk.view().piece.as_ref().map_or(0, |p| p.patterns_of(i).len());
            desk.selected.get().is_some_and(|i| nth < patterns(i))
        }
        Shown::Sum | Shown::Budget => false,
    });
    let asks = Memo::new(move |_| rows.with(|r| !r.list.is_empty()));
    let read = Memo::new(move |_| {
        let view = desk.view();
        view.job.pieces.get(view.index).is_some_and(quarterturn_core::job::Piece::is_read)
    });
    view! {
        <div class="findings">
            <section class="list" aria-label="Findings">
                <Head/>
                <Pieces/>
                <Show when=move || asks.get() fallback=move || view! { <NothingYet desk/> }>
                    <Show when=move || !read.get()>
                        <p class="hint">
                            "No readings yet of this piece. "
                            <button type="button" class="link" on:click=move |_| desk.screen.set(Screen::Bench)>
                                "Take them at the bench"
                            </button>
                        </p>
                    </Show>
                    <Filters rows filter/>
                    <Table at rows listed filter/>
                </Show>
                <Remarks/>
                <Foot/>
            </section>
            <section class="sight" class:alone=move || alone.get() aria-label="Picture and sum">
                <Picture/>
                <Show when=move || shown.get() == Shown::Cause
                    fallback=move || view! { <DetailOf at shown/> }>
                    <CauseOf/>
                </Show>
            </section>
        </div>
    }
}

/// The piece, how many of its features conform, and its verdict.
#[component]
fn Head() -> impl IntoView {
    let desk = Desk::here();
    let said = Memo::new(move |_| {
        let view = desk.view();
        view.piece.as_ref().map(|p| (headline(p), p.verdict))
    });
    view! {
        <header class="finding-head">
            <h1>{move || said.get().map_or_else(|| "No piece yet".to_owned(), |(words, _)| words)}</h1>
            {move || said.get().filter(|(_, v)| *v != Verdict::NothingAsked).map(|(_, verdict)| view! {
                <p class=format!("whole {}", tone(verdict))>
                    <i inner_html=sign_svg(verdict)></i>{whole(verdict)}
                </p>
            })}
        </header>
    }
}

/// The verdict over the whole piece, in words.
const fn whole(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Conforms => "the piece conforms",
        Verdict::DoesNotConform => "the piece does not conform",
        Verdict::NotMeasured => "the piece is not fully measured",
        Verdict::NotProven => "of the piece nothing is proven either way",
        Verdict::CannotBeJudged => "the piece cannot be judged in full",
        Verdict::NothingAsked => "",
    }
}

/// What to do where there is nothing to find yet.
#[component]
fn NothingYet(desk: Desk) -> impl IntoView {
    let no_piece = move || desk.view().piece.is_none();
    view! {
        <Show when=no_piece>
            <p class="hint">"The job has no piece: add one with + in the header."</p>
        </Show>
        <p class="hint" hidden=no_piece>
            "Nothing is asked for yet: findings appear as soon as the drawing has features. "
            <button type="button" class="link" on:click=move |_| desk.screen.set(Screen::Drawing)>
                "Enter them on the drawing"
            </button>
        </p>
    }
}

/// Units and rules of the table, and what a verdict does not decide.
#[component]
fn Foot() -> impl IntoView {
    let desk = Desk::here();
    let unit = Memo::new(move |_| match desk.job().drawing.unit {
        Unit::Inch => "inches",
        Unit::Mm => "millimetres",
    });
    let rule = Memo::new(move |_| match desk.job().plan.decision_rule {
        DecisionRule::SimpleAcceptance => "simple acceptance",
        DecisionRule::GuardedAcceptance { .. } => "guarded acceptance",
    });
    view! {
        <footer class="finding-foot">
            <p>
                "Deviations in "{unit}", measured minus drawing. Position is a diameter: twice the \
                 radius; of a slot or tab, twice the distance across. Decided on unrounded values, "
                {rule}"."
            </p>
            <p>
                "The verdicts follow from what was entered. The drawing, the edition of its \
                 standard, the order and the responsible quality authority decide; safety-critical \
                 parts are released only by authorised personnel."
            </p>
        </footer>
    }
}
