//! The typefaces, registered from the same bytes that the sheet embeds.

use leptos::prelude::document;
use quarterturn_core::mark::Face;
use web_sys::{FontFace, FontFaceDescriptors};

/// Registers them. Where the browser refuses, it falls back to its own.
pub(crate) fn register() {
    for face in Face::ALL {
        let about = FontFaceDescriptors::new();
        about.set_weight(&face.weight().to_string());
        let bytes = js_sys::Uint8Array::from(face.bytes());
        let Ok(font) =
            FontFace::new_with_array_buffer_and_descriptors(face.family(), &bytes.buffer(), &about)
        else {
            continue;
        };
        if let Ok(loading) = font.load() {
            // It is drawn with when it is ready; there is nothing to wait for.
            drop(loading);
        }
        let _ = document().fonts().add(&font);
    }
}
