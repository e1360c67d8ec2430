//! The outline: width and height, and where its lower left corner lies in the drawing's frame.

use super::kept;
use crate::desk::Desk;
use crate::widgets::NumberField;
use leptos::prelude::*;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{DrawingPlace, Job, Outline as Rectangle, OutlineField};
use quarterturn_core::quantity::Figure;
use quarterturn_core::show::Figures;

/// Left, bottom, width, height. One alone is kept here until its partner is there.
type Parts = [Option<Figure>; 4];

const WHAT: [&str; 4] = ["Left edge, X", "Bottom edge, Y", "Width", "Height"];
/// Where what is refused of each of them is kept.
const PLACE: [DrawingPlace; 4] = [
    DrawingPlace::Outline(OutlineField::Left),
    DrawingPlace::Outline(OutlineField::Bottom),
    DrawingPlace::Outline(OutlineField::Width),
    DrawingPlace::Outline(OutlineField::Height),
];
const LEFT: usize = 0;
const BOTTOM: usize = 1;
const WIDTH: usize = 2;
const HEIGHT: usize = 3;

fn parts(job: &Job) -> Option<Parts> {
    let o = job.drawing.outline?;
    Some([Some(o.left), Some(o.bottom), Some(o.width()), Some(o.height())])
}

/// The fields of the outline.
#[component]
pub(super) fn Outline() -> impl IntoView {
    let desk = Desk::here();
    let draft: RwSignal<Parts> = RwSignal::new([None; 4]);
    let standing = Memo::new(move |_| parts(&desk.job()));
    Effect::new(move |before: Option<Option<Parts>>| {
        let now = standing.get();
        match now {
            Some(parts) => draft.set(parts),
            None => {
                let taken_back = before.flatten().is_some();
                if taken_back && draft.get_untracked().iter().all(Option::is_some) {
                    draft.set([None; 4]);
                }
            }
        }
        now
    });
    let unit = Signal::derive(move || desk.job().drawing.unit);
    let field = move |which: usize| {
        let value = Memo::new(move |_| {
            let job = desk.job();
            let figures = Figures::of_drawing(&job.drawing);
            draft.get()[which].map_or_else(String::new, |f| {
                let length = f.length(job.drawing.unit);
                figures.exact(length).plain(length)
            })
        });
        let take = Callback::new(move |figure: Option<Figure>| {
            if matches!(which, WIDTH | HEIGHT) && figure.is_some_and(|f| f.0 <= 0.0) {
                return Err(EntryError(format!("{} is above zero.", WHAT[which])));
            }
            draft.update(|d| d[which] = figure);
            let [left, bottom, width, height] = draft.get_untracked();
            let zero = Figure(0.0);
            let whole = width.zip(height).map(|(width, height)| {
                Rectangle::sized(left.unwrap_or(zero), bottom.unwrap_or(zero), width, height)
            });
            desk.change("the outline", |job| {
                job.drawing.outline = whole;
                job.drawing.set_refused(&PLACE[which], None);
            });
            Ok(())
        });
        view! { <NumberField class="w2" label=WHAT[which] value unit take kept=Some(kept::kept(desk, move || PLACE[which].clone()))/> }
    };
    view! { {field(WIDTH)} {field(HEIGHT)} {field(LEFT)} {field(BOTTOM)} }
}
