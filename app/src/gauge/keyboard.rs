//! A gauge that types: its keystrokes, wherever the focus is, make a line where a value is wanted.

use super::{Gauge, Source};
use leptos::prelude::*;
use quarterturn_core::capture::{Burst, Key, Pressed, RawLine};
use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::Closure;
use web_sys::{Element, HtmlInputElement, HtmlTextAreaElement, KeyboardEvent};

/// A field as it was before a gauge typed into it.
struct Before {
    field: Element,
    value: String,
}

/// Listens before anything else on the page does.
pub(super) fn listen(gauge: Gauge) {
    let burst = Rc::new(RefCell::new((Burst::default(), None::<Before>)));
    let pressed = Closure::<dyn Fn(KeyboardEvent)>::new(move |event: KeyboardEvent| {
        if gauge.is_wanted() && event.is_trusted() {
            press(gauge, &mut burst.borrow_mut(), &event);
        }
    });
    let _ = window().add_event_listener_with_callback_and_bool(
        "keydown",
        pressed.as_ref().unchecked_ref(),
        true,
    );
    // It listens as long as the page is there.
    pressed.forget();
}

fn press(gauge: Gauge, (burst, before): &mut (Burst, Option<Before>), event: &KeyboardEvent) {
    let named = event.key();
    let chord = event.ctrl_key() || event.alt_key() || event.meta_key();
    let mut chars = named.chars();
    let key = match (named.as_str(), chars.next(), chars.next()) {
        _ if chord => Key::Other,
        ("Enter" | "Tab", ..) => Key::End,
        // Keys that change what another one writes come with it.
        ("Shift" | "CapsLock" | "AltGraph", ..) => return,
        (_, Some(c), None) => Key::Character(c),
        _ => Key::Other,
    };
    // When it was sent: a page that is busy gets several keys at once, or the keys of one line in parts.
    let at = Duration::try_from_secs_f64(event.time_stamp() / 1000.0).unwrap_or_default();
    let text = match burst.press(key, at) {
        Pressed::Line(text) => text,
        Pressed::Hand | Pressed::Gauge(_) => {
            if burst.count() == 1 {
                *before = as_it_is();
            }
            return;
        }
    };
    // A field of its own for numbers, as for blocks or a sweep, takes what is typed into it.
    let target = before.as_ref().map(|b| b.field.clone());
    if target.as_ref().is_some_and(|f| is_decimal(f) && !f.class_list().contains("bench-field")) {
        return;
    }
    let line = RawLine { bytes: text.into_bytes(), at, whole: true };
    // Words that come as fast, from a scanner say, belong to the field for words that they go into.
    let for_words = target.is_some_and(|f| !f.class_list().contains("bench-field"));
    if for_words && !gauge.is_a_value(&line) {
        return;
    }
    event.prevent_default();
    event.stop_propagation();
    if let Some(before) = before.take() {
        put_back(&before);
    }
    gauge.line(&line, Source::Keyboard);
}

fn is_decimal(field: &Element) -> bool {
    field.get_attribute("inputmode").as_deref() == Some("decimal")
}

/// The field at hand with what stands in it.
fn as_it_is() -> Option<Before> {
    let field = document().active_element()?;
    let value = field
        .dyn_ref::<HtmlInputElement>()
        .map(HtmlInputElement::value)
        .or_else(|| field.dyn_ref::<HtmlTextAreaElement>().map(HtmlTextAreaElement::value))?;
    Some(Before { field, value })
}

fn put_back(before: &Before) {
    if let Some(field) = before.field.dyn_ref::<HtmlInputElement>() {
        field.set_value(&before.value);
    } else if let Some(field) = before.field.dyn_ref::<HtmlTextAreaElement>() {
        field.set_value(&before.value);
    }
    let init = web_sys::EventInit::new();
    init.set_bubbles(true);
    if let Ok(input) = web_sys::Event::new_with_event_init_dict("input", &init) {
        let _ = before.field.dispatch_event(&input);
    }
}
