//! The line under the header.

use crate::desk::{Desk, Tone};
use leptos::prelude::*;

/// The line under the header; nothing where there is nothing to say.
#[component]
pub(super) fn LineStrip() -> impl IntoView {
    let desk = Desk::here();
    // The region is always there, so that what comes into it is read out.
    view! {
        <div role="region" aria-label="Message">
            <div role="status">
                {move || desk.line.get().map(|line| {
                    let class = match line.tone {
                        Tone::Plain => "line",
                        Tone::Ask => "line ask",
                        Tone::Wrong => "line wrong",
                    };
                    let actions = line.actions.into_iter().map(|action| {
                        let words = action.words.clone();
                        view! {
                            <button type="button" class="button" on:click=move |_| {
                                desk.hush();
                                action.run();
                            }>{words}</button>
                        }
                    }).collect_view();
                    view! {
                        <div class=class>
                            <span class="says">{line.text}</span>
                            {actions}
                            <button type="button" class="link close" on:click=move |_| desk.hush()>"Close"</button>
                        </div>
                    }
                })}
            </div>
        </div>
    }
}
