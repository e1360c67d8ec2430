//! The panel of the gauge: its line, the rule, and what came.

use super::serial::State;
use super::{Became, Gauge, Shown};
use crate::gauge_words as words;
use crate::shell::{Opens, Panel};
use crate::widgets::{Choice, Field};
use crate::{file, keep};
use leptos::prelude::*;
use leptos::task::spawn_local;
use quarterturn_core::capture::{DecimalMark, LineEnd, LineFault, SerialSettings, pattern_of};
use quarterturn_core::entry::EntryError;
use quarterturn_core::quantity::Unit;

/// The button and the panel that it opens.
#[component]
pub(crate) fn GaugeButton(open: RwSignal<Option<Panel>>) -> impl IntoView {
    view! {
        <Opens panel=Panel::Gauge open text=words::GAUGE key="Alt+G" class="button gauge-button" label=words::GAUGE>
            <Content/>
        </Opens>
    }
}

#[component]
fn Content() -> impl IntoView {
    view! {
        <SerialLine/>
        <Rule/>
        <Lines/>
    }
}

fn choices(all: &[(&str, &str)]) -> Vec<(String, String)> {
    all.iter().map(|(value, word)| ((*value).to_owned(), (*word).to_owned())).collect()
}

#[component]
fn SerialLine() -> impl IntoView {
    let gauge = Gauge::here();
    let settings = gauge.settings;
    let there = move || gauge.state.with(|s| *s != State::NotThere);
    let is_on = move || gauge.state.with(|s| matches!(s, State::On(_) | State::Lost));
    let says = move || match gauge.state.get() {
        State::NotThere => words::NOT_THERE.to_owned(),
        State::Off => words::OFF.to_owned(),
        State::Opening => words::OPENING.to_owned(),
        State::On(short) => words::open(&short),
        State::Lost => words::LOST.to_owned(),
        State::Refused(why) => words::refused(&why),
    };
    let frame = Callback::new(move |typed: String| {
        let Some(read) = SerialSettings::from_short(&typed) else {
            return Err(EntryError(words::SETTINGS_WRONG.to_owned()));
        };
        gauge.set(|s| {
            s.serial = SerialSettings {
                end: s.serial.end,
                request: std::mem::take(&mut s.serial.request),
                ..read
            };
        });
        gauge.settings_changed();
        Ok(())
    });
    let end = move || match settings.with(|s| s.serial.end) {
        LineEnd::Mark => "mark".to_owned(),
        LineEnd::Idle => "idle".to_owned(),
    };
    let set_end = Callback::new(move |chosen: String| {
        gauge.set(|s| {
            s.serial.end = if chosen == "idle" { LineEnd::Idle } else { LineEnd::Mark };
        });
        gauge.settings_changed();
    });
    let request = Callback::new(move |typed: String| {
        gauge.set(|s| typed.trim().clone_into(&mut s.serial.request));
        Ok(())
    });
    view! {
        <p>{words::KEYBOARD}</p>
        <h2>{words::SERIAL}</h2>
        <p role="status">{says}</p>
        <Show when=there>
            <div class="acts">
                <Show when=is_on fallback=move || view! {
                    <button type="button" class="button" on:click=move |_| gauge.connect()>{words::CONNECT}</button>
                }>
                    <button type="button" class="button" on:click=move |_| gauge.disconnect()>{words::DISCONNECT}</button>
                </Show>
            </div>
            <div class="fields">
                <Field label=words::SETTINGS value=Signal::derive(move || settings.with(|s| s.serial.short())) take=frame/>
                <Choice label=words::LINE_ENDS choices=Signal::derive(|| choices(&[("mark", words::BY_MARK), ("idle", words::BY_IDLE)]))
                    value=Signal::derive(end) take=set_end/>
                <Field label=words::REQUEST value=Signal::derive(move || settings.with(|s| s.serial.request.clone())) take=request/>
            </div>
        </Show>
    }
}

