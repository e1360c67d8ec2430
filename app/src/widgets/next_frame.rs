//! What is put off to the browser's next frame.

use leptos::prelude::*;

/// Puts calls off to the browser's next frame, as long as the component that made it is there.
///
/// By then a screen may have been left, another job opened, and every signal of the screen disposed
/// of; a call that reads one would end the program. A call whose component is gone is dropped.
#[derive(Clone, Copy)]
pub(crate) struct NextFrame(StoredValue<()>);

impl NextFrame {
    /// For the component that is being made.
    pub(crate) fn new() -> Self {
        Self(StoredValue::new(()))
    }

    /// Calls `call` in the next frame.
    pub(crate) fn call(self, call: impl FnOnce() + 'static) {
        #[expect(
            clippy::disallowed_methods,
            reason = "the one place that looks who is still there"
        )]
        request_animation_frame(move || {
            if self.0.try_get_value().is_some() {
                call();
            }
        });
    }
}
