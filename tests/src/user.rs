//! A user at the keyboard.

use crate::{Browser, Server};
use fantoccini::Locator;
use fantoccini::actions::{InputSource, KeyAction, KeyActions};
use fantoccini::key::Key;
use quarterturn_core::Job;
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
        self.runs(&format!(
            "const e = document.querySelector({css:?}); return e ? e.innerText : ''"
        ))
        .await
        .as_str()
        .unwrap_or_default()
        .to_owned()
    }

    /// Runs a script in the page: for looking, not for doing.
    pub async fn runs(&self, script: &str) -> Value {
        self.browser.client.execute(script, vec![]).await.unwrap()
    }

    /// Runs a script in the page until it calls `done`, and gives what it says.
    pub async fn runs_until_done(&self, script: &str) -> Value {
        let script = format!("const done = arguments[arguments.length - 1]; {script}");
        self.browser.client.execute_async(&script, vec![]).await.unwrap()
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

    /// Presses the button with this text; only those below `css` are looked at.
    pub async fn clicks(&self, css: &str, text: &str) {
        let script = format!(
            "const b = [...document.querySelectorAll({css:?} + ' button')] \
                 .find(b => b.textContent.trim().startsWith({text:?})); \
             if (b) b.dataset.pressedByTest = ''; return !!b"
        );
        let found = self.runs(&script).await;
        assert_eq!(found, true, "no button “{text}” in {css}: {}", self.sees(css).await);
        let marked = Locator::Css("[data-pressed-by-test]");
        self.browser.client.find(marked).await.unwrap().click().await.unwrap();
        self.runs(
            "document.querySelectorAll('[data-pressed-by-test]') \
                 .forEach(b => delete b.dataset.pressedByTest)",
        )
        .await;
    }

    /// Opens a file as with the dialog.
    pub async fn opens_a_file(&self, path: &std::path::Path) {
        let input = Locator::Css("input[type=file]");
        let input = self.browser.client.find(input).await.unwrap();
        input.send_keys(path.to_str().unwrap()).await.unwrap();
    }

    /// Drops a file with this text on the page.
    pub async fn drops_a_file(&self, name: &str, text: &str) {
        let script = "const [name, text] = arguments; const data = new DataTransfer(); \
             data.items.add(new File([text], name, { type: 'application/json' })); \
             document.querySelector('.page').dispatchEvent( \
                 new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))";
        self.browser.client.execute(script, vec![name.into(), text.into()]).await.unwrap();
    }

    /// Drops a file of bytes on the page.
    pub async fn drops_bytes(&self, name: &str, bytes: &[u8]) {
        let script = "const [name, bytes] = arguments; const data = new DataTransfer(); \
             data.items.add(new File([Uint8Array.from(bytes)], name)); \
             document.querySelector('.page').dispatchEvent( \
                 new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))";
        self.browser.client.execute(script, vec![name.into(), bytes.into()]).await.unwrap();
    }

    /// From now on the page's errors are noted, for [`User::errors`].
    pub async fn listens_for_errors(&self) {
        self.runs(
            "window.errorsSeen = []; const note = e => window.errorsSeen.push(String(e)); \
             addEventListener('error', e => note(e.message)); \
             addEventListener('unhandledrejection', e => note(e.reason)); \
             addEventListener('quarterturn-failed', e => note(e.detail)); \
             const [error, warn] = [console.error, console.warn]; \
             console.error = (...a) => { note(a.join(' ')); error.apply(console, a) }; \
             console.warn = (...a) => { note(a.join(' ')); warn.apply(console, a) };",
        )
        .await;
    }

    /// Errors of the page since [`User::listens_for_errors`], once everything is drawn that was put
    /// off to the next frames; whatever says that the page has failed is one.
    pub async fn errors(&self) -> Vec<String> {
        let script = "const done = arguments[0]; \
             const frame = f => requestAnimationFrame(() => setTimeout(f)); \
             frame(() => frame(() => done(window.errorsSeen.concat( \
                 [...document.querySelectorAll('.lifeboat textarea')].map(t => t.value)))))";
        let seen = self.browser.client.execute_async(script, vec![]).await.unwrap();
        let seen = seen.as_array().expect("a page that listens for errors");
        seen.iter().map(|e| e.as_str().unwrap_or_default().to_owned()).collect()
    }

    /// Takes a breath: what was opened has the cursor by then.
    pub async fn settles(&self) {
        tokio::time::sleep(Duration::from_millis(150)).await;
    }

    /// Types text and presses Enter.
    pub async fn enters(&self, text: &str) {
        self.types(text).await;
        self.presses(Key::Enter).await;
    }

    /// Name in the browser's database of the open job.
    pub async fn open_id(&self) -> String {
        let script = "return sessionStorage.getItem('quarterturn.open') || localStorage.getItem('quarterturn.open')";
        self.runs(script).await.as_str().expect("a job is open").to_owned()
    }

    /// Waits until a text is no longer on the page.
    pub async fn waits_to_lose(&self, text: &str) {
        for _ in 0..100 {
            if !self.sees("body").await.contains(text) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("“{text}” did not go: {}", self.sees("body").await);
    }

    /// The file text of the open job as the page keeps it, once it says that all is kept.
    pub async fn kept_text(&self) -> String {
        for _ in 0..200 {
            if !self.sees(".foot .kept").await.contains("keeping") {
                break;
            }
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
        self.kept_text_of(&self.open_id().await).await
    }

    /// The file text of a job as the page keeps it.
    pub async fn kept_text_of(&self, id: &str) -> String {
        let script = format!(
            r#"const id = {id:?};
            const answer = r => new Promise((ok, no) => {{ r.onsuccess = () => ok(r.result); r.onerror = () => no(r.error); }});
            (async () => {{
                const opening = indexedDB.open('quarterturn');
                opening.onupgradeneeded = () => opening.transaction.abort();
                const database = await answer(opening);
                const stores = database.transaction(['documents', 'pieces']);
                const [text, pieces] = await Promise.all([
                    answer(stores.objectStore('documents').get(id)),
                    answer(stores.objectStore('pieces').getAll(IDBKeyRange.bound(id + '/', id + '/:')))]);
                database.close();
                const job = JSON.parse(text);
                if (pieces.length) job.pieces = pieces.map(p => JSON.parse(p));
                return JSON.stringify(job);
            }})().then(done, e => done('failed: ' + e))"#
        );
        self.runs_until_done(&script).await.as_str().expect("a job is kept").to_owned()
    }

    /// The open job as the page keeps it.
    pub async fn kept_job(&self) -> Job {
        quarterturn_core::job::read(&self.kept_text().await).expect("the page keeps a readable job")
    }

    /// What the cursor is on, as it is said: its label, or its text.
    pub async fn is_on(&self) -> String {
        let script = "const e = document.activeElement; if (!e || e === document.body) return ''; \
             const by = (e.getAttribute('aria-labelledby') || '').split(' ').map(i => document.getElementById(i)).filter(Boolean); \
             return (e.getAttribute('aria-label') || by.map(b => b.textContent).join(' ') || \
                 (e.labels && e.labels.length ? e.labels[0].textContent : '') || e.textContent || e.title || '').trim()";
        self.runs(script).await.as_str().unwrap_or_default().to_owned()
    }

    /// Presses Tab until the cursor is on what is called so.
    pub async fn tabs_to(&self, name: &str) {
        let mut passed = Vec::new();
        for _ in 0..120 {
            let on = self.is_on().await;
            if on.lines().any(|line| line.trim().starts_with(name)) {
                return;
            }
            passed.push(on);
            self.presses(Key::Tab).await;
        }
        panic!("no {name} on the way: {passed:?}");
    }

    /// Chooses an entry of the list the cursor is on, by the beginning of its words: with the
    /// arrow keys, as far as needed.
    pub async fn chooses(&self, words: &str) {
        self.presses(Key::Home).await;
        for _ in 0..60 {
            let chosen = self.runs("const e = document.activeElement; return e.selectedOptions ? e.selectedOptions[0].text : ''").await;
            if chosen.as_str().unwrap_or_default().starts_with(words) {
                return;
            }
            self.presses(Key::Down).await;
        }
        panic!("{words} is not in the list");
    }

    /// Saves a picture of the window, for a person to look at, where `QUARTERTURN_SHOTS` names a
    /// folder.
    pub async fn shot(&self, name: &str) {
        if let Ok(folder) = std::env::var("QUARTERTURN_SHOTS") {
            let png = self.browser.client.screenshot().await.unwrap();
            std::fs::write(std::path::Path::new(&folder).join(format!("{name}.png")), png).unwrap();
        }
    }

    /// Begins a new metric job, from wherever the page has come up.
    pub async fn begins_in_mm(&self) {
        self.waits_to_read("xample").await;
        self.holds(&[Key::Alt], 'j').await;
        self.waits_for("#jobs button").await;
        self.tabs_to("New, in mm").await;
        self.presses(Key::Enter).await;
        self.settles().await;
    }

    /// Puts the cursor into the table of features.
    pub async fn goes_into_the_table(&self) {
        self.tabs_to("Features").await;
        self.presses(Key::Down).await;
        self.settles().await;
    }

    /// Goes to a screen by its key.
    pub async fn goes_to(&self, number: char, heading: &str) {
        self.holds(&[Key::Alt], number).await;
        for _ in 0..100 {
            if self.sees("main h1, #screen h1, h1").await.contains(heading) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
        panic!("{heading} did not open: {}", self.sees("h1").await);
    }
}
