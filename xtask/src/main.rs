//! Set-up, build, serve and checks: everything one does to Quarterturn besides writing it.
//!
//! `cargo xtask` prints what there is. Each command first sets up what it lacks, says so before it
//! does, and leaves alone what is already there in the right version.

mod child;
mod compress;
mod folders;
mod lint;
mod lockfile;
mod options;
mod page;
mod places;
mod say;
mod serve;
mod setup;
mod size;
mod stamp;
mod test;
mod tidy;
mod version;

use std::process::ExitCode;

use anyhow::Result;

use options::Options;

const HELP: &str = "\
cargo xtask COMMAND

  serve [--port N]      set up what is missing, build dist/, serve it on 127.0.0.1 and print the
                        address (port 8080, or the next free one; 0: any free one)
        --no-build      serve dist/ as it is
        --with-stdin    end when standard input closes, for programs that start a server
  build                 set up what is missing and build dist/, ready for any static web server
  test [-- ARGS]        all tests, those in the browser against a freshly built dist/;
                        ARGS go to `cargo test`
        --native        without the browser's tests: quick, builds no page
        --no-build      the browser's tests against dist/ as it is
  bench                 times of `evaluate` natively and of the page in the browser; prints figures
  lint                  cargo fmt --check, clippy with warnings denied, tidy
  tidy                  what must hold in the repository: paths in DEVELOPERS.md, no browser in
                        core, nothing stray at the top level
  size                  bytes that the page loads when it opens, and later
  setup                 set up what build and test need, and do nothing else

Tools go to ${XDG_CACHE_HOME:-~/.cache}/quarterturn, outside the checkout. Environment:

  QUARTERTURN_WASM_STD=rustup|debian
                        where the standard library of the page comes from; unset: from rustup, and
                        when rustup cannot fetch it, built from Debian's sources
  QUARTERTURN_CHROMIUM, QUARTERTURN_CHROMEDRIVER
                        a browser and driver of your own for `test`
";

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            eprintln!("xtask: {trouble:#}");
            ExitCode::FAILURE
        }
    }
}

fn run() -> Result<()> {
    let mut arguments = std::env::args().skip(1);
    let Some(command) = arguments.next() else {
        print!("{HELP}");
        return Ok(());
    };
    let mut options = Options::new(arguments);
    match command.as_str() {
        "serve" => serve::command(options),
        "build" => {
            options.finish()?;
            page::build()
        }
        "test" => test::command(options),
        "lint" => {
            options.finish()?;
            lint::command()
        }
        "tidy" => {
            options.finish()?;
            tidy::command()
        }
        "bench" => {
            options.finish()?;
            test::bench()
        }
        "size" => {
            options.finish()?;
            size::command()
        }
        "setup" => {
            options.finish()?;
            setup::for_native_tests()?;
            // Brings npm, whose tools are the better ones for the page as well.
            setup::for_browser_tests()?;
            setup::for_page()?;
            Ok(())
        }
        "help" | "--help" | "-h" => {
            print!("{HELP}");
            Ok(())
        }
        other => anyhow::bail!("there is no command '{other}'; `cargo xtask` lists them"),
    }
}
