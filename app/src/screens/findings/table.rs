//! The table: one line for each feature, figures with their decimal points under each other.

use super::at::At;
use super::filter::Filter;
use super::row::{Cell, Room, Row, Rows, Share};
use super::sign::{sign_svg, tone};
use crate::widgets::Window;
use leptos::prelude::*;
use std::sync::Arc;

/// Above this many lines all are equally high, so that a line that reads differently moves no
/// other. (Above 120, only those in sight are made.)
const MANY: usize = 60;
/// Height of a line until one is measured, and of the table's head, in pixels.
const LINE: f64 = 34.0;
const HEAD: f64 = 34.0;

/// Classes and heads of the columns with figures.
const HEADS: [(&str, &str); 9] = [
    ("num wide", "x"),
    ("num wide", "y"),
    ("num", "dx"),
    ("num", "dy"),
    ("num size", "size"),
    ("num", "position"),
    ("num", "bonus"),
    ("num", "allowed"),
    ("num", "margin"),
];

#[component]
pub(super) fn Table(
    at: At,
    rows: Memo<Rows>,
    listed: Memo<Arc<Vec<usize>>>,
    filter: RwSignal<Filter>,
) -> impl IntoView {
    let count = Memo::new(move |_| listed.with(|l| l.len()));
    let window = Window::new(count.into(), LINE);
    let frame = window.scroller;
    let many = Memo::new(move |_| count.get() > MANY);
    // The selected line comes into sight, whoever selected it.
    Effect::new(move || {
        let Some(index) = at.get() else { return };
        let Some(frame) = frame.get() else { return };
        if many.get_untracked() {
            if let Some(at) = listed.with_untracked(|l| l.iter().position(|i| *i == index)) {
                window.reveal(at, HEAD);
            }
        } else if let Ok(Some(line)) = frame.query_selector(&format!("tr[data-feature='{index}']"))
        {
            let gently = web_sys::ScrollIntoViewOptions::new();
            gently.set_block(web_sys::ScrollLogicalPosition::Nearest);
            line.scroll_into_view_with_scroll_into_view_options(&gently);
        }
    });
    // In the arena, where it goes with this component. Held by the rows alone it would outlive them by
    // a moment, since their closures are let go of later, and read what is selected on a screen that is
    // gone.
    let lit = StoredValue::new(Selector::new(move || at.get()));
    let is_lit = move |index: usize| lit.with_value(|lit| lit.selected(&Some(index)));
    let room = Memo::new(move |_| rows.with(Rows::room));
    let spacer = |high: f64| {
        (high > 0.0).then(|| view! {
            <tr class="spacer" aria-hidden="true"><td colspan="12" style:height=format!("{high}px")></td></tr>
        })
    };
    view! {
        <div class="frame" node_ref=frame tabindex="0" role="region" aria-label="Findings by feature"
            on:scroll=move |_| window.scrolled()>
            <table class="lines" class:many=move || many.get()
                style:--places=move || format!("{}ch", room.get().places)
                style:min-width=move || least_width(&room.get())>
                <thead>
                    <tr>
                        <th scope="col" class="feature">"feature"</th>
                        {HEADS.iter().enumerate().map(|(column, (class, words))| view! {
                            <th scope="col" class=*class
                                style:--chars=move || room.get().columns.get(column).copied().unwrap_or(0).to_string()>
                                {*words}
                            </th>
                        }).collect_view()}
                        <th scope="col" class="share">"share used"</th>
                        <th scope="col" class="verdict">"verdict"</th>
                    </tr>
                </thead>
                <tbody>
                    {move || spacer(window.above())}
                    <For
                        each=move || listed.with(|l| l.get(window.rows()).map(<[usize]>::to_vec).unwrap_or_default())
                        key=|index| *index
                        children=move |index| {
                            let row = Memo::new(move |_| rows.with(|r| {
                                let at = r.list.binary_search_by_key(&index, |row| row.index).ok()?;
                                r.list.get(at).cloned()
                            }));
                            view! {
                                <tr data-row="" data-feature=index
                                    class:lit=move || is_lit(index)
                                    aria-current=move || is_lit(index).then_some("true")
                                    on:click=move |_| at.set(index)>
                                    {move || row.get().map(|row| cells(&row))}
                                </tr>
                            }
                        }
                    />
                    {move || spacer(window.below())}
                </tbody>
            </table>
            {move || (listed.with(|l| l.is_empty())).then(|| view! {
                <p class="none">{filter.get().nothing()}</p>
            })}
        </div>
    }
}

/// How wide the table is at least: its figures, and room for the words of a verdict. What is wider than
/// the screen is scrolled to and not cut.
fn least_width(room: &Room) -> String {
    // x and y stand on wide screens only, where there is room enough.
    let shown = HEADS.iter().zip(room.columns).filter(|((class, _), _)| !class.contains("wide"));
    let columns: String =
        shown.map(|(_, chars)| format!(" + max(4.1rem, {chars} * 1.1ch + .7rem)")).collect();
    format!("calc(21.4rem{columns})")
}

fn cells(row: &Row) -> impl IntoView + use<> {
    let figures =
        row.figures().into_iter().zip(HEADS).map(|(cell, (class, _))| figure(class, cell));
    let why = row.reason.clone();
    view! {
        <th scope="row" class="feature"><b>{row.number.clone()}</b>" "<span>{row.kind}</span></th>
        {figures.collect_view()}
        <td class="share">{row.share.map(|share| bar(share, row.verdict))}</td>
        <td class=format!("verdict {}", tone(row.verdict))>
            <span class="words"><i inner_html=sign_svg(row.verdict)></i>{row.verdict.words()}</span>
            {(!why.is_empty()).then(|| view! { <span class="why">{why}</span> })}
        </td>
    }
}

/// A figure in two parts, so that the points of a column stand under each other whatever
/// follows them.
pub(super) fn figure(class: &'static str, cell: &Cell) -> AnyView {
    match cell {
        Cell::Empty => view! { <td class=class></td> }.into_any(),
        Cell::Missing => {
            view! { <td class=format!("{class} missing")>"not measured"</td> }.into_any()
        }
        Cell::Figure(text) => {
            let (whole, rest) = split(text);
            view! { <td class=class>{whole}<span class="places">{rest}</span></td> }.into_any()
        }
    }
}

/// What stands before the decimal point, and the rest.
pub(super) fn split(text: &str) -> (String, String) {
    let at = text.find(['.', ',']).unwrap_or(text.len());
    let (whole, rest) = text.split_at(at);
    (whole.to_owned(), rest.to_owned())
}

fn bar(share: Share, verdict: quarterturn_core::callout::Verdict) -> impl IntoView {
    let Share(thousandths) = share;
    // A little beyond the end says that it is beyond.
    let drawn = thousandths.min(1180);
    let percent = thousandths / 10;
    let words = if percent > 999 { "more than tenfold".to_owned() } else { format!("{percent} %") };
    view! {
        <span class=format!("bar {}", tone(verdict)) title=words.clone()>
            <span class="used" style:width=format!("{}.{}%", drawn / 10, drawn % 10)></span>
        </span>
        <span class="away">{words}</span>
    }
}
