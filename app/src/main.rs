//! The screens of Quarterturn.
#![allow(
    unreachable_pub,
    reason = "nothing of a program is reachable, and the component macro writes `pub`"
)]

mod clock;
mod desk;
mod file;
mod fonts;
mod gauge;
mod gauge_words;
mod keep;
mod keys;
mod panic;
mod pdf;
mod screens;
mod shell;
mod widgets;

fn main() {
    panic::set_hook();
    fonts::register();
    leptos::mount::mount_to_body(shell::Shell);
}
