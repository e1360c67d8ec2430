//! The table of features. It works from the keyboard alone, as a spreadsheet does.
//!
//! One cell is at hand, and one field lies over it: it takes whatever is typed. As long as
//! nothing is typed, the arrow keys go from cell to cell; while something is, they go from
//! character to character. What is refused stays in its cell with a mark, and the document
//! keeps its value.

mod column;
mod field;
mod keys;
mod paste;
mod pasting;
mod row;

pub(crate) use column::Column;
pub(super) use keys::KEYS;

use crate::desk::{Desk, Tone};
use crate::widgets::{NextFrame, Window, room};
use column::{FIGURES, GROWING, fresh, room_for};
use field::CellField;
use leptos::prelude::*;
use pasting::{Paste, Pasting};
use quarterturn_core::entry::callouts;
use quarterturn_core::job::{BOUNDS, Feature, Job};
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::callout_frames;
use quarterturn_core::show::{Figures, feature_name, rows_removed};
use row::{Row, Terms};
use std::collections::BTreeMap;
use wasm_bindgen::JsCast;

/// Height of a row in pixels before it is measured.
const ROW: f64 = 28.0;

/// Height of the table's head in pixels, roughly; rows must not hide under it.
const HEAD: f64 = 36.0;

/// Something typed that is not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Wrong {
    typed: String,
    why: String,
}

/// What the table is about at the moment. A handle that can be copied anywhere.
#[derive(Clone, Copy)]
pub(crate) struct Grid {
    desk: Desk,
    /// Counts how often someone was sent to a cell from outside the table.
    pub(super) asked: RwSignal<usize>,
    /// The cell at hand.
    at: RwSignal<(usize, Column)>,
    /// The row at which a selection of several rows began.
    from: RwSignal<usize>,
    /// Something is being typed.
    editing: RwSignal<bool>,
    /// What the field holds.
    typed: RwSignal<String>,
    /// What the document keeps as it was typed, by its cell, and why it is not understood.
    wrong: Memo<BTreeMap<(usize, Column), Wrong>>,
    /// A table that was pasted, until it is closed.
    pasted: RwSignal<Option<Paste>>,
    /// Features there are.
    count: Memo<usize>,
    /// The column in which tabbing along a row began.
    tabbed: StoredValue<Option<Column>>,
    field: NodeRef<leptos::html::Input>,
    window: Window,
    next_frame: NextFrame,
}

impl Grid {
    pub(super) fn new() -> Self {
        let desk = Desk::here();
        let count = Memo::new(move |_| desk.job().drawing.features.len());
        let grid = Self {
            desk,
            asked: RwSignal::new(0),
            at: RwSignal::new((0, Column::Number)),
            from: RwSignal::new(0),
            editing: RwSignal::new(false),
            typed: RwSignal::new(String::new()),
            wrong: Memo::new(move |_| not_understood(&desk.job())),
            pasted: RwSignal::new(None),
            count,
            tabbed: StoredValue::new(None),
            field: NodeRef::new(),
            window: Window::new(Signal::derive(move || count.get() + 1), ROW),
            next_frame: NextFrame::new(),
        };
        grid.follow();
        grid
    }

