//! How much room an element has, followed as it changes.

use super::NextFrame;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// Width and height of `node` in the browser's pixels; zero until it is there.
pub(crate) fn room(node: NodeRef<leptos::html::Div>) -> Signal<(f64, f64)> {
    let size = RwSignal::new((0.0, 0.0));
    let next = NextFrame::new();
    Effect::new(move |_| {
        let Some(element) = node.get() else { return };
        let measured = element.clone();
        let look = move || {
            let now = (f64::from(measured.client_width()), f64::from(measured.client_height()));
            if size.get_untracked() != now {
                size.set(now);
            }
        };
        look();
        // In the next frame: what changes the room again within this one is an error of the page.
        let seen = Closure::<dyn FnMut()>::new(move || next.call(look.clone()));
        let Ok(observer) = web_sys::ResizeObserver::new(seen.as_ref().unchecked_ref()) else {
            return;
        };
        observer.observe(&element);
        let held = StoredValue::new_local((observer, seen));
        on_cleanup(move || {
            held.try_with_value(|(observer, _)| observer.disconnect());
        });
    });
    size.into()
}
