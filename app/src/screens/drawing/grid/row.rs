//! One row of the table.

use super::Grid;
use super::column::{Column, decimals, next_number};
use leptos::prelude::*;

/// What a cell looks like.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Cell {
    text: String,
    /// The drawing can say nothing here.
    void: bool,
    wrong: bool,
    /// What would stand here next: the number of the empty row.
    ghost: bool,
}

/// The row with this index; the one behind the last feature is empty.
#[component]
pub(super) fn Row(grid: Grid, index: usize, finest: Memo<[usize; 3]>) -> impl IntoView {
    let desk = grid.desk;
    let cells = Memo::new(move |_| {
        let job = desk.job();
        let feature = job.drawing.features.get(index);
        let finest = finest.get();
        grid.wrong.with(|wrong| {
            Column::ALL.map(|column| {
                if let Some(w) = wrong.get(&(index, column)) {
                    return Cell { text: w.typed.clone(), wrong: true, ..Cell::default() };
                }
                let Some(feature) = feature else {
                    let ghost = column == Column::Number;
                    let text = if ghost { next_number(&job.drawing) } else { String::new() };
                    return Cell { text, ghost, ..Cell::default() };
                };
                let text = column.text(feature, &job.drawing);
                let most = match column {
                    Column::X => finest[0],
                    Column::Y => finest[1],
                    Column::Tolerance => finest[2],
                    _ => 0,
                };
                let text = if text.is_empty() { text } else { pad(text, most) };
                Cell { void: text.is_empty() && !column.applies(feature), text, ..Cell::default() }
            })
        })
    });
    let lit = move || desk.selected.get() == Some(index);
    let chosen = Memo::new(move |_| {
        let (at, from) = (grid.at.get().0, grid.from.get());
        at != from && (at.min(from)..=at.max(from)).contains(&index)
    });
    let cell = move |column: Column, cell: Cell| {
        let mut class = column.class().to_owned();
        for (is, name) in [(cell.void, " void"), (cell.wrong, " wrong"), (cell.ghost, " ghost")] {
            if is {
                class.push_str(name);
            }
        }
        let sign = cell.wrong.then(|| view! { <span class="away">" (not taken over)"</span> });
        if column == Column::Number {
            view! { <th scope="row" class=class data-col=column.index().to_string()>{cell.text}{sign}</th> }.into_any()
        } else {
            view! { <td class=class data-col=column.index().to_string()>{cell.text}{sign}</td> }
                .into_any()
        }
    };
    view! {
        <tr data-row=index.to_string() class:lit=lit class:chosen=move || chosen.get()>
            {move || cells.get().into_iter().zip(Column::ALL).map(|(c, column)| cell(column, c)).collect_view()}
        </tr>
    }
}

/// Room for the decimals that others of the column have more.
fn pad(mut text: String, most: usize) -> String {
    let own = decimals(&text);
    let point = usize::from(own == 0 && most > 0);
    for _ in own..most + point {
        text.push('\u{a0}');
    }
    text
}
