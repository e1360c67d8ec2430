//! The picture of the pattern, with the feature of the row at hand lit up.

use super::grid::Grid;
use crate::desk::Desk;
use crate::widgets::room;
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::job::Drawing;
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::{Balloons, Layout, PatternOptions};
use std::sync::Arc;

/// Pixels of the browser in one millimetre of the picture, at the page's own type size.
const SCALE: f64 = 3.6;

/// Room above and below the part for datum letters and axes, in millimetres of the picture.
const SURROUND: f64 = 24.0;

/// Height of the part by its width; a square where the drawing gives no outline.
fn shape(drawing: &Drawing) -> f64 {
    let ratio = drawing.outline.map_or(1.0, |o| o.height().0 / o.width().0);
    if ratio.is_finite() && ratio > 0.0 { ratio } else { 1.0 }
}

/// The drawing laid out for the room there is.
#[derive(Clone)]
struct Laid {
    drawing: Arc<Drawing>,
    width: f64,
    height: f64,
    layout: Arc<Layout>,
    balloons: Arc<Balloons>,
}

impl PartialEq for Laid {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.layout, &other.layout)
    }
}

impl Laid {
    fn of(drawing: &Drawing, (width, height): (f64, f64), before: Option<&Self>) -> Self {
        let same = |b: &&Self| {
            (b.width - width).abs() < 0.1
                && (b.height - height).abs() < 0.1
                && *b.drawing == *drawing
        };
        if let Some(before) = before.filter(same) {
            return before.clone();
        }
        let options =
            PatternOptions { width_mm: width, height_mm: height, ..PatternOptions::default() };
        let layout = Layout::of(drawing, &options);
        let balloons = Arc::new(layout.balloons(None));
        Self {
            drawing: Arc::new(drawing.clone()),
            width,
            height,
            layout: Arc::new(layout),
            balloons,
        }
    }
}

/// The picture.
#[component]
pub(super) fn Picture(grid: Grid) -> impl IntoView {
    let desk = Desk::here();
    let frame: NodeRef<html::Div> = NodeRef::new();
    let size = room(frame);
    let laid = Memo::new(move |before: Option<&Option<Laid>>| {
        let (width, height) = size.get();
        if width < 40.0 || height < 40.0 {
            return None;
        }
        let scale = SCALE * type_size() / 14.0;
        let job = desk.job();
        let (width, height) = (width / scale, height / scale);
        let height = height.min(width * shape(&job.drawing) + SURROUND);
        Some(Laid::of(&job.drawing, (width, height), before.and_then(Option::as_ref)))
    });
    let still = Memo::new(move |_| {
        laid.with(|l| {
            l.as_ref().map_or_else(String::new, |l| {
                let mut marks = l.layout.base();
                marks.extend(l.balloons.marks());
                svg_marks(&marks)
            })
        })
    });
    let light = Memo::new(move |_| {
        let selected = desk.selected.get();
        laid.with(|l| match (l, selected) {
            (Some(l), Some(index)) => svg_marks(&l.layout.light(index, &l.balloons)),
            _ => String::new(),
        })
    });
    let pressed = move |event: web_sys::MouseEvent| {
        let Some(frame) = frame.get_untracked() else { return };
        let r = frame.get_bounding_client_rect();
        if r.width() <= 0.0 || r.height() <= 0.0 {
            return;
        }
        let meant = laid.with_untracked(|l| {
            let l = l.as_ref()?;
            // The picture is as wide as its frame and begins at its top.
            let scale = r.width() / l.width;
            let x = (f64::from(event.client_x()) - r.left()) / scale;
            let y = (f64::from(event.client_y()) - r.top()) / scale;
            l.layout.nearest(x, y, &l.balloons)
        });
        if let Some(index) = meant {
            grid.go(index, None);
        }
    };
    view! {
        <figure class="drawn">
            <div class="frame" node_ref=frame on:click=pressed>
                <svg class="picture" role="img" preserveAspectRatio="xMidYMin" aria-label="The part as the drawing shows it, with its numbered features"
                    viewBox=move || laid.with(|l| l.as_ref().map_or_else(|| "0 0 1 1".to_owned(), |l| format!("0 0 {} {}", l.width, l.height)))>
                    <g inner_html=move || still.get()></g>
                    <g inner_html=move || light.get()></g>
                </svg>
            </div>
        </figure>
    }
}

/// The page's type size in pixels: larger on a large screen.
fn type_size() -> f64 {
    let root = document().document_element();
    root.and_then(|e| window().get_computed_style(&e).ok().flatten())
        .and_then(|s| s.get_property_value("font-size").ok())
        .and_then(|s| s.trim_end_matches("px").parse().ok())
        .unwrap_or(14.0)
}
