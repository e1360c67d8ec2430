//! What the page weighs: when it opens, and later.

use std::path::Path;

use anyhow::{Result, bail};

use crate::compress::{Coding, files_below};
use crate::places;

/// What the page may load when it opens, compressed, in bytes.
const LIMIT: u64 = 1_000_000;

/// The sizes of one file in bytes.
struct Weight {
    name: String,
    raw: u64,
    gzip: u64,
    brotli: u64,
    at_opening: bool,
}

/// `cargo xtask size`.
///
/// # Errors
/// When `dist/` is not built, or what the page loads when it opens is over the limit.
pub(crate) fn command() -> Result<()> {
    let dist = places::dist();
    let index = dist.join("index.html");
    if !index.is_file() {
        bail!("there is no page in dist/ yet; `cargo xtask build` makes it");
    }
    let mut named = names_in_page(&std::fs::read_to_string(&index)?);
    for style in named.clone().iter().filter(|it| it.ends_with(".css")) {
        if let Ok(text) = std::fs::read_to_string(dist.join(style)) {
            named.extend(names_in_style(&text));
        }
    }
    let mut weights = Vec::new();
    for file in files_below(&dist)? {
        let name = file.strip_prefix(&dist)?.to_string_lossy().into_owned();
        if !name.ends_with(".br") && !name.ends_with(".gz") {
            let at_opening = opens(&name, &named);
            weights.push(weigh(&file, name, at_opening)?);
        }
    }
    println!("{:<38}{:>12}{:>12}{:>12}  (bytes)", "", "raw", "gzip", "brotli");
    let opening = table("When the page opens", weights.iter().filter(|it| it.at_opening));
    println!();
    table("Later, or never", weights.iter().filter(|it| !it.at_opening));
    println!();
    if opening.brotli > LIMIT {
        bail!("the page loads {} bytes when it opens, more than {LIMIT}", opening.brotli);
    }
    println!(
        "{} bytes are left of the {LIMIT} that the page may load when it opens",
        LIMIT - opening.brotli
    );
    Ok(())
}

fn table<'a>(title: &str, weights: impl Iterator<Item = &'a Weight>) -> Weight {
    println!("{title}");
    let mut total =
        Weight { name: "together".into(), raw: 0, gzip: 0, brotli: 0, at_opening: true };
    for weight in weights {
        line(weight);
        total.raw += weight.raw;
        total.gzip += weight.gzip;
        total.brotli += weight.brotli;
    }
    line(&total);
    total
}

fn line(weight: &Weight) {
    println!("  {:<36}{:>12}{:>12}{:>12}", weight.name, weight.raw, weight.gzip, weight.brotli);
}

/// A file without a compressed copy goes over the wire as it is.
fn weigh(file: &Path, name: String, at_opening: bool) -> Result<Weight> {
    let raw = file.metadata()?.len();
    let packed = |coding: Coding| coding.beside(file).metadata().map_or(raw, |it| it.len());
    Ok(Weight { name, raw, gzip: packed(Coding::Gzip), brotli: packed(Coding::Brotli), at_opening })
}

/// Does the page load the file when it opens? What the page or its style names, the parts of its
/// script, and the demo job, which a first visit opens.
fn opens(name: &str, named: &[String]) -> bool {
    name == "index.html"
        || name == "demo-job.json"
        || name.starts_with("snippets/")
        || named.iter().any(|it| it == name)
}

/// Files of the page's own that its elements name.
fn names_in_page(page: &str) -> Vec<String> {
    ["href=\"", "src=\""]
        .iter()
        .flat_map(|attribute| page.split(attribute).skip(1))
        .filter_map(|rest| own_name(rest.split('"').next()?))
        .collect()
}

fn names_in_style(style: &str) -> Vec<String> {
    style
        .split("url(")
        .skip(1)
        .filter_map(|rest| own_name(rest.split(')').next()?.trim().trim_matches(['"', '\''])))
        .collect()
}

fn own_name(address: &str) -> Option<String> {
    let elsewhere = address.contains(':') || address.starts_with('#') || address.is_empty();
    let name = address.split(['?', '#']).next()?;
    (!elsewhere).then(|| name.trim_start_matches("./").to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_page_names_is_loaded_when_it_opens() {
        let page = r##"<link rel="icon" href="./favicon.svg"><script src="./start.js" defer>
            <a href="https://example.org/x.js"> <a href="#top"> <img src="data:image/png;base64,">"##;
        assert_eq!(names_in_page(page), ["favicon.svg", "start.js"]);
        let style = "a{src:url(\"./fonts/a.woff2?v\")}b{src:url(fonts/b.ttf)}c{x:url('data:x')}";
        assert_eq!(names_in_style(style), ["fonts/a.woff2", "fonts/b.ttf"]);
    }

    #[test]
    fn the_pdf_writer_is_loaded_later() {
        let named = ["start.js".to_owned()];
        assert!(opens("index.html", &named));
        assert!(opens("start.js", &named));
        assert!(!opens("press_bg.wasm", &named));
    }
}
