//! Orders from the press, the worker that makes PDFs and verifies them.

use js_sys::Uint8Array;
use quarterturn_core::sheet::{Extent, Which};
use quarterturn_core::{Job, job};
use serde::{Deserialize, Serialize};
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

/// What a PDF turned out to be.
#[derive(Debug, Deserialize)]
pub(crate) struct Verified {
    /// The file text of the job that it carries.
    pub(crate) job: String,
    /// Whether it is unchanged, in a sentence.
    pub(crate) says: String,
    /// It is as it was made, as far as this program can tell.
    pub(crate) sound: bool,
}

/// Who waits for an answer; called once.
type Waiting = Rc<RefCell<Option<Box<dyn FnOnce(Result<JsValue, String>)>>>>;

/// Makes the PDF of `which`, as much of it as `extent` says, and hands it to `done`, once.
pub(crate) fn order(
    job: &Job,
    which: Which,
    extent: Extent,
    done: impl FnOnce(Result<Uint8Array, String>) + 'static,
) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "seconds of this age"
    )]
    let seconds = (js_sys::Date::now() / 1000.0) as u64;
    let order = Order { job: job::write_compact(job), which, extent, seconds };
    // Plain strings and numbers always serialise.
    let text = serde_json::to_string(&order).unwrap_or_default();
    send(JsValue::from_str(&text), |answer| {
        done(answer.and_then(|data| {
            data.dyn_into::<Uint8Array>().map_err(|why| why.as_string().unwrap_or_default())
        }));
    });
}

/// Verifies a PDF and hands what it is to `done`, once; or a sentence that says why it is no sheet.
pub(crate) fn verify(bytes: &[u8], done: impl FnOnce(Result<Verified, String>) + 'static) {
    send(Uint8Array::from(bytes).into(), |answer| {
        done(answer.and_then(|data| {
            let text = data.as_string().unwrap_or_default();
            // What is no account of a sheet is the sentence that says why there is none.
            serde_json::from_str(&text).map_err(|_| text)
        }));
    });
}

/// Hands a message to the press and its answer to `done`, once.
///
/// The worker ends with the order, whatever came of it; its files stay in the browser's cache.
fn send(message: JsValue, done: impl FnOnce(Result<JsValue, String>) + 'static) {
    let done: Waiting = Rc::new(RefCell::new(Some(Box::new(done))));
    let finish = {
        let done = Rc::clone(&done);
        move |answer: Result<JsValue, String>| {
            if let Some(done) = done.borrow_mut().take() {
                done(answer);
            }
        }
    };
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    let Ok(worker) = Worker::new_with_options("./press_loader.js", &options) else {
        finish(Err("The part of the page that makes PDFs could not be started. Reload the page."
            .to_owned()));
        return;
    };
    let on_message = {
        let (worker, finish) = (worker.clone(), finish.clone());
        Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            let data = event.data();
            if data.as_string().as_deref() == Some("ready") {
                if worker.post_message(&message).is_err() {
                    finish(Err("The job could not be handed over for printing. Reload the page."
                        .to_owned()));
                }
                return;
            }
            worker.terminate();
            finish(Ok(data));
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
