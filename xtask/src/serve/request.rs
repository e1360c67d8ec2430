//! The head of a request, as far as a static server needs it.

use std::io::Read;

/// No head of an honest browser is longer, in bytes.
const LONGEST_HEAD: usize = 16 * 1024;

/// What was asked for.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Request {
    pub(super) method: String,
    /// As it came: percent signs and query included.
    pub(super) target: String,
    /// Content of `Accept-Encoding`, empty if there was none.
    pub(super) accept_encoding: String,
    /// Content of `If-None-Match`, empty if there was none.
    pub(super) if_none_match: String,
}

/// Why a request is not looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refusal {
    /// It is no request.
    Malformed,
    /// Its head is too long.
    TooLong,
}

/// Reads the head of a request; None if the visitor left without a word.
///
/// # Errors
/// When the connection breaks or stays silent for too long.
pub(super) fn read(stream: &mut impl Read) -> std::io::Result<Option<Result<Request, Refusal>>> {
    let mut head = Vec::new();
    let mut part = [0; 2048];
    loop {
        let count = stream.read(&mut part)?;
        if count == 0 {
            return Ok((!head.is_empty()).then_some(Err(Refusal::Malformed)));
        }
        // The end may straddle two reads, so the search begins a little before the new part.
        let from = head.len().saturating_sub(3);
        head.extend_from_slice(part.get(..count).unwrap_or(&part));
        let end = head.get(from..).and_then(|new| new.windows(4).position(|it| it == b"\r\n\r\n"));
        if let Some(end) = end {
            head.truncate(from + end);
            return Ok(Some(parse(&head)));
        }
        if head.len() > LONGEST_HEAD {
            return Ok(Some(Err(Refusal::TooLong)));
        }
    }
}

fn parse(head: &[u8]) -> Result<Request, Refusal> {
    let head = std::str::from_utf8(head).map_err(|_| Refusal::Malformed)?;
    let mut lines = head.split("\r\n");
    let mut words = lines.next().unwrap_or_default().split(' ');
    let (Some(method), Some(target), Some(version), None) =
        (words.next(), words.next(), words.next(), words.next())
    else {
        return Err(Refusal::Malformed);
    };
    if method.is_empty() || !target.starts_with('/') || !version.starts_with("HTTP/1.") {
        return Err(Refusal::Malformed);
    }
    let mut request = Request {
        method: method.to_owned(),
        target: target.to_owned(),
        accept_encoding: String::new(),
        if_none_match: String::new(),
    };
    for line in lines {
        let (name, content) = line.split_once(':').ok_or(Refusal::Malformed)?;
        if name.eq_ignore_ascii_case("accept-encoding") {
            content.trim().clone_into(&mut request.accept_encoding);
        } else if name.eq_ignore_ascii_case("if-none-match") {
            content.trim().clone_into(&mut request.if_none_match);
        }
    }
    Ok(request)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gives a few bytes at a time, as a network may.
    struct Dripping<'a>(&'a [u8]);

    impl Read for Dripping<'_> {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            let count = self.0.len().min(3).min(into.len());
            let (now, later) = self.0.split_at(count);
            into[..count].copy_from_slice(now);
            self.0 = later;
            Ok(count)
        }
    }

    #[test]
    fn a_head_is_read_however_it_arrives() {
        let head = b"GET /a?b HTTP/1.1\r\nHost: x\r\naccept-ENCODING:  br, gzip \r\n\r\nrest";
        let expected = Request {
            method: "GET".into(),
            target: "/a?b".into(),
            accept_encoding: "br, gzip".into(),
            if_none_match: String::new(),
        };
        assert_eq!(read(&mut &head[..]).unwrap(), Some(Ok(expected)));
        let dripped = read(&mut Dripping(head)).unwrap().unwrap().unwrap();
        assert_eq!(dripped.accept_encoding, "br, gzip");
    }

    #[test]
    fn nonsense_is_refused() {
        for head in [
            "GET\r\n\r\n",
            "GET / FTP/1\r\n\r\n",
            "GET http://x/ HTTP/1.1\r\n\r\n",
            "GET / HTTP/1.1 x\r\n\r\n",
            "GET / HTTP/1.1\r\nno colon\r\n\r\n",
            "GET / HTTP/1.1\r\nnever ends",
        ] {
            let got = read(&mut head.as_bytes()).unwrap();
            assert_eq!(got, Some(Err(Refusal::Malformed)), "{head}");
        }
        assert_eq!(read(&mut &b""[..]).unwrap(), None);
    }
}
