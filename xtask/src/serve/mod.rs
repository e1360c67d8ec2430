//! A small static web server for the built page, on loopback alone.
//!
//! It does what a good static server would do for `dist/`: right media types, the compressed copies
//! that the build left, revalidation of every file, nothing outside the folder. One request a
//! connection, a fixed number of threads.
//!
//! - `request`: the head of a request
//! - `files`: from an address to a file of the folder
//! - `answer`: a request's answer
//! - `media`: media types by file ending

mod answer;
mod files;
mod media;
mod request;

use std::io::{ErrorKind, Write as _};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use anyhow::{Context, Result, bail};

use crate::options::Options;
use crate::{page, places, say};

const DEFAULT_PORT: u16 = 8080;
/// How many ports above the wanted one are tried.
const TRIES: u16 = 100;
/// Browsers keep a few connections open in advance; each holds a thread until it is used or times
/// out, so there are more threads than a browser has connections.
const THREADS: usize = 32;
const WAITING: usize = 64;
const SLOWEST_HEAD: Duration = Duration::from_secs(5);
const SLOWEST_READER: Duration = Duration::from_secs(30);

/// `cargo xtask serve`.
///
/// # Errors
/// When the page cannot be built or no port is free.
pub(crate) fn command(mut options: Options) -> Result<()> {
    let build = !options.flag("--no-build");
    let with_stdin = options.flag("--with-stdin");
    let wanted = match options.value("--port")? {
        None => DEFAULT_PORT,
        Some(word) => word
            .parse()
            .with_context(|| format!("'{word}' is no port; a port is a number up to 65535"))?,
    };
    options.finish()?;

    if build {
        page::build()?;
    }
    let dist = places::dist();
    if !dist.join("index.html").is_file() {
        bail!("there is no page in dist/ yet; `cargo xtask build` makes it");
    }
    let listener = listen(wanted)?;
    let port = listener.local_addr()?.port();
    if wanted != 0 && port != wanted {
        say::note(&format!("port {wanted} is taken"));
    }
    // One line on standard output, for people and for programs that start this.
    println!("Quarterturn is at http://127.0.0.1:{port}/");
    std::io::stdout().flush()?;
    if with_stdin {
        std::thread::spawn(end_with_standard_input);
    } else {
        say::note("Ctrl-C ends it");
    }
    run(&listener, &dist)
}

/// The wanted port, or the next free one above it.
fn listen(wanted: u16) -> Result<TcpListener> {
    let last = if wanted == 0 { 0 } else { wanted.saturating_add(TRIES) };
    for port in wanted..=last {
        match TcpListener::bind((Ipv4Addr::LOCALHOST, port)) {
            Ok(listener) => return Ok(listener),
            Err(trouble) if trouble.kind() == ErrorKind::AddrInUse => {}
            Err(trouble) => {
                return Err(trouble).with_context(|| format!("listening on port {port}"));
            }
        }
    }
    bail!("no port from {wanted} to {last} is free; name another by --port N")
}

/// A program that started this server holds its input open; when it is gone, so is the need.
fn end_with_standard_input() {
    let _ = std::io::copy(&mut std::io::stdin(), &mut std::io::sink());
    std::process::exit(0);
}

/// Serves the folder until the process ends.
fn run(listener: &TcpListener, folder: &Path) -> Result<()> {
    let folder: Arc<PathBuf> =
        Arc::new(folder.canonicalize().with_context(|| format!("finding {}", folder.display()))?);
    let (sender, receiver) = sync_channel::<TcpStream>(WAITING);
    let receiver = Arc::new(Mutex::new(receiver));
    for _ in 0..THREADS {
        let (receiver, folder) = (Arc::clone(&receiver), Arc::clone(&folder));
        std::thread::Builder::new().name("serve".into()).spawn(move || work(&receiver, &folder))?;
    }
    loop {
        match listener.accept() {
            // Waits while all threads are busy: the bound on work taken in.
            Ok((stream, _)) => sender.send(stream).context("all threads ended")?,
            // A visitor that is gone again, or too many open files: the next one may do better.
            Err(_) => std::thread::sleep(Duration::from_millis(20)),
        }
    }
}

fn work(receiver: &Mutex<Receiver<TcpStream>>, folder: &Path) {
    loop {
        let next = receiver.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok(stream) = next else { return };
        // A visitor that leaves in the middle is none of the server's trouble.
        let _ = attend(stream, folder);
    }
}

