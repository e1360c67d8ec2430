//! Media types by file ending.

use std::path::Path;

/// The media type of a file; bytes without a meaning if the ending is not known.
pub(super) fn of(file: &Path) -> &'static str {
    match file.extension().and_then(|it| it.to_str()).unwrap_or("") {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        // Browsers compile a module while it arrives only under its own type.
        "wasm" => "application/wasm",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "pdf" => "application/pdf",
        "txt" => "text/plain; charset=utf-8",
        "ttf" => "font/ttf",
        "otf" => "font/otf",
        "woff" => "font/woff",
        "woff2" => "font/woff2",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pages_files_have_their_types() {
        assert_eq!(of(Path::new("a/b_bg.wasm")), "application/wasm");
        assert_eq!(of(Path::new("app.js")), "text/javascript; charset=utf-8");
        assert_eq!(of(Path::new("job.schema.json")), "application/json");
        assert_eq!(of(Path::new("plex.ttf")), "font/ttf");
        assert_eq!(of(Path::new("b_bg.wasm.br")), "application/octet-stream");
        assert_eq!(of(Path::new("LICENSE")), "application/octet-stream");
    }
}
