//! What the tabs of this page tell each other: which job was written or removed.

use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;
use web_sys::{BroadcastChannel, MessageEvent};

/// What another tab did.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum News {
    /// It wrote the job `id`, which has this revision now.
    Wrote {
        /// Name of the job.
        id: String,
        /// Its revision.
        revision: u64,
    },
    /// It removed the job `id`.
    Removed {
        /// Name of the job.
        id: String,
    },
}

thread_local! {
    static CHANNEL: RefCell<Option<BroadcastChannel>> = const { RefCell::new(None) };
}

/// Has `heard` called for what other tabs do. Where the browser has no such channel nothing is heard,
/// and what another tab wrote is found out by the next change.
pub(crate) fn listen(heard: impl Fn(News) + 'static) {
    let Ok(channel) = BroadcastChannel::new("quarterturn") else { return };
    let on_message = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
        let news = event.data().as_string().and_then(|text| serde_json::from_str(&text).ok());
        if let Some(news) = news {
            heard(news);
        }
    });
    channel.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
    // It listens as long as the page is there.
    on_message.forget();
    CHANNEL.set(Some(channel));
}

/// Tells the other tabs.
pub(super) fn tell(news: &News) {
    let Ok(text) = serde_json::to_string(news) else { return };
    CHANNEL.with_borrow(|channel| {
        if let Some(channel) = channel {
            // Early notice only: without it the next change finds out.
            let _ = channel.post_message(&JsValue::from_str(&text));
        }
    });
}
