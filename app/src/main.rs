//! The screens of Quarterturn.
fn main() {}
