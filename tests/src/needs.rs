//! What a test needs from its surroundings.

/// The value of an environment variable that `cargo xtask test` sets.
#[must_use]
pub fn need(name: &str) -> String {
    std::env::var(name).unwrap_or_else(|_| {
        panic!("{name} is not set: browser tests need the built page and a browser. Run `cargo xtask test`.")
    })
}

/// Runs an async test to its end, two minutes at most.
pub fn run<F: Future<Output = ()>>(test: F) {
    run_within(120, test);
}

/// Runs an async test or benchmark to its end, so many seconds at most.
pub fn run_within<F: Future<Output = ()>>(seconds: u64, test: F) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        tokio::time::timeout(std::time::Duration::from_secs(seconds), test)
            .await
            .unwrap_or_else(|_| panic!("it took longer than {seconds} seconds"));
    });
}