    /// Keeps in step with the document.
    fn follow(self) {
        let desk = self.desk;
        // From the start, at the first field that is empty.
        Effect::new(move |_| {
            let job = desk.job_untracked();
            let sized = job.drawing.features.iter().any(|f| f.kind.is_sized());
            let row = match desk.selected.get_untracked() {
                Some(row) => row,
                None if sized => 0,
                None => job.drawing.features.len(),
            };
            self.move_to(row, Column::Number);
            let untitled = job.drawing.part_number.is_empty() && !sized;
            self.next_frame.call(move || {
                let part = document()
                    .get_element_by_id("part-number")
                    .and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok());
                match part.filter(|_| untitled) {
                    Some(part) => {
                        let _ = part.focus();
                    }
                    None => self.focus(),
                }
            });
        });
        // Rows came or went by a step taken back.
        Effect::new(move |_| {
            let count = self.count.get();
            let (row, column) = self.at.get_untracked();
            if row > count {
                self.move_to(count, column);
            }
        });
        // A feature was selected elsewhere.
        Effect::new(move |_| {
            if let Some(index) = desk.selected.get()
                && index != self.at.get_untracked().0
            {
                self.move_to(index, self.at.get_untracked().1);
            }
        });
    }

    /// Puts the focus into the table.
    pub(super) fn focus(self) {
        self.next_frame.call(move || {
            if let Some(field) = self.field.get_untracked() {
                let _ = field.focus();
            }
        });
    }

    /// Sends someone to a cell, from outside the table.
    pub(super) fn go(self, row: usize, column: Option<Column>) {
        self.commit();
        self.asked.update(|n| *n += 1);
        self.move_to(row, column.unwrap_or_else(|| self.at.get_untracked().1));
        self.focus();
    }

    /// Makes the cell the one at hand. What was being typed must have been dealt with.
    fn move_to(self, row: usize, column: Column) {
        let count = self.count.get_untracked();
        let row = row.min(count);
        self.editing.set(false);
        self.from.set(row);
        self.at.set((row, column));
        let selected = (row < count).then_some(row);
        if self.desk.selected.get_untracked() != selected {
            self.desk.selected.set(selected);
        }
        self.window.reveal(row, HEAD);
    }

    /// What a cell shows: what was refused there, or the document's value. Tracked.
    fn shown(self, row: usize, column: Column) -> String {
        if let Some(typed) = self.wrong.with(|w| w.get(&(row, column)).map(|w| w.typed.clone())) {
            return typed;
        }
        let job = self.desk.job();
        job.drawing
            .features
            .get(row)
            .map_or_else(String::new, |f| column.text(f, Figures::of_drawing(&job.drawing)))
    }

    /// Takes over what is being typed.
    fn commit(self) {
        // The table may be left by being taken away.
        if self.editing.try_get_untracked() != Some(true) {
            return;
        }
        let (row, column) = self.at.get_untracked();
        let typed = self.typed.get_untracked();
        self.editing.set(false);
        self.enter(row, column, &typed);
    }

    /// Leaves the document as it is.
    fn cancel(self) {
        self.editing.set(false);
    }

    /// Puts what was typed into the document: what it means, or the text itself where that is not
    /// understood.
    fn enter(self, row: usize, column: Column, typed: &str) {
        let job = self.desk.job_untracked();
        let feature = job.drawing.features.get(row);
        let above = row.checked_sub(1).and_then(|row| job.drawing.features.get(row));
        let above = above.map(|f| column.text(f, Figures::of_drawing(&job.drawing)));
        let typed = match typed.trim() {
            DITTO if column != Column::Number => above.as_deref().unwrap_or_default(),
            typed => typed,
        };
        let refused = feature.zip(column.field()).and_then(|(f, field)| f.refused(field));
        let same =
            feature.is_some_and(|f| column.text(f, Figures::of_drawing(&job.drawing)) == typed);
        if refused == Some(typed) && column.read(typed, &job, row).is_err() {
            return;
        }
        if same && refused.is_some() {
            return self.forget(row, column);
        }
        // An empty cell of the empty row is no feature.
        if same || feature.is_none() && typed.is_empty() {
            return;
        }
        if row >= BOUNDS.features {
            let why = format!("A drawing holds {} features at most.", BOUNDS.features);
            self.desk.say(Tone::Wrong, why, vec![]);
            return;
        }
        let name =
            feature.map_or_else(|| format!("feature {}", fresh(&job.drawing).number), feature_name);
        let name = format!("{name}, {}", column.head());
        match (column.read(typed, &job, row), column.field()) {
            (Ok(entry), field) => self.desk.change(name, |job| {
                entry.put(job, row);
                if let Some((feature, field)) = job.drawing.features.get_mut(row).zip(field) {
                    feature.set_refused(field, None);
                }
                again(job, row);
            }),
            // Nothing typed is nothing to keep: the cell is as it was.
            (Err(e), _) if typed.is_empty() => {
                self.forget(row, column);
                self.desk.say(Tone::Wrong, e.to_string(), vec![]);
            }
            (Err(_), field) => self.desk.change(name, |job| {
                if row == job.drawing.features.len() {
                    let feature = fresh(&job.drawing);
                    job.drawing.features.push(feature);
                }
                if let Some((feature, field)) = job.drawing.features.get_mut(row).zip(field) {
                    let typed: String = typed.chars().take(BOUNDS.text_chars).collect();
                    feature.set_refused(field, Some(&typed));
                }
            }),
        }
    }

    /// Takes away what is kept as it was typed: what the feature had before counts again.
    fn forget(self, row: usize, column: Column) {
        let Some(field) = column.field() else { return };
        let job = self.desk.job_untracked();
        let name = job.drawing.features.get(row).map(feature_name).unwrap_or_default();
        self.desk.change(format!("{name}, {} as it was", column.head()), |job| {
            if let Some(feature) = job.drawing.features.get_mut(row) {
                feature.set_refused(field, None);
            }
        });
    }

    /// Puts a whole callout that was pasted into its cell; `false` where the cell at hand takes none,
    /// or the text is none.
    fn takes_callout(self, text: &str) -> bool {
        let (row, column) = self.at.get_untracked();
        let unit = self.desk.job_untracked().drawing.unit;
        let is_one =
            column == Column::Tolerance && callouts(text, unit).is_ok_and(|all| !all.is_empty());
        if is_one {
            self.enter(row, column, text);
        }
        is_one
    }

    /// The rows that are selected, the empty one not counted.
    fn selection(self) -> std::ops::Range<usize> {
        let (at, from) = (self.at.get_untracked().0, self.from.get_untracked());
        at.min(from)..(at.max(from) + 1).min(self.count.get_untracked())
    }

    fn insert_row(self) {
        let (row, _) = self.at.get_untracked();
        let count = self.count.get_untracked();
        let row = (row + 1).min(count);
        if count >= BOUNDS.features {
            return;
        }
        self.desk.change("a row more", |job| {
            let feature = fresh(&job.drawing);
            job.drawing.features.insert(row, feature);
        });
        self.move_to(row, Column::Number);
    }

    fn remove_rows(self) {
        let rows = self.selection();
        if rows.is_empty() {
            return;
        }
        let what = rows_removed(&self.desk.job_untracked(), rows.clone());
        let first = rows.start;
        self.desk.change(what.clone(), |job| {
            job.drawing.features.drain(rows);
        });
        self.desk.say(Tone::Plain, format!("{what}; Ctrl Z brings it back"), vec![]);
        self.move_to(first, self.at.get_untracked().1);
    }
}

