//! What independent tools read in a PDF (poppler's pdftotext and pdffonts, qpdf).

use std::path::Path;
use std::process::Command;

fn output(program: &str, arguments: &[&str], pdf: &Path) -> String {
    let mut command = Command::new(program);
    for argument in arguments {
        command.arg(if *argument == "PDF" { pdf.as_os_str() } else { argument.as_ref() });
    }
    let output = command
        .output()
        .unwrap_or_else(|e| panic!("{program} does not start: {e}. Run `cargo xtask test`."));
    assert!(
        output.status.success(),
        "{program}: {}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// The text of a PDF as it is laid out.
#[must_use]
pub fn pdf_text(pdf: &Path) -> String {
    output("pdftotext", &["-layout", "PDF", "-"], pdf)
}

/// Its fonts, as pdffonts lists them.
#[must_use]
pub fn pdf_fonts(pdf: &Path) -> String {
    output("pdffonts", &["PDF"], pdf)
}

/// Fails unless qpdf finds its structure in order.
pub fn check_pdf(pdf: &Path) {
    output("qpdf", &["--check", "PDF"], pdf);
}

/// How many pages it has.
#[must_use]
pub fn pdf_pages(pdf: &Path) -> usize {
    let said = output("qpdf", &["--show-npages", "PDF"], pdf);
    said.trim().parse().unwrap_or_else(|_| panic!("qpdf counts “{said}” pages"))
}

/// What it says of itself: title, author, size of the page and so on, as pdfinfo lists them.
#[must_use]
pub fn pdf_info(pdf: &Path) -> String {
    output("pdfinfo", &["PDF"], pdf)
}
