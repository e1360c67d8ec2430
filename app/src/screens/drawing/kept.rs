//! What was typed of datums, lines and the outline and is not understood: kept in the job.

use crate::desk::Desk;
use crate::widgets::KeptText;
use leptos::prelude::*;
use quarterturn_core::job::{BOUNDS, DrawingPlace};

/// Where a field of the drawing keeps what it refused. `place` is tracked.
pub(super) fn kept(
    desk: Desk,
    place: impl Fn() -> DrawingPlace + Copy + Send + Sync + 'static,
) -> KeptText {
    let text = Memo::new(move |_| desk.job().drawing.refused(&place()).map(str::to_owned));
    let keep = Callback::new(move |typed: Option<String>| {
        let place = untrack(place);
        let typed = typed.map(|t| t.chars().take(BOUNDS.text_chars).collect::<String>());
        let name = match &typed {
            Some(_) => "a text that is not understood",
            None => "a text as it was",
        };
        desk.change(name, |job| job.drawing.set_refused(&place, typed.as_deref()));
    });
    KeptText { text: text.into(), keep }
}
