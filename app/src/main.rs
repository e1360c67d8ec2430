//! The screens of Quarterturn.

mod clock;
mod desk;
mod keep;
mod screens;

use desk::{Desk, Screen};
use leptos::prelude::*;

#[component]
fn App() -> impl IntoView {
    let desk = Desk::provide();
    move || match desk.screen.get() {
        Screen::Drawing => view! { <screens::Drawing/> }.into_any(),
        Screen::Bench => view! { <screens::Bench/> }.into_any(),
        Screen::Findings => view! { <screens::Findings/> }.into_any(),
        Screen::Sheet => view! { <screens::Sheet/> }.into_any(),
    }
}

fn main() {
    console_error_panic_hook::set_once();
    leptos::mount::mount_to_body(App);
}
