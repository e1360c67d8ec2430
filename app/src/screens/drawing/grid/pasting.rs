//! A pasted table before it is taken: what each column means, and the rows that cannot be read; and
//! behind that, what came of it.

use super::Grid;
use super::column::Column;
use crate::keep::remember_columns;
use crate::widgets::Choice;
use leptos::prelude::*;
use quarterturn_core::entry::{Pasted, PastedColumn, Refused, TableColumn, table};
use wasm_bindgen::JsCast;

/// A table that was pasted.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Paste {
    /// It is looked at and not yet on the drawing.
    Offered {
        /// As it was pasted.
        text: String,
        /// What the columns mean; absent: what their headings say.
        meanings: Option<Vec<TableColumn>>,
        /// What was chosen the last time for these headings.
        remembered: Option<Vec<TableColumn>>,
    },
    /// Its rows are on the drawing.
    Taken {
        /// Features that came of it.
        features: usize,
        /// Rows that were not taken.
        refused: Vec<Refused>,
        /// Columns that were not used.
        unused: Vec<PastedColumn>,
    },
}

/// The pasted table, until it is closed.
#[component]
pub(super) fn Pasting(grid: Grid) -> impl IntoView {
    let offered = Memo::new(move |_| matches!(grid.pasted.get(), Some(Paste::Offered { .. })));
    let close = move || {
        grid.pasted.set(None);
        grid.focus();
    };
    view! {
        {move || offered.get().then(|| view! { <Offer grid/> })}
        <div role="status">
            {move || match grid.pasted.get() {
                Some(Paste::Taken { features, refused, unused }) => Some(view! {
                    <section class="pasted" aria-label="What was pasted">
                        <button type="button" class="link close" on:click=move |_| close()>"Close"</button>
                        <h2>{format!("{} pasted.", counted(features, "feature"))}</h2>
                        <Rest refused unused/>
                    </section>
                }),
                _ => None,
            }}
        </div>
    }
}

/// The columns with their meanings above the first row, and what the table gives by them.
#[component]
fn Offer(grid: Grid) -> impl IntoView {
    let desk = grid.desk;
    let read = Memo::new(move |_| match grid.pasted.get() {
        Some(Paste::Offered { text, meanings, .. }) => {
            table(&text, &desk.job().drawing, meanings.as_deref())
        }
        _ => Pasted::default(),
    });
    // These stay as they are while meanings change, and so does the focus among them.
    let heads = Memo::new(move |_| {
        let columns = read.get().columns;
        columns.into_iter().map(|c| (c.heading, c.sample)).collect::<Vec<_>>()
    });
    let as_before = Memo::new(move |_| {
        matches!(grid.pasted.get(), Some(Paste::Offered { meanings, remembered: Some(before), .. })
            if meanings.as_ref() == Some(&before))
    });
    let count = Memo::new(move |_| read.get().features.len());
    let panel: NodeRef<leptos::html::Section> = NodeRef::new();
    // Enter takes the rows; where there are none, the first column is at hand.
    Effect::new(move |_| {
        if panel.get().is_some() {
            grid.next_frame.call(move || {
                let Some(panel) = panel.get_untracked() else { return };
                let first = ["button.main:not(:disabled)", "select", "button"];
                let found = first.iter().find_map(|css| panel.query_selector(css).ok().flatten());
                if let Some(element) = found.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok())
                {
                    let _ = element.focus();
                }
            });
        }
    });
    let give_up = move || {
        grid.pasted.set(None);
        grid.focus();
    };
    let take = move |_| take(grid, read.get_untracked());
    // An arrow key chooses every meaning on its way. What the other columns give up for it counts
    // from when the list was come to, so that those passed by take nothing away.
    let before = StoredValue::new(Vec::new());
    let come_to = move |_| before.set_value(read.get_untracked().meanings());
    let choose = move |at: usize, words: &str| {
        let Some(meaning) = TableColumn::called(words) else { return };
        let chosen = TableColumn::reassigned(&before.get_value(), at, meaning);
        grid.pasted.update(|pasted| {
            if let Some(Paste::Offered { meanings, .. }) = pasted {
                *meanings = Some(chosen);
            }
        });
    };
    let choices = Signal::derive(|| {
        let all = TableColumn::ALL.map(|c| (c.words().to_owned(), c.words().to_owned()));
        all.to_vec()
    });
    let meaning = move |at: usize| {
        Memo::new(move |_| {
            let meant = read.get().columns.get(at).map(|c| c.meaning);
            meant.unwrap_or(TableColumn::Unused).words().to_owned()
        })
    };
    view! {
        <section class="pasted" aria-label="Pasted table" node_ref=panel
            on:keydown=move |event| if event.key() == "Escape" {
                event.prevent_default();
                event.stop_propagation();
                give_up();
            }>
            <div class="acts">
                <button type="button" class="button main" disabled=move || count.get() == 0 on:click=take>
                    {move || format!("Add {}", counted(count.get(), "feature"))}
                </button>
                <button type="button" class="button" on:click=move |_| give_up()>"Discard"</button>
                <span class="soft">
                    {move || if as_before.get() {
                        "Columns as chosen the last time for these headings."
                    } else {
                        "Check what each column means."
                    }}
                </span>
            </div>
            <div class="mapping">
                <table>
                    <caption class="away">"Meaning of the pasted columns"</caption>
                    <tbody>
                        {move || {
                            let heads = heads.get();
                            let selects = (0..heads.len()).map(|at| view! {
                                <td on:focusin=come_to>
                                    <Choice bare=true label=format!("Meaning of column {}", at + 1) choices
                                        value=meaning(at) take=Callback::new(move |words: String| choose(at, &words))/>
                                </td>
                            }).collect_view();
                            let headings = heads.iter().map(|(heading, _)| view! { <td class="soft">{heading.clone()}</td> }).collect_view();
                            let samples = heads.iter().map(|(_, sample)| view! { <td>{short(sample)}</td> }).collect_view();
                            view! {
                                <tr><th scope="row">"Meaning"</th>{selects}</tr>
                                <tr><th scope="row">"Heading"</th>{headings}</tr>
                                <tr><th scope="row">"Example"</th>{samples}</tr>
                            }
                        }}
                    </tbody>
                </table>
            </div>
            <div role="status">
                {move || {
                    let Pasted { columns, refused, .. } = read.get();
                    view! { <Rest refused unused=unused(columns)/> }
                }}
            </div>
        </section>
    }
}

