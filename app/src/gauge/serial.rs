//! The serial line of the gauge: opened, read, lost and found again.

use super::port::{self, Got, Port};
use super::{Gauge, Source, now};
use leptos::prelude::*;
use leptos::task::spawn_local;
use quarterturn_core::capture::{Assembler, RawLine};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::JsValue;

/// How the line stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum State {
    /// The browser has no serial ports.
    NotThere,
    /// It is closed.
    Off,
    /// It is being opened.
    Opening,
    /// It is open, set so.
    On(String),
    /// The device is gone; it is opened again when it comes back.
    Lost,
    /// It could not be opened.
    Refused(String),
}

/// An open line.
#[derive(Clone, Debug)]
pub(super) struct Line {
    port: Port,
    reader: Rc<RefCell<Option<JsValue>>>,
    closed: Rc<Cell<bool>>,
}

impl Line {
    /// Sends a text.
    pub(super) async fn write(&self, text: &str) {
        // What does not arrive is not answered, which the user sees.
        let _ = self.port.write(text.as_bytes()).await;
    }
}

/// Opens the port that was open last, if the browser allows it, and follows ports being plugged in.
pub(super) fn begin(gauge: Gauge) {
    if !port::is_there() {
        gauge.state.set(State::NotThere);
        return;
    }
    port::on_plugged_in(move || {
        if gauge.state.get_untracked() == State::Lost {
            spawn_local(reopen(gauge));
        }
    });
    if gauge.settings.with_untracked(|s| s.connect) {
        spawn_local(reopen(gauge));
    }
}

async fn reopen(gauge: Gauge) {
    if let Some(port) = port::allowed().await {
        open(gauge, port).await;
    }
}

impl Gauge {
    /// Asks the user for a port and opens it.
    pub(crate) fn connect(self) {
        spawn_local(async move {
            if let Some(port) = port::choose().await {
                self.set(|s| s.connect = true);
                self.close().await;
                open(self, port).await;
            }
        });
    }

    /// Closes the port.
    pub(crate) fn disconnect(self) {
        self.set(|s| s.connect = false);
        spawn_local(async move {
            self.close().await;
            self.state.set(State::Off);
        });
    }

    /// Opens the port anew, after its settings were changed.
    pub(crate) fn settings_changed(self) {
        let Some(line) = self.line.get_value() else { return };
        spawn_local(async move {
            self.close().await;
            open(self, line.port).await;
        });
    }

    async fn close(self) {
        let Some(line) = self.line.try_update_value(Option::take).flatten() else { return };
        line.closed.set(true);
        let reader = line.reader.borrow_mut().take();
        if let Some(reader) = reader {
            Port::cancel(&reader).await;
            line.port.let_go(&reader);
        }
        line.port.close().await;
    }
}

async fn open(gauge: Gauge, port: Port) {
    let settings = gauge.settings.with_untracked(|s| s.serial.clone());
    gauge.state.set(State::Opening);
    if let Err(why) = port.open(&settings).await {
        gauge.state.set(State::Refused(why));
        return;
    }
    let line = Line { port, reader: Rc::default(), closed: Rc::default() };
    gauge.line.set_value(Some(line.clone()));
    gauge.state.set(State::On(settings.short()));
    let assembler = Rc::new(RefCell::new(Assembler::new(settings.end, now())));
    let took = |lines: Vec<RawLine>| {
        for raw in &lines {
            gauge.line(raw, Source::Serial);
        }
    };
    'port: while let Some(reader) = line.port.reader() {
        line.reader.replace(Some(reader.clone()));
        loop {
            match line.port.read(&reader).await {
                Got::Bytes(bytes) => {
                    let lines = assembler.borrow_mut().take(&bytes, now());
                    took(lines);
                    wait_for_the_rest(gauge, &assembler);
                }
                Got::Lost => {
                    let rest = assembler.borrow_mut().broken(now());
                    took(rest.into_iter().collect());
                    line.port.let_go(&reader);
                    continue 'port;
                }
                Got::Gone => break 'port,
            }
        }
    }
    let rest = assembler.borrow_mut().broken(now());
    took(rest.into_iter().collect());
    if !line.closed.get() {
        gauge.line.set_value(None);
        gauge.state.set(State::Lost);
        // What is left of it is closed, so that it can be opened again.
        line.port.close().await;
        reopen_if_back(gauge).await;
    }
}

/// The device may be back by the time its loss is noticed.
async fn reopen_if_back(gauge: Gauge) {
    if gauge.state.get_untracked() != State::Lost {
        return;
    }
    if let Some(port) = port::allowed().await
        && port.open(&gauge.settings.with_untracked(|s| s.serial.clone())).await.is_ok()
    {
        port.close().await;
        spawn_local(async move { open(gauge, port).await });
    }
}

/// A line that ends by idle time, or whose end was lost, is over when nothing more has come.
fn wait_for_the_rest(gauge: Gauge, assembler: &Rc<RefCell<Assembler>>) {
    let patience = assembler.borrow().patience();
    let assembler = Rc::clone(assembler);
    set_timeout(
        move || {
            let line = assembler.borrow_mut().wait(now());
            if let Some(line) = line {
                gauge.line(&line, Source::Serial);
            }
        },
        patience,
    );
}