/// The ditto mark: the same as in the row above.
const DITTO: &str = "\"";

/// What the document keeps as it was typed, and why it is not understood.
fn not_understood(job: &Job) -> BTreeMap<(usize, Column), Wrong> {
    let mut all = BTreeMap::new();
    for (row, feature) in job.drawing.features.iter().enumerate() {
        for refused in &feature.not_understood {
            let column = Column::of(refused.field);
            let why = match column.read(&refused.typed, job, row) {
                Err(e) => e.to_string(),
                // Something else was changed since, such as the unit.
                Ok(_) => "It can be understood now: press F2 and Enter.".to_owned(),
            };
            all.insert((row, column), Wrong { typed: refused.typed.clone(), why });
        }
    }
    all
}

/// Tries what was refused in a row again: a modifier typed before its tolerance is right now.
fn again(job: &mut Job, row: usize) {
    let waiting =
        job.drawing.features.get(row).map(|f| f.not_understood.clone()).unwrap_or_default();
    for refused in waiting {
        if let Ok(entry) = Column::of(refused.field).read(&refused.typed, job, row) {
            entry.put(job, row);
            if let Some(feature) = job.drawing.features.get_mut(row) {
                feature.set_refused(refused.field, None);
            }
        }
    }
}

/// The table with what belongs to it. `leave`: Escape goes out of it.
#[component]
pub(super) fn FeatureGrid(grid: Grid, leave: Callback<()>) -> impl IntoView {
    let desk = grid.desk;
    let terms = Memo::new(move |_| {
        let job = desk.job();
        let figures = Figures::of_drawing(&job.drawing);
        let (mut finest, mut longest) = ([0; 3], [0; 3]);
        for feature in &job.drawing.features {
            for (most, column) in finest.iter_mut().zip(FIGURES) {
                *most = (*most).max(column.decimals(feature, figures));
            }
            for (most, (column, _)) in longest.iter_mut().zip(GROWING) {
                let refused = column.field().and_then(|field| feature.refused(field));
                let length = match refused {
                    Some(typed) => typed.chars().count(),
                    None => column.text(feature, figures).chars().count(),
                };
                *most = (*most).max(length);
            }
        }
        Terms { figures, finest, longest }
    });
    // What is long gets room in its column, and the table becomes wider by as much.
    let width = move |column: Column| {
        let longest = terms.with(|t| t.longest);
        let growing = GROWING.into_iter().zip(longest).find(|((c, _), _)| *c == column);
        growing.map_or_else(String::new, |((_, least), n)| format!("{}rem", room_for(n, least)))
    };
    let whole = move || {
        let longest = terms.with(|t| t.longest);
        let more: f64 = GROWING
            .into_iter()
            .zip(longest)
            .map(|((_, least), n)| room_for(n, least) - least)
            .sum();
        format!("{}rem", 56.0 + more)
    };
    let (scroller, window) = (grid.window.scroller, grid.window);
    let pressed = move |event: web_sys::MouseEvent| {
        let Some(target) = event.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok())
        else {
            return;
        };
        let number = |selector: &str, name: &str| -> Option<usize> {
            target.closest(selector).ok()??.get_attribute(name)?.parse().ok()
        };
        let (Some(row), Some(column)) =
            (number("[data-row]", "data-row"), number("[data-col]", "data-col"))
        else {
            return;
        };
        // The focus stays in the field, which comes to the cell.
        event.prevent_default();
        grid.commit();
        grid.tabbed.set_value(None);
        let from = grid.from.get_untracked();
        grid.move_to(row, Column::ALL[column.min(Column::ALL.len() - 1)]);
        if event.shift_key() {
            grid.from.set(from);
        }
        grid.focus();
    };
    let size = room(scroller);
    view! {
        <div class="grid" node_ref=scroller on:scroll=move |_| window.scrolled()>
            <div class="ground" style:min-width=whole>
                <table class="figures features" on:mousedown=pressed>
                    <caption class="away">"Features of the drawing"</caption>
                    <thead>
                        <tr>
                            {Column::ALL.map(|c| view! { <th scope="col" class=c.class() style:width=move || width(c)>{c.head()}</th> }).into_iter().collect_view()}
                        </tr>
                    </thead>
                    <tbody>
                        <tr class="spare" aria-hidden="true" style:height=move || format!("{}px", window.above())></tr>
                        <For each=move || window.rows() key=|i| *i let:index>
                            <Row grid index terms/>
                        </For>
                        <tr class="spare" aria-hidden="true" style:height=move || format!("{}px", window.below())></tr>
                    </tbody>
                </table>
                <CellField grid size leave/>
            </div>
        </div>
        <Under grid/>
        <Pasting grid/>
    }
}

