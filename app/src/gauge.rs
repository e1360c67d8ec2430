//! The gauge: what it sends over a serial line, or types like a keyboard, into the entry at hand.
//!
//! Both ways come together in [`Gauge::line`]. Each line is kept as it came, with its time, and read by
//! the rule that is shown beside it; what is no value is said and goes nowhere.

mod keyboard;
mod panel;
mod port;
mod serial;
mod settings;

pub(crate) use panel::GaugeButton;

use crate::clock;
use crate::desk::{Desk, Tone};
use crate::gauge_words as words;
use crate::keep::{self, LineRecord};
use leptos::prelude::*;
use leptos::task::spawn_local;
use quarterturn_core::capture::{DoubleSend, LineFault, LineValue, RawLine, read_line};
use quarterturn_core::show::line_fault;
use serial::{Line, State};
use settings::Settings;
use std::collections::VecDeque;
use std::time::Duration;

/// So many lines are shown; all are kept.
const SHOWN: usize = 12;

/// Where a line came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Source {
    /// The serial line.
    Serial,
    /// Keystrokes at the pace of a gauge.
    Keyboard,
}

/// What became of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Became {
    /// The value went into the entry.
    Taken(String),
    /// It was a value, and no entry waited for one, or it refused it.
    NotWanted(String),
    /// It came twice of one press.
    Again,
    /// It is no value.
    Fault(LineFault),
}

/// A line with what became of it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Shown {
    pub(crate) when: String,
    pub(crate) raw: String,
    pub(crate) became: Became,
}

/// Takes a value into an entry; why not, if it does not.
pub(crate) type Taker = Callback<String, Result<(), String>>;

/// The gauge of this page. A handle that can be copied anywhere.
#[derive(Clone, Copy)]
pub(crate) struct Gauge {
    pub(crate) settings: RwSignal<Settings>,
    pub(crate) state: RwSignal<State>,
    /// The latest lines, the last one first.
    pub(crate) lines: RwSignal<VecDeque<Shown>>,
    taker: StoredValue<Option<Taker>>,
    double: StoredValue<DoubleSend>,
    line: StoredValue<Option<Line>, LocalStorage>,
    desk: Desk,
    /// What the page says is of a line that was no value.
    complained: StoredValue<bool>,
}

impl Gauge {
    /// The gauge, provided to everything below. A port that the user has allowed before is opened again.
    pub(crate) fn provide(desk: Desk) -> Self {
        let gauge = Self {
            settings: RwSignal::new(Settings::kept()),
            state: RwSignal::new(State::Off),
            lines: RwSignal::new(VecDeque::new()),
            taker: StoredValue::new(None),
            double: StoredValue::new(DoubleSend::default()),
            line: StoredValue::new_local(None),
            desk,
            complained: StoredValue::new(false),
        };
        provide_context(gauge);
        keyboard::listen(gauge);
        serial::begin(gauge);
        gauge
    }

    /// The gauge of this page.
    pub(crate) fn here() -> Self {
        expect_context()
    }

    /// Changes the settings and keeps them for this browser.
    pub(crate) fn set(self, change: impl FnOnce(&mut Settings)) {
        self.settings.update(change);
        self.settings.with_untracked(Settings::keep);
    }

    /// Has values go to `taker`, as long as the owner at hand lives.
    pub(crate) fn goes_to(self, taker: Taker) {
        self.taker.set_value(Some(taker));
        on_cleanup(move || self.taker.set_value(None));
    }

    /// Whether something waits for values.
    pub(crate) fn is_wanted(self) -> bool {
        self.taker.with_value(Option::is_some)
    }

    /// Whether the line is a value, by the rule.
    pub(crate) fn is_a_value(self, line: &RawLine) -> bool {
        self.settings.with_untracked(|s| read_line(line, &s.rule).is_ok())
    }

    /// Takes a line that came.
    pub(crate) fn line(self, line: &RawLine, source: Source) {
        let again = self.double.try_update_value(|d| d.is_again(&line.bytes, line.at));
        let became = if again == Some(true) {
            Became::Again
        } else {
            let rule = self.settings.with_untracked(|s| s.rule.clone());
            match read_line(line, &rule) {
                Err(fault) => Became::Fault(fault),
                Ok(value) => self.give(&value),
            }
        };
        match &became {
            Became::Fault(fault) => {
                let says = words::not_taken(&line.bytes.escape_ascii().to_string(), fault);
                self.desk.say(Tone::Wrong, says, vec![]);
                self.complained.set_value(true);
            }
            // What was said of the line before has had its time.
            Became::Taken(_) if self.complained.get_value() => {
                self.complained.set_value(false);
                self.desk.hush();
            }
            _ => {}
        }
        let shown =
            Shown { when: clock::precise(), raw: line.bytes.escape_ascii().to_string(), became };
        keep::keep_line(LineRecord {
            when: shown.when.clone(),
            from: words::source(source).to_owned(),
            line: shown.raw.clone(),
            whole: line.whole,
            became: words::became(&shown.became),
        });
        self.lines.update(|lines| {
            lines.push_front(shown);
            lines.truncate(SHOWN);
        });
    }

    fn give(self, value: &LineValue) -> Became {
        let text = match value.unit {
            Some(unit) => format!("{} {}", value.text, unit.word()),
            None => value.text.clone(),
        };
        if let Some(taken) = into_field(&text) {
            return if taken { Became::Taken(text) } else { Became::NotWanted(text) };
        }
        match self.taker.get_value().map(|taker| taker.run(text.clone())) {
            Some(Ok(())) => Became::Taken(text),
            Some(Err(why)) => Became::NotWanted(format!("{text}: {why}")),
            None => Became::NotWanted(text),
        }
    }

    /// Asks the gauge for a value, where it wants to be asked.
    pub(crate) fn request(self) {
        let request = self.settings.with_untracked(|s| s.serial.request.clone());
        let line = self.line.get_value();
        if let Some(line) = line.filter(|_| !request.is_empty()) {
            spawn_local(async move { line.write(&format!("{request}\r")).await });
        }
    }
}

/// What the last line became, in a sentence; for the entry that waits.
pub(crate) fn says(became: &Became) -> String {
    match became {
        Became::Fault(fault) => line_fault(fault),
        other => words::became(other),
    }
}

/// Puts the value into a field for a number that has the focus, but for the entry at the bench, which
/// takes it in its own way. `None` where there is no such field.
fn into_field(text: &str) -> Option<bool> {
    use wasm_bindgen::JsCast;
    let field = document().active_element()?.dyn_into::<web_sys::HtmlInputElement>().ok()?;
    let decimal = field.get_attribute("inputmode").as_deref() == Some("decimal");
    if !decimal || field.class_list().contains("bench-field") {
        return None;
    }
    field.set_value(text);
    let event = |name: &str| {
        let init = web_sys::EventInit::new();
        init.set_bubbles(true);
        web_sys::Event::new_with_event_init_dict(name, &init)
    };
    let sent = event("input").and_then(|e| field.dispatch_event(&e)).is_ok();
    let init = web_sys::KeyboardEventInit::new();
    init.set_bubbles(true);
    init.set_cancelable(true);
    init.set_key("Enter");
    let enter = web_sys::KeyboardEvent::new_with_keyboard_event_init_dict("keydown", &init);
    Some(sent && enter.and_then(|e| field.dispatch_event(&e)).is_ok())
}

/// Since the page was opened.
fn now() -> Duration {
    let ms = window().performance().map_or(0.0, |p| p.now());
    Duration::try_from_secs_f64(ms / 1000.0).unwrap_or_default()
}
