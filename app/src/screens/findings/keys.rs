//! The keys of this screen.

use super::at::At;
use super::detail::Shown;
use super::filter::Filter;
use crate::desk::Desk;
use leptos::ev;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// Where typing or choosing goes on, the keys belong there.
fn is_taken(ev: &ev::KeyboardEvent) -> bool {
    ev.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok()).is_some_and(|e| {
        matches!(e.tag_name().as_str(), "INPUT" | "SELECT" | "TEXTAREA")
            || e.has_attribute("contenteditable")
    })
}

/// Listens while the screen is shown.
pub(super) fn listen(
    desk: Desk,
    at: At,
    listed: Memo<Arc<Vec<usize>>>,
    filter: RwSignal<Filter>,
    shown: RwSignal<Shown>,
) {
    desk.keys_here.set(vec![
        ("↑ ↓", "feature"),
        ("F", "filter"),
        ("U", "uncertainty"),
        ("P", "pattern"),
        ("E", "kind of error"),
    ]);
    let go = move |by: isize| {
        listed.with_untracked(|list| {
            let now = at.get_untracked().and_then(|i| list.iter().position(|l| *l == i));
            let next = match now {
                None => 0,
                Some(at) => at.saturating_add_signed(by).min(list.len().saturating_sub(1)),
            };
            if let Some(index) = list.get(next) {
                at.set(*index);
            }
        });
    };
    let handle = window_event_listener(ev::keydown, move |ev| {
        if ev.default_prevented() || ev.ctrl_key() || ev.meta_key() || ev.alt_key() || is_taken(&ev)
        {
            return;
        }
        match ev.key().as_str() {
            "ArrowDown" => go(1),
            "ArrowUp" => go(-1),
            "PageDown" => go(10),
            "PageUp" => go(-10),
            "Home" => go(isize::MIN / 2),
            "End" => go(isize::MAX / 2),
            "u" | "U" => shown.update(|s| *s = s.budget()),
            "p" | "P" => shown.update(|s| *s = s.pattern(Shown::patterns(desk))),
            "e" | "E" => shown.update(|s| *s = s.cause()),
            "Escape" if shown.get_untracked() != Shown::Sum => shown.set(Shown::Sum),
            "f" | "F" => filter.update(|f| *f = f.next()),
            _ => return,
        }
        ev.prevent_default();
    });
    on_cleanup(move || handle.remove());
}
