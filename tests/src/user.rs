//! A user at the keyboard.

use crate::{Browser, Server};
use fantoccini::Locator;
use fantoccini::actions::{InputSource, KeyAction, KeyActions};
use fantoccini::key::Key;
use serde_json::Value;
use std::time::Duration;

/// A user with a browser on the built page.
pub struct User {
    /// The browser.
    pub browser: Browser,
    /// The server of the page.
    pub server: Server,
}

impl User {
    /// Opens the page in a window of 1366 by 768 pixels.
    pub async fn arrives() -> Self {
        let server = Server::start();
        let browser = Browser::start(1366, 768).await;
        let user = Self { browser, server };
        user.opens_the_page().await;
        user
    }

    /// Goes to the page's address and waits until it is there.
    pub async fn opens_the_page(&self) {
        self.browser.client.goto(&self.server.address).await.unwrap();
        self.waits_for("header nav").await;
    }

    /// Waits until something is on the page.
    pub async fn waits_for(&self, css: &str) {
        for _ in 0..200 {
            if self.browser.client.find(Locator::Css(css)).await.is_ok() {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("{css} did not come: {}", self.sees("body").await);
    }

    /// Waits until a text is on the page.
    pub async fn waits_to_read(&self, text: &str) {
        for _ in 0..100 {
            if self.sees("body").await.contains(text) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("“{text}” did not come: {}", self.sees("body").await);
    }

    /// Text of the first thing that matches.
    pub async fn sees(&self, css: &str) -> String {
        self.runs(&format!("const e = document.querySelector({css:?}); return e ? e.innerText : ''"))
            .await
            .as_str()
            .unwrap_or_default()
            .to_owned()
    }

    /// Runs a script in the page: for looking, not for doing.
    pub async fn runs(&self, script: &str) -> Value {
        self.browser.client.execute(script, vec![]).await.unwrap()
    }

    /// Types text where the cursor is.
    pub async fn types(&self, text: &str) {
        let mut keys = KeyActions::new("keyboard".to_owned());
        for c in text.chars() {
            keys = keys.then(KeyAction::Down { value: c }).then(KeyAction::Up { value: c });
        }
        self.browser.client.perform_actions(keys).await.unwrap();
    }

    /// Presses a key once.
    pub async fn presses(&self, key: Key) {
        self.types(&char::from(key).to_string()).await;
    }

    /// Presses a key while others are held.
    pub async fn holds(&self, held: &[Key], key: char) {
        let mut keys = KeyActions::new("keyboard".to_owned());
        for h in held {
            keys = keys.then(KeyAction::Down { value: char::from(*h) });
        }
        keys = keys.then(KeyAction::Down { value: key }).then(KeyAction::Up { value: key });
        for h in held.iter().rev() {
            keys = keys.then(KeyAction::Up { value: char::from(*h) });
        }
        self.browser.client.perform_actions(keys).await.unwrap();
    }

    /// Types text and presses Enter.
    pub async fn enters(&self, text: &str) {
        self.types(text).await;
        self.presses(Key::Enter).await;
    }

    /// The job as the page keeps it.
    pub async fn kept_job(&self) -> Value {
        let script = "const id = localStorage.getItem('quarterturn.open'); \
             return id ? localStorage.getItem('quarterturn.job.' + id) : null";
        let kept = self.runs(script).await;
        let kept: Value = serde_json::from_str(kept.as_str().expect("a job is kept")).unwrap();
        kept
    }

    /// Saves a picture of the window, for a person to look at, where `QUARTERTURN_SHOTS` names a
    /// folder.
    pub async fn shot(&self, name: &str) {
        if let Ok(folder) = std::env::var("QUARTERTURN_SHOTS") {
            let png = self.browser.client.screenshot().await.unwrap();
            std::fs::write(std::path::Path::new(&folder).join(format!("{name}.png")), png).unwrap();
        }
    }

    /// Errors that the page has written to the console.
    pub async fn console_errors(&self) -> Vec<String> {
        let errors = self.runs("return window.quarterturnErrors || []").await;
        errors.as_array().map(|a| a.iter().map(Value::to_string).collect()).unwrap_or_default()
    }
}

