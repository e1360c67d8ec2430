//! What kind of error the pattern has, what to do about it, and how it would look after that.

use crate::desk::Desk;
use leptos::prelude::*;
use quarterturn_core::findings::{PieceFinding, Ready, causes};
use quarterturn_core::show::{CauseText, cause_text};

/// The kinds of error of the patterns of this piece, or of all pieces read so far.
#[component]
pub(super) fn CauseOf() -> impl IntoView {
    let desk = Desk::here();
    let all = RwSignal::new(false);
    let many = Memo::new(move |_| desk.job().pieces.iter().filter(|p| p.is_read()).count() > 1);
    let texts = Memo::new(move |_| {
        let view = desk.view();
        let pieces: Vec<PieceFinding> = if all.get() && many.get() {
            let ready = Ready::of(&view.job);
            let read = (0..view.job.pieces.len())
                .filter(|i| view.job.pieces.get(*i).is_some_and(|p| p.is_read()));
            read.filter_map(|i| ready.piece(i)).collect()
        } else {
            view.piece.iter().cloned().collect()
        };
        let pieces: Vec<&PieceFinding> = pieces.iter().collect();
        causes(&view.job, &pieces).iter().map(|c| cause_text(c, &view.job)).collect::<Vec<_>>()
    });
    view! {
        <section class="cause" aria-label="Common error of the pattern" tabindex="0">
            <h2>"Common error of the pattern"</h2>
            <Show when=move || many.get()>
                <p class="choice">
                    <button type="button" class="link" aria-pressed=move || (!all.get()).to_string()
                        on:click=move |_| all.set(false)>"this piece"</button>
                    " "
                    <button type="button" class="link" aria-pressed=move || all.get().to_string()
                        on:click=move |_| all.set(true)>"mean of all pieces"</button>
                </p>
            </Show>
            {move || {
                let texts = texts.get();
                if texts.is_empty() {
                    view! { <p class="none">"No position is asked of any feature."</p> }.into_any()
                } else {
                    texts.into_iter().map(one).collect_view().into_any()
                }
            }}
            <p class="note">
                "A shift or rotation may also be that of a datum feature as it was measured: a burr, a chip, \
                 a wrong zero. Look there before the machine is changed. Zones here lie about the basic places, \
                 before any shift that datums at their boundary allow."
            </p>
        </section>
    }
}

fn one(text: CauseText) -> impl IntoView {
    let after = text.after;
    view! {
        <h3>{text.of}</h3>
        <ul class="actions">
            {text.actions.into_iter().map(|a| view! { <li>{a}</li> }).collect_view()}
            {text.offset.map(|o| view! { <li>{o}</li> })}
        </ul>
        <ul class="steps">
            {text.steps.into_iter().map(|s| view! { <li>{s}</li> }).collect_view()}
        </ul>
        {(!after.is_empty()).then(|| view! {
            <table class="paper after">
                <thead>
                    <tr>
                        <th scope="col">"after the correction"</th>
                        <th scope="col" class="num">"dx"</th>
                        <th scope="col" class="num">"dy"</th>
                        <th scope="col">"verdict"</th>
                    </tr>
                </thead>
                <tbody>
                    {after.into_iter().map(|[name, dx, dy, word]| view! {
                        <tr>
                            <th scope="row">{name}</th>
                            <td class="num">{dx}</td>
                            <td class="num">{dy}</td>
                            <td>{word}</td>
                        </tr>
                    }).collect_view()}
                </tbody>
            </table>
        })}
    }
}
