//! Whether the browser promises to keep what it keeps (Storage, `persist`), or may clear it when the
//! disk is nearly full.

use wasm_bindgen_futures::JsFuture;

/// What the browser says of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Lasting {
    /// It says nothing.
    #[default]
    Unknown,
    /// It keeps the jobs until the user removes them.
    Promised,
    /// It may clear them when the disk is nearly full.
    Not,
}

fn storage() -> Option<web_sys::StorageManager> {
    let navigator = web_sys::window()?.navigator();
    // Missing on pages that the browser does not call secure.
    let there = js_sys::Reflect::get(&navigator, &"storage".into()).ok()?;
    (!there.is_undefined()).then(|| navigator.storage())
}

async fn told(promise: Option<js_sys::Promise>) -> Lasting {
    let Some(promise) = promise else { return Lasting::Unknown };
    match JsFuture::from(promise).await.ok().and_then(|v| v.as_bool()) {
        Some(true) => Lasting::Promised,
        Some(false) => Lasting::Not,
        None => Lasting::Unknown,
    }
}

/// What it says now.
pub(crate) async fn lasting() -> Lasting {
    told(storage().and_then(|s| s.persisted().ok())).await
}

/// Asks for the promise. A browser may ask the user, so this waits for the first change.
pub(crate) async fn ask_to_last() -> Lasting {
    told(storage().and_then(|s| s.persist().ok())).await
}
