//! A Chromium of its own for each test, driven over WebDriver.

use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder};
use serde_json::json;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A browser window with a profile and a download folder of its own.
pub struct Browser {
    /// The WebDriver session.
    pub client: Client,
    /// Where downloads go.
    pub downloads: PathBuf,
    driver: Child,
    profile: PathBuf,
}

impl Browser {
    /// Starts the driver and a window of `width` by `height` pixels.
    pub async fn start(width: u32, height: u32) -> Self {
        let profile = scratch("profile");
        Self::with_profile(profile, width, height).await
    }

    /// The same with a profile that an earlier window has left.
    pub async fn with_profile(profile: PathBuf, width: u32, height: u32) -> Self {
        let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let driver = Command::new(crate::need("QUARTERTURN_CHROMEDRIVER"))
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the browser's driver starts");
        let downloads = scratch("downloads");
        let mut arguments: Vec<String> = [
            "--headless=new",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--disable-dev-shm-usage",
            "--force-device-scale-factor=1",
        ]
        .map(str::to_owned)
        .to_vec();
        arguments.push(format!("--window-size={width},{height}"));
        arguments.push(format!("--user-data-dir={}", profile.display()));
        // Chromium's sandbox does not start for root, as which CI runs.
        arguments.push("--no-sandbox".to_owned());
        let capabilities = json!({
            "browserName": "chrome",
            "unhandledPromptBehavior": "accept",
            "goog:loggingPrefs": {"browser": "ALL"},
            "goog:chromeOptions": {
                "binary": crate::need("QUARTERTURN_CHROMIUM"),
                "args": arguments,
                "prefs": {
                    "download.default_directory": downloads,
                    "download.prompt_for_download": false,
                    "plugins.always_open_pdf_externally": true,
                },
            },
        });
        let capabilities = capabilities.as_object().unwrap().clone();
        let mut client = None;
        for _ in 0..100 {
            match ClientBuilder::new(hyper_connector())
                .capabilities(capabilities.clone())
                .connect(&format!("http://127.0.0.1:{port}"))
                .await
            {
                Ok(c) => {
                    client = Some(c);
                    break;
                }
                Err(_) => tokio::time::sleep(Duration::from_millis(100)).await,
            }
        }
        let client = client.expect("a browser session");
        // Headless windows are a little larger outside than inside.
        let inner =
            client.execute("return [window.innerWidth, window.innerHeight]", vec![]).await.unwrap();
        let missing = |i: usize, want: u32| {
            want.saturating_sub(u32::try_from(inner[i].as_u64().unwrap()).unwrap())
        };
        client
            .set_window_size(width + missing(0, width), height + missing(1, height))
            .await
            .unwrap();
        Self { client, downloads, driver, profile }
    }

    /// Asks Chromium's developer protocol for something that a user or the system does to the browser.
    pub async fn asks_devtools(&self, command: &str, parameters: serde_json::Value) {
        let command = DevTools { command: command.to_owned(), parameters };
        self.client.issue_cmd(command).await.unwrap();
    }

    /// Closes the browser as a user does, and gives its profile for the next one.
    pub async fn closes(mut self) -> PathBuf {
        self.client.clone().close().await.unwrap();
        kill_tree(&mut self.driver);
        self.profile.clone()
    }

    /// Kills the whole browser at once (SIGKILL), and gives its profile for the next one.
    #[must_use]
    pub fn is_killed(self) -> PathBuf {
        // The driver and the browser go without a word when this is dropped.
        self.profile.clone()
    }

    /// Ends the process of the page at hand at once, as when the system runs out of memory.
    pub async fn kills_its_tab(&self) {
        // The browser's own address for that; the page goes without a word.
        let gone = self.client.goto("chrome://crash").await;
        assert!(gone.is_err(), "the page is still there");
    }

    /// The one file that was downloaded, once it is complete.
    pub async fn downloaded(&self, ending: &str) -> PathBuf {
        for _ in 0..200 {
            let files: Vec<PathBuf> =
                std::fs::read_dir(&self.downloads).unwrap().flatten().map(|e| e.path()).collect();
            let whole = |p: &&PathBuf| p.extension().is_some_and(|e| e == ending);
            if let Some(found) = files.iter().find(whole) {
                return found.clone();
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("no .{ending} was downloaded");
    }
}

/// A command of Chromium's developer protocol, which its driver passes on.
#[derive(Debug)]
struct DevTools {
    command: String,
    parameters: serde_json::Value,
}

impl WebDriverCompatibleCommand for DevTools {
    fn endpoint(
        &self,
        base: &url::Url,
        session: Option<&str>,
    ) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/goog/cdp/execute", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        let body = json!({ "cmd": self.command, "params": self.parameters });
        (http::Method::POST, Some(body.to_string()))
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        kill_tree(&mut self.driver);
    }
}

/// Ends the driver and the browser it started; nothing else.
fn kill_tree(driver: &mut Child) {
    // Each thread of the driver has children of its own.
    let children: String = std::fs::read_dir(format!("/proc/{}/task", driver.id()))
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|thread| std::fs::read_to_string(thread.path().join("children")).ok())
        .collect();
    let _ = driver.kill();
    let _ = driver.wait();
    for child in children.split_whitespace() {
        let _ = Command::new("kill").args(["-9", child]).status();
    }
}

/// An empty folder for this test.
fn scratch(what: &str) -> PathBuf {
    use std::sync::atomic::{AtomicU32, Ordering};
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let folder = std::env::temp_dir().join(format!(
        "quarterturn-{what}-{}-{}",
        std::process::id(),
        NEXT.fetch_add(1, Ordering::Relaxed)
    ));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn hyper_connector() -> hyper_util::client::legacy::connect::HttpConnector {
    hyper_util::client::legacy::connect::HttpConnector::new()
}
