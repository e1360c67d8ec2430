//! Jobs that an earlier version of the page kept in the browser's local storage.
//!
//! Each is taken over into the database and read back; the old entry stays. It goes at the next start
//! of the page, when the copy has outlived the page that made it.

use super::database::{self, Stored};
use super::entry;
use super::store::{JOB, Store, token};

/// What the key of the note begins with that says which revision of an old entry was taken over.
const TAKEN: &str = "quarterturn.taken.";

/// Takes over what local storage has. What cannot be taken over now stays for the next time.
pub(super) async fn take_over() {
    let Some(store) = Store::open() else { return };
    for key in store.keys() {
        if let Some(id) = key.strip_prefix(JOB) {
            one(&store, &key, id).await;
        }
    }
}

async fn one(store: &Store, key: &str, id: &str) {
    let Some(text) = store.get(key) else { return };
    let (label, job) = entry::apart(&text);
    let revision = label.as_ref().map_or(0, |l| l.revision).to_string();
    let note = format!("{TAKEN}{id}");
    let taken = store.get(&note);
    if taken.as_ref() == Some(&revision) {
        store.remove(key);
        store.remove(&note);
        return;
    }
    // A page of an earlier version, still open in a tab, wrote it again since: that is another job by now.
    let to = if taken.is_some() { token() } else { id.to_owned() };
    // The database counts the writes anew.
    let label = label.map(|l| entry::Label { revision: 1, ..l });
    let stored = Stored {
        label: label.map(|l| entry::label_text(&l)).unwrap_or_default(),
        document: job.to_owned(),
        pieces: Vec::new(),
    };
    if database::put_back(&to, &stored).await.is_err() {
        return;
    }
    let proven = database::fetch(&to).await.ok().flatten();
    if proven.is_some_and(|p| p.document == stored.document && p.label == stored.label) {
        store.set(&note, &revision);
    }
}
