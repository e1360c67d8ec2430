//! The standard that the drawing is made by.

use crate::desk::Desk;
use crate::widgets::Choice;
use leptos::prelude::*;
use quarterturn_core::job::Standard;

/// A standard of the list, or that the drawing states none.
#[component]
pub(super) fn StandardChoice() -> impl IntoView {
    let desk = Desk::here();
    let value = Memo::new(move |_| {
        desk.job().drawing.standard.map_or_else(String::new, |s| s.name().to_owned())
    });
    let choices = Signal::derive(|| {
        let assumed = format!("not stated: {}", Standard::default().name());
        let mut all = vec![(String::new(), assumed)];
        all.extend(Standard::ALL.map(|s| (s.name().to_owned(), s.name().to_owned())));
        all
    });
    let take = Callback::new(move |name: String| {
        let standard = Standard::ALL.into_iter().find(|s| s.name() == name);
        desk.change("the standard of the drawing", |job| job.drawing.standard = standard);
    });
    view! { <Choice class="w5" label="Standard" choices value take/> }
}
