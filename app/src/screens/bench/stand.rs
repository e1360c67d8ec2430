//! The picture of the part on the plate. Its layers change for different reasons: the part with
//! the drawing and the plan, what was touched with the readings, the next touch with each step.

use super::station::Station;
use crate::widgets::room;
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::Job;
use quarterturn_core::job::Orientation;
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::{Detail, NextTouch, Stand, StandingOptions, stands_in_words};
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// Size of the letters, and how many of the browser's pixels a millimetre of the picture takes:
/// in a wide page letters are larger, as everywhere.
const TEXT: f64 = 3.4;
const SCALE: f64 = 3.6;
const WIDE_SCALE: f64 = 4.4;
const WIDE: f64 = 640.0;
/// Size of the small pictures, in millimetres.
pub(super) const SMALL: (f64, f64) = (32.0, 28.0);

/// A job seen as a drawing and a plan: readings do not count.
#[derive(Clone)]
pub(super) struct Planning(pub(super) Arc<Job>);

impl PartialEq for Planning {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
            || (self.0.drawing == other.0.drawing && self.0.plan == other.0.plan)
    }
}

/// The part on the plate.
#[component]
pub(super) fn StandPicture() -> impl IntoView {
    let station = Station::here();
    let desk = station.desk;
    let planning = Memo::new(move |_| Planning(desk.job()));
    let orientation = Memo::new(move |_| {
        planning.with(|p| p.0.plan.orientations.get(desk.orientation.get()).cloned())
    });
    let frame: NodeRef<html::Div> = NodeRef::new();
    let room = room(frame);
    let size = Memo::new(move |_| {
        let (wide, high) = room.get();
        let scale = if wide < WIDE { SCALE } else { WIDE_SCALE };
        (wide / scale, high / scale)
    });
    // A touch that counts from a zero of its own is measured from there in the picture, too.
    let own_zero = Memo::new(move |_| {
        station.rows.with(|r| r.cell(station.at.get()).and_then(|c| c.own_zero.clone()))
    });
    let stand = Memo::new(move |_| {
        let (width, height) = size.get();
        if width < 1.0 || height < 1.0 {
            return None;
        }
        orientation.with(|o| {
            let options =
                StandingOptions { width, height, text: TEXT, ..StandingOptions::default() };
            let o = o.clone().map(|o| match own_zero.get() {
                Some(zero) => Orientation { zero, ..o },
                None => o,
            });
            planning.with(|p| o.map(|o| Stand::of(&p.0, &o, &options)))
        })
    });
    let still = Memo::new(move |_| {
        stand.with(|s| s.as_ref().map(|s| svg_marks(&s.still())).unwrap_or_default())
    });
    let taken = Memo::new(move |_| {
        let taken: Vec<_> = station.rows.with(|r| {
            r.cells.iter().filter(|c| c.is_taken()).map(|c| (c.feature, c.touch)).collect()
        });
        stand.with(|s| s.as_ref().map(|s| svg_marks(&s.taken(&taken))).unwrap_or_default())
    });
    let next = Memo::new(move |_| {
        let touch = station.rows.with(|r| {
            let cell = r.cell(station.at.get())?;
            Some(NextTouch {
                feature: cell.feature,
                touch: cell.touch,
                contact: cell.contact,
                figure: cell.expected.and_then(|e| Some(r.figures?.plain(e))),
            })
        });
        stand.with(|s| {
            s.as_ref().zip(touch).map(|(s, touch)| svg_marks(&s.next(&touch))).unwrap_or_default()
        })
    });
    let words = move || {
        orientation.with(|o| {
            o.as_ref().map(|o| planning.with(|p| stands_in_words(&p.0, o))).unwrap_or_default()
        })
    };
    let click = move |ev: web_sys::MouseEvent| {
        let group = ev
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
            .and_then(|e| e.closest("[data-feature]").ok().flatten());
        if let Some(index) =
            group.and_then(|g| g.get_attribute("data-feature")).and_then(|i| i.parse().ok())
        {
            station.go_to_feature(index);
        }
    };
    let px = |length: f64| format!("{length}px");
    view! {
        <Show when=move || orientation.with(Option::is_some) && !station.open.get()>
            <div class="bench-picture" node_ref=frame>
                // In a box of a stated size it is laid out only when it changes itself.
                <div class="layer" style:width=move || px(room.get().0) style:height=move || px(room.get().1)>
                <svg
                    viewBox=move || { let (w, h) = size.get(); format!("0 0 {w:.2} {h:.2}") }
                    role="img"
                    aria-label=move || format!("The part as it stands: {}", words())
                    on:click=click
                >
                    <g inner_html=move || still.get()></g>
                    <g inner_html=move || taken.get()></g>
                    <g inner_html=move || next.get()></g>
                </svg>
                </div>
            </div>
        </Show>
    }
}

/// A small picture of the part standing as `orientation` says.
pub(super) fn small(job: &Job, orientation: &Orientation) -> String {
    let options = StandingOptions {
        width: SMALL.0,
        height: SMALL.1,
        text: 2.7,
        detail: Detail::Small,
        ..StandingOptions::default()
    };
    svg_marks(&Stand::of(job, orientation, &options).still())
}
