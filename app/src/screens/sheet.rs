//! The Sheet screen: the layout sheet as it will be printed, and the ways to give it away.

mod order;

use crate::desk::{Desk, Tone};
use leptos::ev;
use leptos::prelude::*;
use quarterturn_core::job::Paper;
use quarterturn_core::mark::svg;
use quarterturn_core::sheet::{Extent, Which, pages};

/// Which sheet is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shown {
    Piece,
    EveryPiece,
    Blank,
}

impl Shown {
    const ALL: [Self; 3] = [Self::Piece, Self::EveryPiece, Self::Blank];

    const fn words(self) -> &'static str {
        match self {
            Self::Piece => "This piece",
            Self::EveryPiece => "Every piece",
            Self::Blank => "Blank, for the bench",
        }
    }

    const fn which(self, piece: usize) -> Which {
        match self {
            Self::Piece => Which::Piece(piece),
            Self::EveryPiece => Which::EveryPiece,
            Self::Blank => Which::Blank(piece),
        }
    }
}

/// The Sheet screen.
#[component]
pub(crate) fn Sheet() -> impl IntoView {
    let desk = Desk::here();
    let shown = RwSignal::new(Shown::Piece);
    let busy = RwSignal::new(false);
    desk.keys_here.set(vec![
        ("Ctrl P", "print"),
        ("Alt D", "download the PDF"),
        ("Page Down", "next page"),
    ]);
    let preview: NodeRef<leptos::html::Div> = NodeRef::new();
    Effect::new(move |_| {
        // Page Down turns the pages from the start.
        if let Some(preview) = preview.get() {
            let _focused = preview.focus();
        }
    });
    let sheets = Memo::new(move |_| {
        let job = desk.job();
        pages(&job, shown.get().which(desk.piece.get()), Extent::Full)
            .iter()
            .map(|p| (p.title.clone(), svg(p)))
            .collect::<Vec<_>>()
    });
    let download = move || {
        if busy.get_untracked() {
            return;
        }
        let job = desk.job_untracked();
        busy.set(true);
        let name = pdf_name(&job, shown.get_untracked(), desk.piece.get_untracked());
        order::order(
            &job,
            shown.get_untracked().which(desk.piece.get_untracked()),
            move |answer| {
                busy.set(false);
                match answer {
                    Ok(bytes) => {
                        if crate::file::download_bytes(&name, &bytes.to_vec(), "application/pdf") {
                            desk.say(Tone::Plain, format!("{name} is in your downloads"), vec![]);
                        } else {
                            desk.say(
                                Tone::Wrong,
                                "The browser refused the download. Allow downloads for this page.",
                                vec![],
                            );
                        }
                    }
                    Err(why) => desk.say(Tone::Wrong, format!("No PDF was made. {why}"), vec![]),
                }
            },
        );
    };
    let keys = window_event_listener(ev::keydown, move |event| {
        if event.alt_key() && !event.ctrl_key() && event.key().eq_ignore_ascii_case("d") {
            event.prevent_default();
            download();
        }
    });
    on_cleanup(move || keys.remove());
    let letter = move || desk.job().shipment.paper == Paper::Letter;
    view! {
        <div class="sheet-screen">
            <h1 class="away">"Sheet"</h1>
            <div class="sheet-bar" role="group" aria-label="The sheet">
                <fieldset class="choice">
                    <legend>"Show"</legend>
                    {Shown::ALL
                        .map(|s| {
                            view! {
                                <label>
                                    <input
                                        type="radio"
                                        name="shown"
                                        prop:checked=move || shown.get() == s
                                        on:change=move |_| shown.set(s)
                                    />
                                    {s.words()}
                                </label>
                            }
                        })
                        .collect_view()}
                </fieldset>
                <fieldset class="choice">
                    <legend>"Paper"</legend>
                    {[Paper::A4, Paper::Letter]
                        .map(|paper| {
                            view! {
                                <label>
                                    <input
                                        type="radio"
                                        name="paper"
                                        prop:checked=move || letter() == (paper == Paper::Letter)
                                        on:change=move |_| desk.change("paper", |job| job.shipment.paper = paper)
                                    />
                                    {if paper == Paper::A4 { "A4" } else { "Letter" }}
                                </label>
                            }
                        })
                        .collect_view()}
                </fieldset>
                <button type="button" class="button main" id="download-pdf" prop:disabled=move || busy.get() on:click=move |_| download()>
                    {move || if busy.get() { "Making the PDF …" } else { "Download PDF" }}
                </button>
                <button type="button" class="button" id="print" on:click=move |_| print()>"Print"</button>
                <span class="count">
                    {move || {
                        let n = sheets.with(Vec::len);
                        format!("{n} {}", if n == 1 { "page" } else { "pages" })
                    }}
                </span>
            </div>
            <div class="sheet-pages" node_ref=preview tabindex="0" role="region" aria-label="Preview of the sheet">
                {move || {
                    sheets
                        .get()
                        .into_iter()
                        .map(|(title, svg)| {
                            view! { <figure class="paper" aria-label=title inner_html=svg></figure> }
                        })
                        .collect_view()
                }}
            </div>
            <style>{move || {
                let (w, h) = desk.job().shipment.paper.size_mm();
                format!("@page {{ size: {w}mm {h}mm; margin: 0 }}")
            }}</style>
        </div>
    }
}

fn print() {
    if let Some(window) = web_sys::window() {
        // A browser that cannot print says so itself.
        let _ = window.print();
    }
}

fn pdf_name(job: &quarterturn_core::Job, shown: Shown, piece: usize) -> String {
    let d = &job.drawing;
    let last = match shown {
        Shown::Piece => job.pieces.get(piece).map(|p| p.serial.as_str()).unwrap_or_default(),
        Shown::EveryPiece => "every piece",
        Shown::Blank => "blank",
    };
    crate::file::safe_name(&format!("{} {} {last}", d.part_number, d.revision), "pdf")
}
