//! What to do next, in large type.

use super::rows::{Cell, Rows, mean};
use super::station::Station;
use leptos::prelude::*;
use quarterturn_core::bench::{Contact, VirtualLimit};
use quarterturn_core::job::Touch;
use quarterturn_core::quantity::Length;
use quarterturn_core::show::capital;

/// What to do next.
#[component]
pub(super) fn Head() -> impl IntoView {
    let station = Station::here();
    let cell = Memo::new(move |_| {
        let at = station.at.get();
        station.rows.with(|r| r.cell(at).cloned())
    });
    let title = move || {
        let view = station.desk.view();
        let name = station.rows.with(|r| r.touch_name(&view, station.at.get()));
        if name.is_empty() {
            "Nothing to touch in this orientation".to_owned()
        } else {
            capital(&name)
        }
    };
    let how = move || cell.get().map_or_else(|| nothing(station), |c| how(&c));
    let expected = move || station.rows.with(|r| cell.get().and_then(|c| expected(&c, r)));
    let zero = move || {
        cell.get().filter(|c| c.touch != Touch::Size && c.expected.is_some()).map(|c| {
            match c.zero {
                Some(own) => format!(" {own}"),
                None => station.rows.with(|r| format!(" {}", r.zero)),
            }
        })
    };
    let further = move || {
        let cell = cell.get()?;
        station.rows.with(|rows| {
            repeats(&cell, rows, station.again.get()).or_else(|| {
                // The limit counts from the zero of the orientation.
                if cell.zero.is_some() {
                    return None;
                }
                let view = station.desk.view();
                let limit = view.planned.get(rows.index)?.expected.get(station.at.get())?.limit?;
                Some(limit_words(limit, rows))
            })
        })
    };
    view! {
        <div class="bench-head">
            <h2 id="bench-next">{title}</h2>
            <p id="bench-how" class="bench-how">
                {how}
                {move || expected().map(|e| view! { " · expected " <b class="fig">{e}</b> })}
                {zero}
                <span class="bench-limit">{move || further().map(|f| format!(" · {f}"))}</span>
            </p>
        </div>
    }
}

/// Why there is nothing to touch.
fn nothing(station: Station) -> String {
    let view = station.desk.view();
    let sized = view.job.drawing.features.iter().any(|f| f.kind.is_sized());
    if sized {
        "No feature of the drawing can be touched along this direction; choose another way to stand.".to_owned()
    } else {
        "Enter holes, bosses, slots and tabs on the Drawing first (Alt 1).".to_owned()
    }
}

fn how(cell: &Cell) -> String {
    match (cell.touch, cell.contact) {
        (Touch::Centre, _) => "height of the centre, as the gauge gives it".to_owned(),
        (Touch::Size, _) => "size, as the gauge gives it".to_owned(),
        (_, contact @ (Contact::FromAbove | Contact::FromBelow)) => {
            format!("touch {}", contact.words())
        }
        (_, Contact::Centre) => "centre".to_owned(),
    }
}

fn expected(cell: &Cell, rows: &Rows) -> Option<String> {
    Some(rows.figures?.plain(cell.expected?))
}

/// What a part that fits shows here, whatever its size.
fn limit_words(limit: VirtualLimit, rows: &Rows) -> String {
    let write = |l: Length| rows.figures.map(|f| f.plain(l)).unwrap_or_default();
    match limit {
        VirtualLimit::AtMost(l) => format!("virtual condition: at most {}", write(l)),
        VirtualLimit::AtLeast(l) => format!("virtual condition: at least {}", write(l)),
    }
}

/// Repeats of one touch: how many, their mean and spread.
fn repeats(cell: &Cell, rows: &Rows, again: bool) -> Option<String> {
    let figures = rows.figures?;
    let n = cell.values.len();
    let summary = (n > 1).then(|| mean(&cell.values, figures.unit)).flatten().map(|m| {
        let deviation = m.deviation.map(|d| figures.finer(1).plain(d)).unwrap_or_default();
        format!(
            "{n} readings, mean {}, standard deviation {deviation}",
            figures.finer(1).plain(m.mean)
        )
    });
    match (again, summary) {
        (true, Some(summary)) => Some(format!("reading {} of the same touch; {summary}", n + 1)),
        (true, None) => Some(format!("reading {} of the same touch", n + 1)),
        (false, summary) => summary,
    }
}