/// Height of a callout's frame, in its own millimetres.
const FRAME: f64 = 7.0;

/// The line under the table: what is wrong in the cell at hand or elsewhere, or what to type.
#[component]
fn Under(grid: Grid) -> impl IntoView {
    let wrong = Memo::new(move |_| {
        let at = grid.at.get();
        grid.wrong.with(|w| {
            let here = w.get(&at).map(|w| (at, w.clone()));
            let first = here.or_else(|| w.iter().next().map(|(at, w)| (*at, w.clone())));
            first.map(|(place, wrong)| (place, wrong, w.len()))
        })
    });
    let help = move || {
        let (row, column) = grid.at.get();
        let job = grid.desk.job();
        let kind = job.drawing.features.get(row).map(|f: &Feature| f.kind).unwrap_or_default();
        column.help(kind, job.drawing.unit)
    };
    // The callouts of the feature at hand, as the drawing has them.
    let frames = Memo::new(move |_| {
        let (row, _) = grid.at.get();
        let job = grid.desk.job();
        let feature = job.drawing.features.get(row)?;
        let (marks, size) = callout_frames(feature, &job.drawing, FRAME)?;
        Some((svg_marks(&marks), size))
    });
    view! {
        {move || frames.get().map(|(svg, [width, height])| {
            // Room for half a line at the border.
            let (edge, px) = (0.3, 24.0 / FRAME);
            view! {
                <svg class="callouts" role="img" aria-label="Its position callouts as drawn"
                    viewBox=format!("{} {} {} {}", -edge, -edge, width + 2.0 * edge, height + 2.0 * edge)
                    width=format!("{:.1}", (width + 2.0 * edge) * px)
                    height=format!("{:.1}", (height + 2.0 * edge) * px)
                    inner_html=svg></svg>
            }
        })}
        <p class="under" id="under-grid" role="status">
            {move || match wrong.get() {
                Some(((row, column), wrong, many)) => {
                    let more = if many > 1 { format!(" ({} more)", many - 1) } else { String::new() };
                    let name = grid.desk.job().drawing.features.get(row).map_or_else(|| "new feature".to_owned(), feature_name);
                    view! {
                        <button type="button" class="link" on:click=move |_| grid.go(row, Some(column))>
                            {format!("{name}, {}", column.head())}
                        </button>
                        ": not understood, and kept as it was typed. "
                        <span class="fault">{wrong.why}</span>
                        {more}
                    }.into_any()
                }
                None => view! { <span class="soft">{help()}</span> }.into_any(),
            }}
        </p>
    }
}