#[component]
fn Rule() -> impl IntoView {
    let gauge = Gauge::here();
    let rule = Memo::new(move |_| gauge.settings.with(|s| s.rule.clone()));
    let known = Callback::new(move |typed: String| {
        gauge.set(|s| s.rule.words = typed.split_whitespace().map(str::to_owned).collect());
        Ok(())
    });
    let numbers = || {
        let mut all = vec![(String::new(), words::ONLY_ONE.to_owned())];
        all.extend((1..=6).map(|n| (n.to_string(), words::nth(n))));
        all
    };
    let mark = move || {
        let mark = match rule.with(|r| r.decimal) {
            DecimalMark::Either => "either",
            DecimalMark::Point => "point",
            DecimalMark::Comma => "comma",
        };
        mark.to_owned()
    };
    let set_mark = Callback::new(move |chosen: String| {
        gauge.set(|s| {
            s.rule.decimal = match chosen.as_str() {
                "point" => DecimalMark::Point,
                "comma" => DecimalMark::Comma,
                _ => DecimalMark::Either,
            };
        });
    });
    let unit = move || rule.with(|r| r.unit.map_or_else(String::new, |u| u.word().to_owned()));
    let set_unit = Callback::new(move |chosen: String| {
        gauge.set(|s| {
            s.rule.unit = [Unit::Mm, Unit::Inch].into_iter().find(|u| u.word() == chosen);
        });
    });
    view! {
        <h2>{words::RULE}</h2>
        <div class="fields">
            <Field label=words::WORDS hint=words::WORDS_HINT value=Signal::derive(move || rule.with(|r| r.words.join(" "))) take=known/>
            <Choice label=words::NUMBER choices=Signal::derive(numbers)
                value=Signal::derive(move || rule.with(|r| r.number.map_or_else(String::new, |n| n.to_string())))
                take=Callback::new(move |chosen: String| gauge.set(|s| s.rule.number = chosen.parse().ok()))/>
            <Choice label=words::MARK choices=Signal::derive(|| choices(&[("either", words::EITHER), ("point", words::POINT), ("comma", words::COMMA)]))
                value=Signal::derive(mark) take=set_mark/>
            <Choice label=words::UNIT choices=Signal::derive(|| choices(&[("", words::OF_THE_JOB), ("mm", "mm"), ("inch", "inch")]))
                value=Signal::derive(unit) take=set_unit/>
        </div>
    }
}

#[component]
fn Lines() -> impl IntoView {
    let gauge = Gauge::here();
    let save = move |_| {
        spawn_local(async move {
            let text = keep::all_lines().await;
            file::download("gauge-lines.txt", "text/plain", &text.as_str().into());
        });
    };
    view! {
        <h2>{words::LINES}</h2>
        {move || {
            let lines = gauge.lines.get();
            if lines.is_empty() {
                return view! { <p>{words::NO_LINES}</p> }.into_any();
            }
            view! {
                <ul class="gauge-lines">
                    {lines.into_iter().enumerate().map(|(i, line)| view! { <OneLine line last={i == 0}/> }).collect_view()}
                </ul>
            }.into_any()
        }}
        <div class="acts">
            <button type="button" class="button" on:click=save>{words::SAVE_LINES}</button>
        </div>
    }
}

/// A line, with what can be done about the last one.
#[component]
fn OneLine(line: Shown, last: bool) -> impl IntoView {
    let gauge = Gauge::here();
    let acts = match &line.became {
        Became::Fault(LineFault::Unknown { words: unknown }) if last => {
            let patterns: Vec<String> = unknown.iter().map(|w| pattern_of(w)).collect();
            let name = words::accept(&unknown.join(" "));
            view! {
                <button type="button" class="link" on:click=move |_| gauge.set(|s| {
                    let new = patterns.iter().filter(|p| !s.rule.words.contains(p));
                    let new: Vec<String> = new.cloned().collect();
                    s.rule.words.extend(new);
                })>{name}</button>
            }.into_any()
        }
        Became::Fault(LineFault::Several { numbers }) if last => numbers
            .iter()
            .zip(1..)
            .map(|(value, n)| {
                let name = words::take_number(value);
                view! {
                    <button type="button" class="link" on:click=move |_| gauge.set(|s| s.rule.number = Some(n))>{name}</button>
                    " "
                }
            })
            .collect_view()
            .into_any(),
        _ => ().into_any(),
    };
    view! {
        <li>
            <span class="when">{line.when.clone()}</span>
            <code>{line.raw.clone()}</code>
            <span>{super::says(&line.became)}</span>
            {acts}
        </li>
    }
}
