//! The core held against the judge: see the module.

#[path = "judge/mod.rs"]
mod judge;
