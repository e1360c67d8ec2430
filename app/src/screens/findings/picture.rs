//! The picture of the pattern, in layers that change each for its own reason.

use super::layer::{Layer, Marks};
use crate::desk::{Desk, View};
use crate::widgets::room;
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::job::Job;
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
    base: Marks,
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
        let base = Marks::from(layout.base());
        Self { job, layout, base }
    }
}

/// How far the end of a vector may move, in millimetres of the picture, before the numbers are
/// placed anew: less is no cause for them to move.
const STILL: f64 = 0.6;

/// What the readings add.
#[derive(Clone)]
struct Found {
    layout: Arc<Layout>,
    vectors: Option<Arc<Vectors>>,
    numbers: Arc<Numbers>,
}

/// The numbers, and the vectors that they were placed clear of.
struct Numbers {
    clear_of: Option<Arc<Vectors>>,
    balloons: Balloons,
    marks: Marks,
}

impl PartialEq for Found {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.layout, &other.layout)
            && Arc::ptr_eq(&self.numbers, &other.numbers)
            && self.vectors == other.vectors
    }
}

impl Found {
    /// The vectors of `view`; the numbers stay where they are unless a vector moved.
    fn of(ground: &Ground, view: &View, before: Option<&Self>) -> Self {
        let layout = Arc::clone(&ground.layout);
        let vectors = view.piece.as_ref().map(|p| Arc::new(layout.vectors(p)));
        let still = |numbers: &Numbers| match (&numbers.clear_of, &vectors) {
            (Some(was), Some(now)) => now.is_near(was, STILL),
            (None, None) => true,
            _ => false,
        };
        let before = before.filter(|b| Arc::ptr_eq(&b.layout, &layout));
        let kept = before.filter(|b| still(&b.numbers));
        let numbers = kept.map_or_else(
            || {
                let balloons = before.map_or_else(
                    || layout.balloons(vectors.as_deref()),
                    |b| layout.balloons_after(&b.numbers.balloons, vectors.as_deref()),
                );
                let marks = Marks::from(balloons.marks());
                Arc::new(Numbers { clear_of: vectors.clone(), balloons, marks })
            },
            |b| Arc::clone(&b.numbers),
        );
        Self { layout, vectors, numbers }
    }
}

#[component]
pub(super) fn Picture() -> impl IntoView {
    let desk = Desk::here();
    let ground = Memo::new(move |before: Option<&Ground>| Ground::of(desk.job(), before));
    let found = Memo::new(move |before: Option<&Found>| {
        let view = desk.view();
        ground.with(|g| Found::of(g, &view, before))
    });
    let base = Memo::new(move |_| ground.with(|g| g.base.clone()));
    let vectors = Memo::new(move |_| {
        found.with(|f| Marks::from(f.vectors.as_ref().map_or_else(Vec::new, |v| v.marks.clone())))
    });
    let balloons = Memo::new(move |_| found.with(|f| f.numbers.marks.clone()));
    let light = Memo::new(move |_| {
        let Some(index) = desk.selected.get() else { return Marks::default() };
        found.with(|f| Marks::from(f.layout.light(index, &f.numbers.balloons)))
    });
    let caption = Memo::new(move |_| {
        found.with(|f| f.vectors.as_ref().map_or_else(String::new, |v| v.caption.clone()))
    });
    let frame = NodeRef::<html::Div>::new();
    let size = room(frame);
    let px = |length: f64| format!("{length}px");
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
        let meant = found.with_untracked(|f| f.layout.nearest(x, y, &f.numbers.balloons));
        if meant.is_some() {
            desk.selected.set(meant);
        }
    };
    view! {
        <figure class="pattern">
            // One picture each, one over the other, in boxes of a stated size: what changes in one, or
            // beside them, is laid out without the others.
            <div class="layers" node_ref=frame role="img"
                aria-label="The part with its numbered features and their deviations" on:click=point>
                {[base, vectors, balloons, light].map(|marks| view! {
                    <div class="layer" style:width=move || px(size.get().0) style:height=move || px(size.get().1)>
                        <svg viewBox=format!("0 0 {WIDTH} {HEIGHT}") aria-hidden="true"><Layer marks/></svg>
                    </div>
                }).collect_view()}
            </div>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}
