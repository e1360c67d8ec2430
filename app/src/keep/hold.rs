//! One tab holds a job (Web Locks), and the browser lets go of it when the tab is closed or dies.
//!
//! The lock is early notice: a second tab is told at once, and not by its first change. That nothing
//! is written over is up to the database, with or without a lock.

use js_sys::{Function, Promise, Reflect};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::prelude::*;

/// A job that this tab holds, or waits for; let go of when dropped.
#[derive(Debug)]
pub(super) struct Hold {
    state: Rc<State>,
}

#[derive(Debug, Default)]
struct State {
    granted: Cell<bool>,
    dropped: Cell<bool>,
    /// Ends the hold.
    release: RefCell<Option<Function>>,
}

impl Hold {
    /// Asks for the job `id`; `granted` is called when this tab holds it. `None` where the browser has
    /// no locks.
    pub(super) fn ask(id: &str, granted: impl FnOnce() + 'static) -> Option<Self> {
        let navigator = web_sys::window()?.navigator();
        let locks = Reflect::get(&navigator, &"locks".into()).ok()?;
        let request: Function = Reflect::get(&locks, &"request".into()).ok()?.dyn_into().ok()?;
        let state = Rc::new(State::default());
        let held = Rc::clone(&state);
        let on_grant = Closure::once_into_js(move |_lock: JsValue| {
            if held.dropped.get() {
                return JsValue::UNDEFINED;
            }
            held.granted.set(true);
            granted();
            // The lock is held until this promise is kept.
            JsValue::from(Promise::new(&mut |resolve, _| {
                *held.release.borrow_mut() = Some(resolve)
            }))
        });
        let name = JsValue::from(format!("quarterturn.job.{id}"));
        let promise: Promise = request.call2(&locks, &name, &on_grant).ok()?.dyn_into().ok()?;
        wasm_bindgen_futures::spawn_local(async move {
            // A refusal, where the browser gives no locks to this page, leaves things as without them.
            let _ = wasm_bindgen_futures::JsFuture::from(promise).await;
        });
        Some(Self { state })
    }

    /// Whether this tab holds the job.
    pub(super) fn is_granted(&self) -> bool {
        self.state.granted.get()
    }
}

impl Drop for Hold {
    fn drop(&mut self) {
        self.state.dropped.set(true);
        if let Some(release) = self.state.release.borrow_mut().take() {
            let _ = release.call0(&JsValue::UNDEFINED);
        }
    }
}
