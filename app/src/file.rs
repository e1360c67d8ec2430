//! Files: a job saved to one or opened from one, and the example that comes with the program.

use crate::desk::{Desk, Tone};
use leptos::prelude::*;
use quarterturn_core::Job;
use quarterturn_core::job::{read, write};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// Offers the open job as a file.
pub(crate) fn save(desk: Desk) {
    save_job(desk, &desk.job_untracked());
}

/// Offers a job as a file.
pub(crate) fn save_job(desk: Desk, job: &Job) {
    let name = name(job, "json");
    if download(&name, "application/json", &JsValue::from_str(&write(job))) {
        desk.say(Tone::Plain, format!("Saved as {name}"), vec![]);
    } else {
        desk.say(Tone::Wrong, "The browser refused to save the file.", vec![]);
    }
}

/// A name for a file of this job: `<part>-<revision>.<ending>`.
pub(crate) fn name(job: &Job, ending: &str) -> String {
    safe_name(&format!("{} {}", job.drawing.part_number, job.drawing.revision), ending)
}

/// A name that any disk takes: letters, figures, points and dashes.
pub(crate) fn safe_name(text: &str, ending: &str) -> String {
    let words: Vec<&str> = text
        .split(|c: char| !(c.is_alphanumeric() || matches!(c, '.' | '_' | '-')))
        .map(|w| w.trim_matches(['.', '-']))
        .filter(|w| !w.is_empty())
        .collect();
    let stem: String = words.join("-").chars().take(100).collect();
    format!("{}.{ending}", if stem.is_empty() { "job" } else { &stem })
}

/// Offers `bytes` as a file. False if the browser refused.
pub(crate) fn download_bytes(name: &str, bytes: &[u8], kind: &str) -> bool {
    download(name, kind, &js_sys::Uint8Array::from(bytes))
}

/// Offers `content`, a text or bytes, as a file. False if the browser refused.
pub(crate) fn download(name: &str, kind: &str, content: &JsValue) -> bool {
    let parts = js_sys::Array::of1(content);
    let options = web_sys::BlobPropertyBag::new();
    options.set_type(kind);
    let Ok(blob) = web_sys::Blob::new_with_u8_array_sequence_and_options(&parts, &options) else {
        return false;
    };
    let Ok(url) = web_sys::Url::create_object_url_with_blob(&blob) else { return false };
    let anchor = document()
        .create_element("a")
        .ok()
        .and_then(|e| e.dyn_into::<web_sys::HtmlAnchorElement>().ok());
    let Some(anchor) = anchor else { return false };
    anchor.set_href(&url);
    anchor.set_download(name);
    anchor.click();
    // The browser takes its time to fetch the blob; it is let go well after.
    set_timeout(
        move || {
            let _ = web_sys::Url::revoke_object_url(&url);
        },
        std::time::Duration::from_mins(1),
    );
    true
}

/// Opens the job in a file. What is no job is refused with its place, and what is open stays.
pub(crate) fn open(desk: Desk, file: web_sys::File) {
    leptos::task::spawn_local(async move {
        let name = file.name();
        let Ok(bytes) = JsFuture::from(file.array_buffer()).await else {
            desk.say(
                Tone::Wrong,
                format!("{name} could not be read from the disk. The open job is unchanged."),
                vec![],
            );
            return;
        };
        let bytes = js_sys::Uint8Array::new(&bytes).to_vec();
        if bytes.starts_with(b"%PDF") {
            open_sheet(desk, &bytes, name);
            return;
        }
        let Ok(text) = String::from_utf8(bytes) else {
            desk.say(
                Tone::Wrong,
                format!("{name} is no text, so it is no job. Open a file that Quarterturn has saved; the open job is unchanged."),
                vec![],
            );
            return;
        };
        match read(&text) {
            Ok(job) => desk.open_read(job, &name, Tone::Plain, ""),
            Err(e) => desk.say(
                Tone::Wrong,
                format!("{name} was not opened. {e} The open job is unchanged."),
                vec![],
            ),
        }
    });
}

/// Opens the job in a sheet, and says whether the sheet is as it was made.
fn open_sheet(desk: Desk, bytes: &[u8], name: String) {
    crate::pdf::verify(bytes, move |found| {
        let unchanged = "The open job is unchanged.";
        let found = match found {
            Ok(found) => found,
            Err(why) => {
                desk.say(Tone::Wrong, format!("{name} was not opened. {why} {unchanged}"), vec![]);
                return;
            }
        };
        match read(&found.job) {
            Ok(job) => {
                let tone = if found.sound { Tone::Ask } else { Tone::Wrong };
                desk.open_read(job, &name, tone, &found.says);
            }
            Err(e) => {
                desk.say(Tone::Wrong, format!("{name} was not opened. {e} {unchanged}"), vec![]);
            }
        }
    });
}

/// Fetches the example from beside the page.
pub(crate) async fn fetch_example() -> Result<Job, String> {
    let failed = |_: JsValue| "no answer".to_owned();
    let response =
        JsFuture::from(window().fetch_with_str("demo-job.json")).await.map_err(failed)?;
    let response: web_sys::Response = response.dyn_into().map_err(failed)?;
    if !response.ok() {
        return Err(format!("answer {}", response.status()));
    }
    let text = JsFuture::from(response.text().map_err(failed)?).await.map_err(failed)?;
    let mut job = read(&text.as_string().unwrap_or_default()).map_err(|e| e.to_string())?;
    job.demo = true;
    Ok(job)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_any_disk_takes() {
        for (text, name) in [
            ("WX-1140 C", "WX-1140-C.json"),
            (" a/b\\c:d ", "a-b-c-d.json"),
            ("../..", "job.json"),
            ("", "job.json"),
            ("Łódź Ω", "Łódź-Ω.json"),
        ] {
            assert_eq!(safe_name(text, "json"), name);
        }
    }
}
