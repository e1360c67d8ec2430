//! One feature's row of the table.
//!
//! A row does not follow the whole table: with many rows, each of them asking at every reading
//! whether it is meant would cost more than the reading. [`Lines`] follows the table once and
//! tells the rows that change.

use super::rows::{Cell, Row};
use super::station::Station;
use crate::screens::findings::sign_svg;
use leptos::prelude::*;
use std::collections::HashMap;
use std::sync::Arc;

/// What a row shows.
#[derive(Clone, Copy)]
struct Now {
    row: RwSignal<Arc<Row>>,
    /// Which of its touches is at hand, if any.
    here: RwSignal<Option<usize>>,
}

/// The rows that are made, by their index.
#[derive(Clone, Copy)]
pub(super) struct Lines(StoredValue<HashMap<usize, Now>>);

impl Lines {
    /// Follows the table of `station` on behalf of all rows.
    pub(super) fn provide(station: Station) -> Self {
        let lines = Self(StoredValue::new(HashMap::new()));
        Effect::new(move |_| {
            station.rows.with(|rows| {
                lines.each(|index, now| {
                    if let Some(row) = rows.rows.get(index)
                        && now.row.with_untracked(|was| was != row)
                    {
                        now.row.set(Arc::clone(row));
                    }
                });
            });
        });
        // The rows that a step leads from and to.
        Effect::new(move |was: Option<Option<usize>>| {
            let at = station.at.get();
            let row = station.rows.with(|r| r.cell(at).map(|c| c.row));
            for index in [was.flatten(), row].into_iter().flatten() {
                if let Some(now) = lines.0.with_value(|l| l.get(&index).copied()) {
                    now.find(at);
                }
            }
            row
        });
        lines
    }

    fn each(self, tell: impl Fn(usize, Now)) {
        // Told outside the map, since a row that is told may look at it.
        let all: Vec<(usize, Now)> =
            self.0.with_value(|l| l.iter().map(|(index, now)| (*index, *now)).collect());
        for (index, now) in all {
            tell(index, now);
        }
    }
}

impl Now {
    /// Looks whether the touch at hand is one of this row.
    fn find(self, at: usize) {
        let found = self
            .row
            .with_untracked(|row| at.checked_sub(row.first).filter(|i| *i < row.cells.len()));
        if self.here.get_untracked() != found {
            self.here.set(found);
        }
    }
}

/// One feature's row.
#[component]
pub(super) fn Line(lines: Lines, index: usize) -> impl IntoView {
    let station = Station::here();
    let row = station.rows.with_untracked(|r| r.rows.get(index).cloned())?;
    let touches = row.cells.len();
    let now = Now { row: RwSignal::new(row), here: RwSignal::new(None) };
    now.find(station.at.get_untracked());
    lines.0.update_value(|l| {
        l.insert(index, now);
    });
    on_cleanup(move || {
        lines.0.try_update_value(|l| {
            // Another row may have taken the place already.
            if l.get(&index).is_some_and(|there| there.row == now.row) {
                l.remove(&index);
            }
        });
    });
    let with = move |read: fn(&Row) -> String| {
        let text = Memo::new(move |_| now.row.with(|r| read(r)));
        move || text.get()
    };
    let so_far = Memo::new(move |_| now.row.with(|r| r.so_far));
    Some(view! {
        <tr data-row="" class:lit=move || now.here.get().is_some()>
            <th scope="row">
                <b>{with(|r| r.label.clone())}</b>
                " "
                <span class="kind">{with(|r| r.kind.to_owned())}</span>
                <small class="bench-from">
                    {with(|r| r.from.as_ref().map_or_else(String::new, |f| format!(" from {f}")))}
                </small>
            </th>
            {(0..touches)
                .map(|place| {
                    let wide = if touches == 1 { "2" } else { "1" };
                    view! { <ReadingCell now place wide/> }
                })
                .collect_view()}
            <td class="right fig">{with(|r| r.size.clone())}</td>
            <td class="right fig">{with(|r| r.at.clone())}</td>
            <td class="bench-sofar">{move || so_far.get().map(|so_far| view! {
                <span class="bench-sign" inner_html=sign_svg(so_far.verdict())></span>
                <span class="words">{so_far.words()}</span>
            })}</td>
        </tr>
    })
}

/// One touch's cell.
#[component]
fn ReadingCell(now: Now, place: usize, wide: &'static str) -> impl IntoView {
    let station = Station::here();
    let cell = Memo::new(move |_| now.row.with(|r| r.cells.get(place).cloned()));
    let is =
        move |test: fn(&Cell) -> bool| move || cell.with(|c| c.as_ref().is_some_and(|c| test(c)));
    let here = move || now.here.get() == Some(place);
    let repeats = move || {
        cell.with(|c| {
            c.as_ref().map(|c| c.values.len()).filter(|n| *n > 1).map(|n| format!("×{n}"))
        })
    };
    let go = move |_| station.go_to(now.row.with_untracked(|r| r.first) + place);
    view! {
        <td
            class="right fig bench-cell"
            colspan=wide
            class:here=here
            class:expected=is(|c| !c.is_taken())
            class:asked=is(|c| c.asked)
            aria-current=move || here().then_some("true")
            on:click=go
        >
            {move || cell.with(|c| {
                let c = c.as_ref()?;
                Some(match (c.is_taken(), c.asked) {
                    (false, _) => view! { <span class="away">"expected "</span> }.into_any(),
                    (true, true) => view! {
                        <span class="bench-mark" title="This reading is asked about">"?"</span>
                    }.into_any(),
                    (true, false) => ().into_any(),
                })
            })}
            {move || cell.with(|c| c.as_ref().map(|c| c.text.clone()))}
            <small>{repeats}</small>
        </td>
    }
}
