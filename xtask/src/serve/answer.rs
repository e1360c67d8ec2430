//! A request's answer.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::request::{Refusal, Request};
use super::{files, media};
use crate::compress::Coding;

/// A status, headers and a body that is sent unless only the head was asked for.
pub(super) struct Answer {
    status: &'static str,
    headers: Vec<(&'static str, String)>,
    body: Vec<u8>,
    with_body: bool,
}

/// Answers a request from the files of a folder, whose path is canonical.
pub(super) fn of(request: &Request, folder: &Path) -> Answer {
    let with_body = match request.method.as_str() {
        "GET" => true,
        "HEAD" => false,
        _ => {
            let mut answer = Answer::plain("405 Method Not Allowed");
            answer.headers.push(("Allow", "GET, HEAD".to_owned()));
            return answer;
        }
    };
    let mut answer = match files::find(folder, &request.target) {
        Some(file) => of_file(request, &file),
        None => Answer::plain("404 Not Found"),
    };
    answer.with_body = with_body;
    answer
}

fn of_file(request: &Request, file: &Path) -> Answer {
    let (sent, coding) = smallest(file, &request.accept_encoding);
    let (Ok(body), Some(tag)) = (std::fs::read(&sent), tag(&sent)) else {
        return Answer::plain("500 Internal Server Error");
    };
    let mut answer = Answer {
        status: "200 OK",
        headers: vec![
            // Kept, but asked for again each time: a new build is seen at once.
            ("Cache-Control", "no-cache".to_owned()),
            ("Vary", "Accept-Encoding".to_owned()),
        ],
        body: Vec::new(),
        with_body: true,
    };
    let known =
        request.if_none_match.split(',').any(|it| it.trim().trim_start_matches("W/") == tag);
    answer.headers.push(("ETag", tag));
    if known {
        answer.status = "304 Not Modified";
        return answer;
    }
    answer.headers.push(("Content-Type", media::of(file).to_owned()));
    if let Some(coding) = coding {
        answer.headers.push(("Content-Encoding", coding.token().to_owned()));
    }
    answer.body = body;
    answer
}

/// The copy that is sent: the best coding that the visitor takes and the build has left. A copy
/// older than its file is of another build and not taken.
fn smallest(file: &Path, accept_encoding: &str) -> (PathBuf, Option<Coding>) {
    let changed = |path: &Path| path.metadata().and_then(|it| it.modified()).ok();
    Coding::ALL
        .into_iter()
        .filter(|coding| accepts(accept_encoding, coding.token()))
        .map(|coding| (coding.beside(file), Some(coding)))
        .find(|(copy, _)| changed(copy).is_some_and(|it| Some(it) >= changed(file)))
        .unwrap_or_else(|| (file.to_path_buf(), None))
}

/// Does `Accept-Encoding` name the coding, and not with a weight of nothing?
fn accepts(accept_encoding: &str, token: &str) -> bool {
    accept_encoding.split(',').any(|item| {
        let mut parts = item.split(';').map(str::trim);
        let named = parts.next().is_some_and(|name| name.eq_ignore_ascii_case(token));
        let refused = parts.any(|part| {
            part.strip_prefix("q=")
                .and_then(|weight| weight.parse::<f32>().ok())
                .is_some_and(|weight| weight <= 0.0)
        });
        named && !refused
    })
}

/// A mark of the file's present content: its length and when it changed.
fn tag(file: &Path) -> Option<String> {
    let about = file.metadata().ok()?;
    let changed = about.modified().ok()?.duration_since(std::time::UNIX_EPOCH).ok()?;
    let kind = file.extension().and_then(|it| it.to_str()).unwrap_or("");
    Some(format!("\"{:x}-{:x}-{kind}\"", about.len(), changed.as_nanos()))
}

impl Answer {
    fn plain(status: &'static str) -> Self {
        Self {
            status,
            headers: vec![("Content-Type", "text/plain; charset=utf-8".to_owned())],
            body: format!("{status}\n").into_bytes(),
            with_body: true,
        }
    }

    /// The answer to what is no request.
    pub(super) fn of_refusal(refusal: Refusal) -> Self {
        Self::plain(match refusal {
            Refusal::Malformed => "400 Bad Request",
            Refusal::TooLong => "431 Request Header Fields Too Large",
        })
    }

    /// Sends the answer.
    ///
    /// # Errors
    /// When the connection breaks.
    pub(super) fn write(&self, stream: &mut impl Write) -> std::io::Result<()> {
        let mut head = format!("HTTP/1.1 {}\r\n", self.status);
        for (name, content) in &self.headers {
            head.push_str(&format!("{name}: {content}\r\n"));
        }
        head.push_str("X-Content-Type-Options: nosniff\r\nConnection: close\r\n");
        if !self.status.starts_with("304") {
            head.push_str(&format!("Content-Length: {}\r\n", self.body.len()));
        }
        head.push_str("\r\n");
        stream.write_all(head.as_bytes())?;
        if self.with_body {
            stream.write_all(&self.body)?;
        }
        stream.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codings_are_taken_as_the_visitor_lists_them() {
        assert!(accepts("gzip, deflate, br, zstd", "br"));
        assert!(accepts("GZIP;q=0.5", "gzip"));
        assert!(!accepts("gzip;q=0, br", "gzip"));
        assert!(!accepts("", "br"));
        assert!(!accepts("brx", "br"));
    }
}
