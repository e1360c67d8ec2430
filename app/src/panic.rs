//! When the page fails.
//!
//! After a panic nothing in here can be relied upon any more. The hook only reports it, as an
//! event that `public/lifeboat.js` has been waiting for: that says so in the page, and hands
//! out the job as it was kept after the last change.

use web_sys::{CustomEvent, CustomEventInit};

/// Sets the hook.
pub(crate) fn set_hook() {
    std::panic::set_hook(Box::new(|info| {
        console_error_panic_hook::hook(info);
        let init = CustomEventInit::new();
        init.set_detail(&wasm_bindgen::JsValue::from_str(&info.to_string()));
        if let (Some(window), Ok(event)) =
            (web_sys::window(), CustomEvent::new_with_event_init_dict("quarterturn-failed", &init))
        {
            // Nothing is left that could act on a refusal.
            let _ = window.dispatch_event(&event);
        }
    }));
}
