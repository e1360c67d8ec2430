//! The readings of the orientation at hand, one row for each feature.

use super::line::{Line, Lines};
use super::questions::Questions;
use super::station::Station;
use crate::widgets::Window;
use leptos::prelude::*;
use quarterturn_core::bench::Contact;
use quarterturn_core::job::Taken;

/// About the height of a row and of the table's head, in the browser's pixels; the true height of
/// rows is measured.
const ROW: f64 = 30.0;
const HEAD: f64 = 32.0;

/// The readings.
#[component]
pub(super) fn ReadingsTable() -> impl IntoView {
    let station = Station::here();
    let count = Memo::new(move |_| station.rows.with(|r| r.rows.len()));
    let window = Window::new(count.into(), ROW);
    // By orientation, feature and count of its touches: where these change, a row is made anew.
    let keys = Memo::new(move |_| {
        station.rows.with(|r| {
            window
                .rows()
                .filter_map(|i| {
                    let row = r.rows.get(i)?;
                    Some((i, r.number, row.feature, row.cells.len()))
                })
                .collect::<Vec<_>>()
        })
    });
    let lines = Lines::provide(station);
    let space = |high: f64| {
        (high > 0.0).then(|| {
            view! {
                <tr aria-hidden="true" style:height=format!("{high}px")><td colspan="6"></td></tr>
            }
        })
    };
    // The row at hand stays in view.
    let row_at = Memo::new(move |_| station.rows.with(|r| r.cell(station.at.get()).map(|c| c.row)));
    Effect::new(move |_| {
        window.scroller.track();
        if let Some(row) = row_at.get() {
            window.reveal(row, HEAD);
        }
    });
    let heads = move || match station.rows.with(|r| r.taken_as) {
        Taken::Touches => ["low", "high"],
        Taken::CentreAndSize => ["centre", "size"],
    };
    let computed = move || match station.rows.with(|r| r.taken_as) {
        Taken::Touches => "size",
        Taken::CentreAndSize => "size, judged",
    };

    view! {
        <div
            class="bench-rows"
            role="region"
            aria-label="Readings of this orientation"
            tabindex="0"
            node_ref=window.scroller
            on:scroll=move |_| window.scrolled()
        >
            <table class="figures bench-table">
                <colgroup>
                    <col class="bench-c1"/>
                    <col class="bench-c2"/>
                    <col class="bench-c2"/>
                    <col class="bench-c3"/>
                    <col class="bench-c3"/>
                    <col class="bench-c4"/>
                </colgroup>
                <thead>
                    <tr>
                        <th scope="col">"feature"</th>
                        <th scope="col" class="right">{move || heads()[0]}</th>
                        <th scope="col" class="right">{move || heads()[1]}</th>
                        <th scope="col" class="right">{computed}</th>
                        <th scope="col" class="right">{move || station.rows.with(|r| r.along)}</th>
                        <th scope="col">"so far"</th>
                    </tr>
                </thead>
                <tbody>
                    {move || space(window.above())}
                    <For each=move || keys.get() key=|key| *key let:key>
                        <Line lines index=key.0/>
                    </For>
                    {move || space(window.below())}
                </tbody>
            </table>
        </div>
        <Foot/>
    }
}

/// Under the table: units, how far one is, and the readings that are asked about.
#[component]
fn Foot() -> impl IntoView {
    let station = Station::here();
    let units = move || {
        let (readings, results, zero, along) =
            station.rows.with(|r| (r.units.0, r.units.1, r.zero.clone(), r.along));
        let along = if along.starts_with("along") { "coordinate" } else { along };
        format!(
            "Readings in {} as the gauge shows them, heights {zero}; size and {along} in {}.",
            readings.word(),
            results.word()
        )
    };
    let progress = move || {
        let view = station.desk.view();
        station.rows.with(|r| {
            let count = r.cells.len();
            let at = station.at.get();
            let next = match r.empty_from(at + 1).filter(|next| *next != at) {
                Some(next) => {
                    let how = r
                        .cell(next)
                        .filter(|c| c.contact != Contact::Centre)
                        .map_or_else(String::new, |c| format!(", {}", c.contact.words()));
                    format!("; then {}{how}", r.touch_name(&view, next))
                }
                None => String::new(),
            };
            format!("Grey figures are expected. {} of {count} readings taken in this orientation{next}.", r.taken)
        })
    };
    let unseen = move || {
        station.rows.with(|r| {
            (r.unseen > 0).then(|| match r.taken_as {
                Taken::Touches => format!(
                    "{} centres and sizes were taken before this orientation's readings became touches; they are kept and take no part.",
                    r.unseen
                ),
                Taken::CentreAndSize => format!(
                    "{} lowest and highest points were taken before this orientation's readings became centres and sizes; they are kept and take no part.",
                    r.unseen
                ),
            })
        })
    };
    let idle = move || {
        let n = station.rows.with(|r| r.idle);
        (n > 0).then(|| {
            format!("{n} readings are kept of features that this set-up does not touch; they take no part.")
        })
    };
    view! {
        <div class="bench-foot">
            <p>{progress} " " {units}</p>
            <p>{unseen} " " {idle}</p>
            <Questions/>
        </div>
    }
}
