//! A static server of the built page on loopback, that remembers what was asked of it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex};

/// The server; it ends with the test's process.
pub struct Server {
    /// `http://127.0.0.1:PORT/`
    pub address: String,
    asked: Arc<Mutex<Vec<String>>>,
}

impl Server {
    /// Serves the folder that `QUARTERTURN_DIST` names.
    #[must_use]
    pub fn start() -> Self {
        let root = PathBuf::from(crate::need("QUARTERTURN_DIST"));
        assert!(root.join("index.html").is_file(), "{} holds no built page", root.display());
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}/", listener.local_addr().unwrap());
        let asked = Arc::new(Mutex::new(Vec::new()));
        let log = Arc::clone(&asked);
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let (root, log) = (root.clone(), Arc::clone(&log));
                std::thread::spawn(move || answer(stream, &root, &log));
            }
        });
        Self { address, asked }
    }

    /// Paths asked for so far.
    #[must_use]
    pub fn asked(&self) -> Vec<String> {
        self.asked.lock().unwrap().clone()
    }
}

fn answer(mut stream: TcpStream, root: &Path, log: &Mutex<Vec<String>>) {
    let mut reader = BufReader::new(stream.try_clone().unwrap());
    loop {
        let mut first = String::new();
        if reader.read_line(&mut first).unwrap_or(0) == 0 {
            return;
        }
        loop {
            let mut header = String::new();
            if reader.read_line(&mut header).unwrap_or(0) <= 2 {
                break;
            }
        }
        let path = first
            .split_whitespace()
            .nth(1)
            .unwrap_or("/")
            .split('?')
            .next()
            .unwrap_or("/")
            .to_owned();
        log.lock().unwrap().push(path.clone());
        let name = if path == "/" { "index.html" } else { path.trim_start_matches('/') };
        let inside = Path::new(name).components().all(|c| matches!(c, Component::Normal(_)));
        let mut body = Vec::new();
        let found = inside
            && std::fs::File::open(root.join(name))
                .is_ok_and(|mut f| f.read_to_end(&mut body).is_ok());
        let kind = match Path::new(name).extension().and_then(|e| e.to_str()) {
            Some("html") => "text/html; charset=utf-8",
            Some("js") => "text/javascript; charset=utf-8",
            Some("css") => "text/css; charset=utf-8",
            Some("wasm") => "application/wasm",
            Some("json") => "application/json",
            Some("svg") => "image/svg+xml",
            _ => "application/octet-stream",
        };
        let status = if found { "200 OK" } else { "404 Not Found" };
        let head = format!(
            "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nCache-Control: no-cache\r\n\r\n",
            body.len()
        );
        if stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(&body)).is_err() {
            return;
        }
    }
}