/// What the table holds and the drawing does not get.
#[component]
fn Rest(refused: Vec<Refused>, unused: Vec<PastedColumn>) -> impl IntoView {
    let rows = (!refused.is_empty()).then(|| {
        let said = format!("{} not read:", counted(refused.len(), "row"));
        let rows = refused.into_iter().map(|r| view! {
            <li><span class="row">{format!("Line {}", r.row)}</span>" "{r.why}" "<span class="soft">{r.text}</span></li>
        });
        view! { <p>{said}</p><ul>{rows.collect_view()}</ul> }
    });
    let columns = (!unused.is_empty()).then(|| {
        let all: Vec<String> = unused
            .into_iter()
            .map(|c| {
                let name = if c.heading.is_empty() { c.sample } else { c.heading };
                format!("“{name}” ({})", c.why_unused.unwrap_or_default())
            })
            .collect();
        view! { <p class="soft">{format!("Columns not used: {}.", all.join(", "))}</p> }
    });
    view! { {rows} {columns} }
}

/// Columns in which something stands that is not used.
fn unused(columns: Vec<PastedColumn>) -> Vec<PastedColumn> {
    columns.into_iter().filter(|c| c.why_unused.is_some()).collect()
}

/// Puts the features of the table on the drawing.
fn take(grid: Grid, read: Pasted) {
    let features = read.features.len();
    if features == 0 {
        return;
    }
    if let Some(headings) = read.headings() {
        remember_columns(headings, read.meanings());
    }
    let first = grid.desk.job_untracked().drawing.features.len();
    let Pasted { columns, features: all, refused, .. } = read;
    grid.desk.change(format!("{} pasted", counted(features, "feature")), |job| {
        job.drawing.features.extend(all);
    });
    grid.pasted.set(Some(Paste::Taken { features, refused, unused: unused(columns) }));
    grid.move_to(first, Column::Number);
    grid.focus();
}

/// `1 row`, `3 rows`.
fn counted(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

/// The beginning of a long cell.
fn short(text: &str) -> String {
    const MOST: usize = 28;
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    format!("{} …", text.chars().take(MOST).collect::<String>())
}
