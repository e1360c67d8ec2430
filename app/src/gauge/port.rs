//! The browser's serial ports (Web Serial), as far as they are needed here. Not every browser has them.

use js_sys::{Array, Function, Object, Promise, Reflect, Uint8Array};
use quarterturn_core::capture::{Parity, SerialSettings};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

/// A port.
#[derive(Clone, Debug)]
pub(super) struct Port(JsValue);

/// What one attempt to read brought.
pub(super) enum Got {
    /// Bytes.
    Bytes(Vec<u8>),
    /// A byte was lost on the way; reading goes on.
    Lost,
    /// The port is gone, or was closed.
    Gone,
}

fn get(of: &JsValue, name: &str) -> Result<JsValue, JsValue> {
    let value = Reflect::get(of, &name.into())?;
    if value.is_undefined() || value.is_null() { Err(JsValue::from_str(name)) } else { Ok(value) }
}

fn call(of: &JsValue, name: &str, arguments: &[JsValue]) -> Result<JsValue, JsValue> {
    let function: Function = get(of, name)?.dyn_into()?;
    function.apply(of, &arguments.iter().collect::<Array>())
}

async fn wait(of: &JsValue, name: &str, arguments: &[JsValue]) -> Result<JsValue, JsValue> {
    JsFuture::from(Promise::resolve(&call(of, name, arguments)?)).await
}

/// The browser's ports; `None` where it has none.
fn serial() -> Option<JsValue> {
    get(&web_sys::window()?.navigator().into(), "serial").ok()
}

/// Whether the browser can read serial ports.
pub(super) fn is_there() -> bool {
    serial().is_some()
}

/// Has `act` called when a port is plugged in that the user has allowed.
pub(super) fn on_plugged_in(act: impl Fn() + 'static) {
    let Some(serial) = serial() else { return };
    let act = Closure::<dyn Fn()>::new(act);
    // It listens as long as the page is there.
    let listener = act.into_js_value();
    let _ = call(&serial, "addEventListener", &["connect".into(), listener]);
}

/// Asks the user for a port. Only a press of a button or key may ask.
pub(super) async fn choose() -> Option<Port> {
    wait(&serial()?, "requestPort", &[]).await.ok().map(Port)
}

/// The first port that the user has allowed before.
pub(super) async fn allowed() -> Option<Port> {
    let ports: Array = wait(&serial()?, "getPorts", &[]).await.ok()?.dyn_into().ok()?;
    ports.iter().next().map(Port)
}

impl Port {
    /// Opens it.
    pub(super) async fn open(&self, settings: &SerialSettings) -> Result<(), String> {
        let parity = match settings.parity {
            Parity::None => "none",
            Parity::Even => "even",
            Parity::Odd => "odd",
        };
        let options = Object::new();
        for (name, value) in [
            ("baudRate", JsValue::from(settings.baud)),
            ("dataBits", JsValue::from(settings.data_bits)),
            ("stopBits", JsValue::from(settings.stop_bits)),
            ("parity", JsValue::from(parity)),
        ] {
            let _ = Reflect::set(&options, &name.into(), &value);
        }
        wait(&self.0, "open", &[options.into()]).await.map(drop).map_err(|e| message(&e))
    }

    /// Reads once from a reader of the port.
    pub(super) async fn read(&self, reader: &JsValue) -> Got {
        match wait(reader, "read", &[]).await {
            Ok(result) => {
                let done = Reflect::get(&result, &"done".into()).is_ok_and(|d| d.is_truthy());
                let bytes = get(&result, "value").ok().and_then(|v| v.dyn_into().ok());
                match bytes {
                    Some(bytes) if !done => Got::Bytes(Uint8Array::to_vec(&bytes)),
                    _ => Got::Gone,
                }
            }
            // Parity, framing, break, overrun: the stream ends, and the port gives another one. Where the
            // device is gone it does not.
            Err(_) => Got::Lost,
        }
    }

    /// A reader of what comes; `None` where the port is gone.
    pub(super) fn reader(&self) -> Option<JsValue> {
        let readable = get(&self.0, "readable").ok()?;
        call(&readable, "getReader", &[]).ok()
    }

    /// Lets go of a reader.
    pub(super) fn let_go(&self, reader: &JsValue) {
        let _ = call(reader, "releaseLock", &[]);
    }

    /// Sends bytes.
    pub(super) async fn write(&self, bytes: &[u8]) -> Option<()> {
        let writer = call(&get(&self.0, "writable").ok()?, "getWriter", &[]).ok()?;
        let sent = wait(&writer, "write", &[Uint8Array::from(bytes).into()]).await;
        let _ = call(&writer, "releaseLock", &[]);
        sent.ok().map(drop)
    }

    /// Ends what a reader waits for.
    pub(super) async fn cancel(reader: &JsValue) {
        let _ = wait(reader, "cancel", &[]).await;
    }

    /// Closes it.
    pub(super) async fn close(&self) {
        let _ = wait(&self.0, "close", &[]).await;
    }
}

fn message(error: &JsValue) -> String {
    Reflect::get(error, &"message".into()).ok().and_then(|m| m.as_string()).unwrap_or_default()
}
