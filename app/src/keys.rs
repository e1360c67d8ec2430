//! Keys that work on every screen.

use crate::desk::{Desk, Screen};
use crate::file;
use crate::shell::Panel;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use web_sys::KeyboardEvent;

/// Listens for them.
///
/// A field in which something is being typed carries the attribute `data-editing`: there,
/// Ctrl+Z takes back what was typed and not the last step.
pub(crate) fn listen(desk: Desk, open: RwSignal<Option<Panel>>, pick: Callback<()>) {
    window_event_listener(leptos::ev::keydown, move |event| {
        if event.default_prevented() || event.is_composing() {
            return;
        }
        if pressed(desk, &event, open, pick) {
            event.prevent_default();
        }
    });
}

fn pressed(
    desk: Desk,
    event: &KeyboardEvent,
    open: RwSignal<Option<Panel>>,
    pick: Callback<()>,
) -> bool {
    let command = event.ctrl_key() || event.meta_key();
    if event.alt_key() && !command {
        // The place of the key, since Alt changes what it writes on some keyboards.
        let code = event.code();
        if code.starts_with("Digit")
            || code.starts_with("Page")
            || ["KeyJ", "KeyP", "KeyG"].contains(&&*code)
        {
            settle();
        }
        match code.as_str() {
            "Digit1" | "Numpad1" => desk.screen.set(Screen::Drawing),
            "Digit2" | "Numpad2" => desk.screen.set(Screen::Bench),
            "Digit3" | "Numpad3" => desk.screen.set(Screen::Findings),
            "Digit4" | "Numpad4" => desk.screen.set(Screen::Sheet),
            "KeyJ" => Panel::Jobs.toggle(open),
            "KeyP" => Panel::Piece.toggle(open),
            "KeyG" => Panel::Gauge.toggle(open),
            "PageUp" => step_piece(desk, false),
            "PageDown" => step_piece(desk, true),
            _ => return false,
        }
        return true;
    }
    if command && !event.alt_key() {
        match (event.key().to_lowercase().as_str(), event.shift_key()) {
            ("z" | "y", _) if being_edited(event) => return false,
            ("s" | "o", false) => {
                settle();
                if event.key().eq_ignore_ascii_case("s") { file::save(desk) } else { pick.run(()) }
            }
            ("z", false) => desk.undo(),
            ("z", true) | ("y", false) => desk.redo(),
            _ => return false,
        }
        return true;
    }
    false
}

/// Has the field at hand take over what was typed into it, as leaving it would.
pub(crate) fn settle() {
    let active =
        document().active_element().and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok());
    if let Some(active) = active {
        // A field that cannot be left stays as it is.
        let _ = active.blur();
    }
}

fn being_edited(event: &KeyboardEvent) -> bool {
    event
        .target()
        .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
        .is_some_and(|e| e.has_attribute("data-editing"))
}

fn step_piece(desk: Desk, on: bool) {
    let count = desk.job_untracked().pieces.len();
    let at = desk.piece.get_untracked();
    let next = if on { (at + 1).min(count.saturating_sub(1)) } else { at.saturating_sub(1) };
    if next != at {
        desk.piece.set(next);
    }
}
