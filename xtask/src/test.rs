//! Running the tests: all of them, with a freshly built page for the browser's.

use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::options::Options;
use crate::{child, page, places, say, setup};

/// The package whose tests cross crates.
const CROSSING: &str = "quarterturn-tests";
/// The browser's tests are integration tests of that package with names that start so.
const OF_BROWSER: &str = "browser_";

/// `cargo xtask test`.
///
/// # Errors
/// When something cannot be set up or built, or a test fails.
pub(crate) fn command(mut options: Options) -> Result<()> {
    let native = options.flag("--native");
    let build = !options.flag("--no-build");
    let passed_on = options.finish_with_rest()?;
    setup::for_native_tests()?;
    if native { native_tests(&passed_on) } else { all_tests(build, &passed_on) }
}

fn all_tests(build: bool, passed_on: &[String]) -> Result<()> {
    let tools = setup::for_browser_tests()?;
    if build {
        page::build()?;
    }
    let dist = places::dist();
    if !dist.join("index.html").is_file() {
        bail!("there is no page in dist/ yet; leave out --no-build");
    }
    let step = say::step("Running the tests");
    let mut test = cargo_test();
    if !names_package(passed_on) {
        test.arg("--workspace");
    }
    child::run(with_browser(test.args(passed_on), &tools)?)?;
    step.done();
    Ok(())
}

/// Says where the built page, the browser and the rest are.
fn with_browser<'a>(
    command: &'a mut Command,
    tools: &setup::BrowserTools,
) -> Result<&'a mut Command> {
    // Known before the tests: they may put a new program in this one's place.
    let this = std::env::current_exe().context("finding this program")?;
    Ok(command
        .env("QUARTERTURN_DIST", places::dist())
        .env("QUARTERTURN_CHROMIUM", &tools.browser.chromium)
        .env("QUARTERTURN_CHROMEDRIVER", &tools.browser.driver)
        .env("QUARTERTURN_AXE", &tools.axe)
        .env("QUARTERTURN_XTASK", this))
}

/// `cargo xtask bench`: the benchmarks, natively and in the browser. They print figures and fail
/// nobody.
///
/// # Errors
/// When something cannot be set up, built or run.
pub(crate) fn bench() -> Result<()> {
    let tools = setup::for_browser_tests()?;
    page::build()?;
    let step = say::step("Measuring");
    for (package, example, release) in
        [("quarterturn-core", "bench_evaluate", true), (CROSSING, "bench_page", false)]
    {
        let mut run = child::command("cargo");
        run.args(["run", "--quiet", "--locked", "--package", package, "--example", example]);
        if release {
            run.arg("--release");
        }
        child::run(with_browser(&mut run, &tools)?)?;
    }
    step.done();
    Ok(())
}

fn native_tests(passed_on: &[String]) -> Result<()> {
    let step = say::step("Running the tests, without the browser's");
    if names_package(passed_on) {
        child::run(cargo_test().args(passed_on))?;
        step.done();
        return Ok(());
    }
    let mut rest = cargo_test();
    rest.args(["--workspace", "--exclude", CROSSING]);
    child::run(rest.args(passed_on))?;

    let mut crossing = cargo_test();
    crossing.args(["--package", CROSSING, "--lib"]);
    for name in integration_tests()? {
        if !name.starts_with(OF_BROWSER) {
            crossing.args(["--test", &name]);
        }
    }
    child::run(crossing.args(passed_on))?;
    step.done();
    Ok(())
}

fn cargo_test() -> Command {
    let mut test = child::command("cargo");
    test.args(["test", "--locked"]);
    test
}

/// Does the caller choose packages himself? Cargo would pass over his choice if it were told to
/// take the whole workspace as well.
fn names_package(passed_on: &[String]) -> bool {
    passed_on
        .iter()
        .take_while(|word| *word != "--")
        .any(|word| word.starts_with("-p") || word.starts_with("--package"))
}

/// Names of the integration tests of the package that crosses crates.
fn integration_tests() -> Result<Vec<String>> {
    let text = child::answer(child::command("cargo").args([
        "metadata",
        "--no-deps",
        "--locked",
        "--format-version=1",
    ]))
    .context("`cargo metadata --locked` fails; is Cargo.lock up to date?")?;
    integration_tests_in(&text).context("`cargo metadata` gave no list of tests")
}

fn integration_tests_in(metadata: &str) -> Option<Vec<String>> {
    let metadata: serde_json::Value = serde_json::from_str(metadata).ok()?;
    let package = metadata
        .get("packages")?
        .as_array()?
        .iter()
        .find(|package| package.get("name").is_some_and(|name| name == CROSSING))?;
    let tests = package.get("targets")?.as_array()?.iter();
    tests
        .filter(|target| {
            target
                .get("kind")
                .and_then(|kinds| kinds.as_array())
                .is_some_and(|kinds| kinds.iter().any(|kind| kind == "test"))
        })
        .map(|target| Some(target.get("name")?.as_str()?.to_owned()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn integration_tests_are_told_from_other_targets() {
        let metadata = r#"{"packages": [
            {"name": "other", "targets": [{"kind": ["test"], "name": "elsewhere"}]},
            {"name": "quarterturn-tests", "targets": [
                {"kind": ["lib"], "name": "quarterturn_tests"},
                {"kind": ["test"], "name": "browser_job"},
                {"kind": ["test"], "name": "sheets"},
                {"kind": ["bench"], "name": "speed"}]}]}"#;
        assert_eq!(integration_tests_in(metadata).unwrap(), ["browser_job", "sheets"]);
        assert_eq!(integration_tests_in("{}"), None);
    }

    #[test]
    fn a_package_named_by_the_caller_is_seen() {
        let words =
            |line: &str| -> Vec<String> { line.split_whitespace().map(str::to_owned).collect() };
        assert!(names_package(&words("-p quarterturn-core")));
        assert!(names_package(&words("--package=xtask name")));
        assert!(!names_package(&words("bonus -- -p")));
        assert!(!names_package(&[]));
    }
}
