//! Orders a PDF from the press, the worker that makes it.

use js_sys::Uint8Array;
use quarterturn_core::sheet::{Extent, Which};
use quarterturn_core::{Job, job};
use serde::Serialize;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

#[derive(Serialize)]
struct Order {
    job: String,
    which: Which,
    extent: Extent,
    seconds: u64,
}

/// What comes back: the document, or a sentence why there is none.
type Answer = Result<Uint8Array, String>;

/// Who waits for it; called once.
type Waiting = Rc<RefCell<Option<Box<dyn FnOnce(Answer)>>>>;

/// Makes the PDF of `which`, as much of it as `extent` says, and hands it to `done`, once.
///
/// The worker ends with the order, whatever came of it; its files stay in the browser's cache.
pub(super) fn order(job: &Job, which: Which, extent: Extent, done: impl FnOnce(Answer) + 'static) {
    let done: Waiting = Rc::new(RefCell::new(Some(Box::new(done))));
    let finish = {
        let done = Rc::clone(&done);
        move |answer: Answer| {
            if let Some(done) = done.borrow_mut().take() {
                done(answer);
            }
        }
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "seconds of this age"
    )]
    let seconds = (js_sys::Date::now() / 1000.0) as u64;
    let text =
        serde_json::to_string(&Order { job: job::write_compact(job), which, extent, seconds });
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    let (Ok(text), Ok(worker)) = (text, Worker::new_with_options("./press_loader.js", &options))
    else {
        finish(Err("The part of the page that makes PDFs could not be started. Reload the page."
            .to_owned()));
        return;
    };
    let on_message = {
        let (worker, finish) = (worker.clone(), finish.clone());
        Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            let data = event.data();
            if data.as_string().as_deref() == Some("ready") {
                if worker.post_message(&JsValue::from_str(&text)).is_err() {
                    finish(Err("The job could not be handed over for printing. Reload the page."
                        .to_owned()));
                }
                return;
            }
            worker.terminate();
            finish(match data.dyn_into::<Uint8Array>() {
                Ok(bytes) => Ok(bytes),
                Err(other) => Err(other.as_string().unwrap_or_default()),
            });
        })
    };
    worker.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
    on_message.forget();
    let on_error = {
        let (worker, finish) = (worker.clone(), finish);
        Closure::<dyn FnMut(web_sys::Event)>::new(move |_| {
            worker.terminate();
            finish(Err(
                "The PDF could not be made. The job is kept; reload the page and try again."
                    .to_owned(),
            ));
        })
    };
    worker.set_onerror(Some(on_error.as_ref().unchecked_ref()));
    on_error.forget();
}
