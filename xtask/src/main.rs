//! Set-up, build, serve and checks.
fn main() {}
