//! The Sheet screen: the layout sheet as it will be printed, and the ways to give it away.

mod choice;
mod open;

use crate::desk::{Desk, Tone};
use crate::pdf;
use choice::{EXTENTS, OneOf, PAPERS, Shown, extent_words, paper_words};
use leptos::ev;
use leptos::prelude::*;
use open::{OpenPoints, open};
use quarterturn_core::job::Paper;
use quarterturn_core::mark::svg;
use quarterturn_core::sheet::{Extent, document_name, pages};

/// The Sheet screen.
#[component]
pub(crate) fn Sheet() -> impl IntoView {
    let desk = Desk::here();
    let shown = RwSignal::new(Shown::Piece);
    let extent = RwSignal::new(Extent::Full);
    let busy = RwSignal::new(false);
    let still_open = RwSignal::new(None);
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
    let which = move || shown.get().which(desk.piece.get());
    let sheets = Memo::new(move |_| {
        pages(&desk.job(), which(), extent.get())
            .iter()
            .map(|p| (p.title.clone(), svg(p)))
            .collect::<Vec<_>>()
    });
    // What was open is another list for another choice or another state of the job.
    Effect::new(move |_| {
        let _ = (desk.job(), which(), extent.get());
        still_open.set(None);
    });
    let make = move || {
        if busy.get_untracked() {
            return;
        }
        still_open.set(None);
        let job = desk.job_untracked();
        busy.set(true);
        let (which, extent) = (untrack(which), extent.get_untracked());
        let name = crate::file::safe_name(&document_name(&job, which, extent), "pdf");
        pdf::order(&job, which, extent, move |answer| {
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
        });
    };
    // What is open is said first; asked for once more, the document is made all the same.
    let download = move || {
        if still_open.with_untracked(Option::is_some) {
            make();
            return;
        }
        let points = open(&desk.job_untracked(), shown.get_untracked(), desk.piece.get_untracked());
        if points.is_empty() {
            make();
        } else {
            still_open.set(Some(points));
        }
    };
    let keys = window_event_listener(ev::keydown, move |event| {
        if event.alt_key() && !event.ctrl_key() && event.key().eq_ignore_ascii_case("d") {
            event.prevent_default();
            download();
        }
    });
    on_cleanup(move || keys.remove());
    name_what_is_printed(move || {
        document_name(&desk.job_untracked(), untrack(which), extent.get_untracked())
    });
    let paper = Memo::new(move |_| desk.job().shipment.paper);
    view! {
        <div class="sheet-screen">
            <h1 class="away">"Sheet"</h1>
            <div class="sheet-bar" role="group" aria-label="The sheet">
                <OneOf legend="Show" name="shown" all=&Shown::ALL words=Shown::words chosen=shown
                    choose=move |s| shown.set(s)/>
                <OneOf legend="Extent" name="extent" all=&EXTENTS words=extent_words chosen=extent
                    choose=move |e| extent.set(e) off=Signal::derive(move || shown.get() == Shown::Blank)/>
                <OneOf legend="Paper" name="paper" all=&PAPERS words=paper_words chosen=paper
                    choose=move |paper| desk.change("paper", |job| job.shipment.paper = paper)/>
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
            <OpenPoints list=still_open go_on=Callback::new(move |()| make())/>
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
            <style>{move || print_style(paper.get())}</style>
        </div>
    }
}

/// The size of the paper, and of a page on it. A page that is a fraction of a pixel higher than its paper
/// goes on to a second, blank one; the border of the sheet is far from its edge, so a pixel less takes
/// nothing away.
fn print_style(paper: Paper) -> String {
    let (w, h) = paper.size_mm();
    format!(
        "@page {{ size: {w}mm {h}mm; margin: 0 }} \
         @media print {{ .sheet-pages .paper {{ width: {w}mm; height: calc({h}mm - 1px) }} \
         .sheet-pages .paper svg {{ width: {w}mm; height: {h}mm }} }}"
    )
}

/// The page is called as the document while it is printed: a browser that prints into a file takes its
/// name from there.
fn name_what_is_printed(name: impl Fn() -> String + Copy + 'static) {
    let before = StoredValue::new(None);
    let begins = window_event_listener(ev::beforeprint, move |_| {
        before.set_value(Some(document().title()));
        document().set_title(&name());
    });
    let ends = window_event_listener(ev::afterprint, move |_| {
        if let Some(title) = before.get_value() {
            document().set_title(&title);
        }
    });
    on_cleanup(move || {
        begins.remove();
        ends.remove();
    });
}

fn print() {
    if let Some(window) = web_sys::window() {
        // A browser that cannot print says so itself.
        let _ = window.print();
    }
}