fn attend(mut stream: TcpStream, folder: &Path) -> std::io::Result<()> {
    stream.set_read_timeout(Some(SLOWEST_HEAD))?;
    stream.set_write_timeout(Some(SLOWEST_READER))?;
    stream.set_nodelay(true)?;
    let Some(answer) = request::read(&mut stream)?.map(|request| {
        request.map_or_else(answer::Answer::of_refusal, |it| answer::of(&it, folder))
    }) else {
        return Ok(());
    };
    answer.write(&mut stream)?;
    stream.shutdown(std::net::Shutdown::Write)?;
    // Closing with unread bytes would break the connection before the answer arrives.
    stream.set_read_timeout(Some(Duration::from_millis(500)))?;
    let mut left = std::io::Read::take(&mut stream, 1 << 16);
    std::io::copy(&mut left, &mut std::io::sink())?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read as _;

    /// A served folder and what it answers.
    struct Served {
        folder: PathBuf,
        port: u16,
    }

    impl Served {
        fn start(name: &str) -> Self {
            let base = std::env::temp_dir().join(format!("serve-{name}-{}", std::process::id()));
            let _ = std::fs::remove_dir_all(&base);
            let folder = base.join("dist");
            std::fs::create_dir_all(folder.join("fonts")).unwrap();
            std::fs::write(base.join("secret.txt"), "secret").unwrap();
            std::fs::write(folder.join("index.html"), "<!DOCTYPE html>").unwrap();
            std::fs::write(folder.join("app.wasm"), b"\0asm plain").unwrap();
            std::fs::write(folder.join("app.wasm.br"), "brotli").unwrap();
            std::fs::write(folder.join("app.wasm.gz"), "gzip").unwrap();
            std::fs::write(folder.join(".hidden"), "hidden").unwrap();
            std::os::unix::fs::symlink(base.join("secret.txt"), folder.join("link.txt")).unwrap();
            let listener = listen(0).unwrap();
            let port = listener.local_addr().unwrap().port();
            let served = folder.clone();
            std::thread::spawn(move || run(&listener, &served));
            Self { folder, port }
        }

        /// Sends the head of a request and gives the answer's head and body.
        fn ask(&self, head: &str) -> (String, Vec<u8>) {
            let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port)).unwrap();
            stream.write_all(head.as_bytes()).unwrap();
            stream.write_all(b"\r\n\r\n").unwrap();
            let mut all = Vec::new();
            stream.read_to_end(&mut all).unwrap();
            let end = all.windows(4).position(|it| it == b"\r\n\r\n").unwrap();
            let body = all.split_off(end + 4);
            (String::from_utf8(all).unwrap(), body)
        }

        fn get(&self, path: &str, accepting: &str) -> (String, Vec<u8>) {
            self.ask(&format!("GET {path} HTTP/1.1\r\nHost: x\r\nAccept-Encoding: {accepting}"))
        }
    }

    impl Drop for Served {
        fn drop(&mut self) {
            let _ = std::fs::remove_dir_all(self.folder.parent().unwrap());
        }
    }

    #[test]
    fn the_page_and_its_module_are_served() {
        let served = Served::start("page");
        let (head, body) = served.get("/", "identity");
        assert!(head.starts_with("HTTP/1.1 200 OK\r\n"), "{head}");
        assert!(head.contains("Content-Type: text/html; charset=utf-8\r\n"));
        assert!(head.contains("Cache-Control: no-cache\r\n"));
        assert_eq!(body, b"<!DOCTYPE html>");

        let (head, body) = served.get("/app.wasm?v=1", "gzip, deflate, br");
        assert!(head.contains("Content-Type: application/wasm\r\n"));
        assert!(head.contains("Content-Encoding: br\r\n"));
        assert!(head.contains("Vary: Accept-Encoding\r\n"));
        assert_eq!(body, b"brotli");
        assert_eq!(served.get("/app.wasm", "gzip").1, b"gzip");
        assert_eq!(served.get("/app.wasm", "gzip;q=0").1, b"\0asm plain");
    }

    #[test]
    fn head_has_the_lengths_but_no_body_and_others_are_refused() {
        let served = Served::start("methods");
        let (head, body) = served.ask("HEAD /app.wasm HTTP/1.1\r\nHost: x");
        assert!(head.contains("Content-Length: 10\r\n"), "{head}");
        assert!(body.is_empty());
        let (head, _) = served.ask("POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 4");
        assert!(head.starts_with("HTTP/1.1 405 "), "{head}");
        assert!(head.contains("Allow: GET, HEAD\r\n"));
    }

    #[test]
    fn what_a_browser_holds_is_not_sent_again() {
        let served = Served::start("again");
        let (head, _) = served.get("/", "br");
        let tag = head.lines().find_map(|line| line.strip_prefix("ETag: ")).unwrap();
        let (head, body) =
            served.ask(&format!("GET / HTTP/1.1\r\nHost: x\r\nIf-None-Match: {tag}"));
        assert!(head.starts_with("HTTP/1.1 304 "), "{head}");
        assert!(body.is_empty());
        std::fs::write(served.folder.join("index.html"), "<!DOCTYPE html>\n").unwrap();
        let (head, _) = served.ask(&format!("GET / HTTP/1.1\r\nHost: x\r\nIf-None-Match: {tag}"));
        assert!(head.starts_with("HTTP/1.1 200 "), "{head}");
    }

    #[test]
    fn nothing_outside_the_folder_is_served() {
        let served = Served::start("outside");
        for path in [
            "/../secret.txt",
            "/%2e%2e/secret.txt",
            "/fonts/..%2f..%2fsecret.txt",
            "/link.txt",
            "/.hidden",
            "/fonts/%2e./.hidden",
            "/no-such-file",
            "/fonts",
        ] {
            let (head, body) = served.get(path, "br");
            assert!(head.starts_with("HTTP/1.1 404 "), "{path}: {head}");
            assert!(!String::from_utf8_lossy(&body).contains("secret"), "{path}");
        }
    }

    #[test]
    fn what_is_no_request_is_refused() {
        let served = Served::start("no-request");
        assert!(served.ask("hello").0.starts_with("HTTP/1.1 400 "));
        let long = format!("GET /{} HTTP/1.1", "a".repeat(20_000));
        assert!(served.ask(&long).0.starts_with("HTTP/1.1 431 "));
    }

    #[test]
    fn a_taken_port_gives_way_to_the_next() {
        let first = listen(0).unwrap();
        let taken = first.local_addr().unwrap().port();
        let second = listen(taken).unwrap();
        assert!(second.local_addr().unwrap().port() > taken);
    }
}
