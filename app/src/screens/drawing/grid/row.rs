//! One row of the table.

use super::Grid;
use super::column::{Column, FIGURES, next_number};
use leptos::prelude::*;
use quarterturn_core::job::Feature;
use quarterturn_core::show::Figures;

/// So many characters have room in every column.
const SHORT: usize = 5;

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

/// How the figures of the table are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Terms {
    /// Unit and decimals of the drawing.
    pub(super) figures: Figures,
    /// Most decimals in each of the columns [`FIGURES`].
    pub(super) finest: [usize; 3],
    /// Characters of the longest text in each of the columns [`GROWING`].
    pub(super) longest: [usize; 3],
}

/// The row with this index; the one behind the last feature is empty.
#[component]
pub(super) fn Row(grid: Grid, index: usize, terms: Memo<Terms>) -> impl IntoView {
    let desk = grid.desk;
    // In steps, so that a change elsewhere in the job costs a row no more than a comparison.
    let feature = Memo::new(move |_| desk.job().drawing.features.get(index).cloned());
    let next =
        Memo::new(move |_| feature.with(Option::is_none).then(|| next_number(&desk.job().drawing)));
    let wrong = Memo::new(move |_| {
        grid.wrong.with(|w| {
            let here = w.range((index, Column::Number)..=(index, Column::Note));
            here.map(|((_, column), w)| (*column, w.typed.clone())).collect::<Vec<_>>()
        })
    });
    let cells = Memo::new(move |_| {
        let terms = terms.get();
        let cell = |column: Column, feature: &Option<Feature>| {
            if let Some((_, typed)) = wrong.with(|w| w.iter().find(|(c, _)| *c == column).cloned())
            {
                return Cell { text: typed, wrong: true, ..Cell::default() };
            }
            let Some(feature) = feature else {
                let ghost = column == Column::Number;
                let text = if ghost { next.get().unwrap_or_default() } else { String::new() };
                return Cell { text, ghost, ..Cell::default() };
            };
            let mut text = column.text(feature, terms.figures);
            if let Some(at) = FIGURES.iter().position(|c| *c == column).filter(|_| !text.is_empty())
            {
                pad(&mut text, column.decimals(feature, terms.figures), terms.finest[at]);
            }
            Cell { void: text.is_empty() && !column.applies(feature), text, ..Cell::default() }
        };
        feature.with(|feature| Column::ALL.map(|column| cell(column, feature)))
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
        // What has no room is read in full where the pointer rests.
        let title = (cell.text.chars().count() > SHORT).then(|| cell.text.trim().to_owned());
        let sign = cell.wrong.then(|| view! { <span class="away">" (not understood)"</span> });
        if column == Column::Number {
            view! { <th scope="row" class=class title=title data-col=column.index().to_string()>{cell.text}{sign}</th> }.into_any()
        } else {
            view! { <td class=class title=title data-col=column.index().to_string()>{cell.text}{sign}</td> }
                .into_any()
        }
    };
    view! {
        <tr data-row=index.to_string() class:lit=lit class:chosen=move || chosen.get()>
            {move || cells.get().into_iter().zip(Column::ALL).map(|(c, column)| cell(column, c)).collect_view()}
        </tr>
    }
}

/// Room for the decimals that others of the column have more, and for their point.
fn pad(text: &mut String, own: usize, most: usize) {
    let point = usize::from(own == 0 && most > 0);
    for _ in own..most + point {
        text.push('\u{a0}');
    }
}
