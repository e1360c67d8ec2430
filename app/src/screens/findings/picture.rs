//! The picture of the pattern, in layers that change each for its own reason.

use crate::desk::{Desk, View};
use leptos::prelude::*;
use leptos::svg;
use quarterturn_core::job::Job;
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::{Balloons, Layout, PatternOptions, Vectors};
use std::sync::Arc;

/// Size of the picture, in its own millimetres.
const WIDTH: f64 = 132.0;
const HEIGHT: f64 = 80.0;

/// The drawing laid out, with the layer that depends on nothing else.
#[derive(Clone)]
struct Ground {
    job: Arc<Job>,
    layout: Arc<Layout>,
    base: Arc<str>,
}

impl PartialEq for Ground {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.layout, &other.layout)
    }
}

impl Ground {
    fn of(job: Arc<Job>, before: Option<&Self>) -> Self {
        if let Some(before) = before.filter(|b| b.job.drawing == job.drawing) {
            return Self { job, ..before.clone() };
        }
        let options =
            PatternOptions { width_mm: WIDTH, height_mm: HEIGHT, ..PatternOptions::default() };
        let layout = Arc::new(Layout::of(&job.drawing, &options));
        let base = Arc::from(svg_marks(&layout.base()));
        Self { job, layout, base }
    }
}

/// What the readings add.
#[derive(Clone, PartialEq)]
struct Found {
    vectors: Option<Arc<Vectors>>,
    balloons: Arc<Balloons>,
}

impl Found {
    /// The vectors of `view`; the balloons stay where they are unless a vector moved.
    fn of(ground: &Ground, view: &View, before: Option<&(Arc<Layout>, Self)>) -> Self {
        let vectors = view.piece.as_ref().map(|p| Arc::new(ground.layout.vectors(p)));
        if let Some((layout, before)) = before
            && Arc::ptr_eq(layout, &ground.layout)
            && before.vectors == vectors
        {
            return before.clone();
        }
        let balloons = Arc::new(ground.layout.balloons(vectors.as_deref()));
        Self { vectors, balloons }
    }
}

#[component]
pub(super) fn Picture() -> impl IntoView {
    let desk = Desk::here();
    let ground = Memo::new(move |before: Option<&Ground>| Ground::of(desk.job(), before));
    let found = Memo::new(move |before: Option<&(Arc<Layout>, Found)>| {
        let view = desk.view();
        ground.with(|g| (Arc::clone(&g.layout), Found::of(g, &view, before)))
    });
    let vectors = Memo::new(move |_| {
        found.with(|(_, f)| f.vectors.as_ref().map_or_else(String::new, |v| svg_marks(&v.marks)))
    });
    let balloons = Memo::new(move |_| found.with(|(_, f)| svg_marks(&f.balloons.marks())));
    let light = Memo::new(move |_| {
        let Some(index) = desk.selected.get() else { return String::new() };
        found.with(|(layout, f)| svg_marks(&layout.light(index, &f.balloons)))
    });
    let caption = Memo::new(move |_| {
        found.with(|(_, f)| f.vectors.as_ref().map_or_else(String::new, |v| v.caption.clone()))
    });
    let frame = NodeRef::<svg::Svg>::new();
    let point = move |ev: leptos::ev::MouseEvent| {
        let Some(frame) = frame.get_untracked() else { return };
        let r = frame.get_bounding_client_rect();
        // The picture lies in the middle of its frame, as large as it goes.
        let scale = (r.width() / WIDTH).min(r.height() / HEIGHT);
        if scale <= 0.0 {
            return;
        }
        let x = (f64::from(ev.client_x()) - r.left() - r.width() / 2.0) / scale + WIDTH / 2.0;
        let y = (f64::from(ev.client_y()) - r.top() - r.height() / 2.0) / scale + HEIGHT / 2.0;
        let meant = found.with_untracked(|(layout, f)| layout.nearest(x, y, &f.balloons));
        if meant.is_some() {
            desk.selected.set(meant);
        }
    };
    view! {
        <figure class="pattern">
            <svg node_ref=frame viewBox=format!("0 0 {WIDTH} {HEIGHT}") role="img"
                aria-label="The part with its numbered features and their deviations" on:click=point>
                <g inner_html=move || ground.with(|g| g.base.to_string())></g>
                <g inner_html=move || vectors.get()></g>
                <g inner_html=move || balloons.get()></g>
                <g inner_html=move || light.get()></g>
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}
