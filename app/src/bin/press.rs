//! The press: makes the PDF in a worker of its own, so that the page stays at hand meanwhile,
//! and so that it is loaded only when a PDF is wanted.
//!
//! The page posts an [`Order`] as JSON text and gets back the bytes of the document, or a
//! sentence that says why there is none. Or it posts the bytes of a document and gets back what it
//! is, as JSON text, or a sentence that says why it is no sheet. The first message from here says that
//! it is ready.

use js_sys::{Array, Uint8Array};
use quarterturn_core::job;
use quarterturn_core::sheet::{Extent, SheetState, Which, document, verify};
use serde::Deserialize;
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// What the page wants printed.
#[derive(Deserialize)]
struct Order {
    /// The job file's text.
    job: String,
    /// Which sheet of it.
    which: Which,
    /// How much of it.
    extent: Extent,
    /// Now, in seconds since the beginning of 1970 (UTC).
    seconds: u64,
}

fn print(text: &str) -> Result<Vec<u8>, String> {
    let order: Order = serde_json::from_str(text).map_err(|e| e.to_string())?;
    let job = job::read(&order.job).map_err(|e| e.to_string())?;
    document(&job, order.which, order.extent, order.seconds).map_err(|e| e.to_string())
}

fn verified(pdf: &[u8]) -> String {
    match verify(pdf) {
        Ok(found) => serde_json::json!({
            "job": job::write_compact(&found.job),
            "says": found.state.says(),
            "sound": matches!(found.state, SheetState::Unchanged | SheetState::OtherVersion),
        })
        .to_string(),
        Err(why) => why.to_string(),
    }
}

fn main() {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else { return };
    let answer = scope.clone();
    let on_message = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let data = event.data();
        if let Some(pdf) = data.dyn_ref::<Uint8Array>() {
            let _ = answer.post_message(&JsValue::from_str(&verified(&pdf.to_vec())));
            return;
        }
        let text = data.as_string().unwrap_or_default();
        let _ = match print(&text) {
            Ok(bytes) => {
                let bytes = Uint8Array::from(bytes.as_slice());
                answer.post_message_with_transfer(&bytes, &Array::of1(&bytes.buffer()))
            }
            Err(why) => answer.post_message(&JsValue::from_str(&why)),
        };
    });
    scope.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
    on_message.forget();
    let _ = scope.post_message(&JsValue::from_str("ready"));
}
