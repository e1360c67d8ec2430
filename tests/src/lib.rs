//! Helpers for the tests that cross crates: a browser driven in the verbs of a user, and the
//! tools that read a PDF.
//!
//! `cargo xtask test` builds the page, installs Chromium and its driver where they are missing,
//! and says where they are. A test that needs them fails without them and says so.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::missing_panics_doc,
    reason = "a test fails by panicking"
)]

mod browser;
mod needs;
mod paper;
mod server;
mod user;

pub use browser::Browser;
pub use needs::{need, run, run_within};
pub use paper::{check_pdf, pdf_fonts, pdf_info, pdf_pages, pdf_text};
pub use server::Server;
pub use user::User;
