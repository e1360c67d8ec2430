//! Keeps the jobs in the browser, one entry of its local storage each.
//!
//! - `quarterturn.job.<id>`: a job, under a line that says who wrote it and when ([`Label`]);
//! - `quarterturn.open`: the job that is open, also for each tab by itself;
//! - `quarterturn.place.<id>`: screen, piece and orientation one was at;
//! - `quarterturn.columns`: what the columns of pasted tables meant, by their headings;
//! - `quarterturn.damaged.<time>`: what could not be read, untouched.
//!
//! Every change is written before the page does anything else. Only a large job waits for a
//! quiet moment, and then 300 ms at most. Before each write the label in the store is looked at:
//! what another tab wrote is never written over.

mod columns;
mod entry;
mod shelf;
mod store;

pub(crate) use columns::{columns_meant, remember_columns};
pub(crate) use entry::Label;
pub(crate) use shelf::{Shelved, shelf};

use crate::clock;
use quarterturn_core::Job;
use quarterturn_core::job::{self, ReadError, write_compact};
use std::sync::Arc;
use store::Store;

/// A job whose text is longer than this may wait for a quiet moment.
const LARGE: usize = 500_000;

/// Longest title of a job on the shelf.
const TITLE_CHARS: usize = 120;

/// Whether the open job is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) enum Kept {
    /// Nothing had to be kept yet.
    #[default]
    Nothing,
    /// All of it, since that time of day.
    At(String),
    /// It will be, in less than 300 ms.
    Soon,
    /// The browser gives no more room.
    Full,
    /// The browser lets the page keep nothing.
    Never,
    /// Another tab has changed this job; what this tab changes becomes a copy.
    Elsewhere,
}

impl Kept {
    /// Whether closing the page now would lose something.
    pub(crate) const fn loses(&self) -> bool {
        matches!(self, Self::Soon | Self::Full | Self::Never)
    }
}

/// What came of writing a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Written {
    /// It is kept.
    Done,
    /// It is large and will be written in a moment.
    Waits,
    /// The browser gives no more room, or keeps nothing at all.
    Refused(Kept),
    /// Another tab had changed the job; this one was kept as a copy beside it.
    Copied {
        /// Where the other tab's job is.
        other: String,
    },
}

/// Why a kept job could not be opened.
#[derive(Clone, Debug)]
pub(crate) enum Lost {
    /// There is none under this id.
    Missing,
    /// It cannot be read; it was put aside under `key`, untouched.
    Damaged {
        /// Key in the store.
        key: String,
        /// What is wrong with it.
        error: ReadError,
    },
}

/// The keeper of the open job.
#[derive(Clone, Debug, Default)]
pub(crate) struct Keep {
    id: String,
    tab: String,
    revision: u64,
    /// The job as it was when this page made it, until it is changed: not worth keeping.
    untouched: Option<Arc<Job>>,
    /// Written in a moment.
    waiting: Option<Arc<Job>>,
    /// Another tab wrote this job since.
    elsewhere: bool,
    /// The text last written was that long.
    length: usize,
}

impl Keep {
    /// A keeper that writes under a name of its own.
    pub(crate) fn new() -> Self {
        Self { tab: store::token(), ..Self::default() }
    }

    /// Name of the open job in the store.
    pub(crate) fn id(&self) -> &str {
        &self.id
    }

    /// Id of the job that was open here last.
    pub(crate) fn last_open() -> Option<String> {
        let store = Store::open()?;
        store
            .of_this_tab("quarterturn.open")
            .or_else(|| store.get("quarterturn.open"))
            .filter(|id| !id.is_empty())
    }

    /// Starts a job that is not in the store yet; `made_here`: by this page, so that it is not
    /// worth keeping until it is changed.
    pub(crate) fn start(&mut self, job: &Arc<Job>, made_here: bool) -> Written {
        self.id = store::token();
        self.revision = 0;
        self.waiting = None;
        self.elsewhere = false;
        self.length = 0;
        self.untouched = made_here.then(|| Arc::clone(job));
        let written = self.write(job);
        self.remember_open();
        written
    }

    /// Fetches the job `id` and goes on under it.
    pub(crate) fn take_up(&mut self, id: &str) -> Result<Job, Lost> {
        let store = Store::open().ok_or(Lost::Missing)?;
        let key = job_key(id);
        let text = store.get(&key).ok_or(Lost::Missing)?;
        let (label, body) = entry::apart(&text);
        match job::read(body) {
            Ok(job) => {
                id.clone_into(&mut self.id);
                self.revision = label.map_or(0, |l| l.revision);
                self.untouched = None;
                self.waiting = None;
                self.elsewhere = false;
                self.length = text.len();
                self.remember_open();
                Ok(job)
            }
            Err(error) => Err(Lost::Damaged { key: put_aside(&store, &key, &text), error }),
        }
    }

    /// Keeps the next state of the open job.
    pub(crate) fn job(&mut self, job: &Arc<Job>) -> Written {
        self.untouched = None;
        if self.length > LARGE {
            self.waiting = Some(Arc::clone(job));
            return Written::Waits;
        }
        self.write(job)
    }

    /// Writes what still waits to be written.
    pub(crate) fn flush(&mut self) -> Option<Written> {
        let job = self.waiting.take()?;
        Some(self.write(&job))
    }

    fn write(&mut self, job: &Arc<Job>) -> Written {
        let Some(store) = Store::open() else { return Written::Refused(Kept::Never) };
        let standing = store.label(&job_key(&self.id));
        // A job that has gone from the store meanwhile is simply written again.
        let other = self.elsewhere || standing.is_some_and(|l| l.revision != self.revision);
        let before = (self.id.clone(), self.revision);
        if other {
            self.id = store::token();
            self.revision = 0;
        }
        let label = Label {
            revision: self.revision + 1,
            tab: self.tab.clone(),
            when: clock::utc(),
            title: title(job),
            demo: job.demo,
        };
        let text = entry::together(&label, &write_compact(job));
        self.length = text.len();
        if !store.set(&job_key(&self.id), &text) {
            (self.id, self.revision) = before;
            return Written::Refused(Kept::Full);
        }
        self.revision = label.revision;
        self.elsewhere = false;
        if other {
            self.remember_open();
            return Written::Copied { other: before.0 };
        }
        Written::Done
    }

    /// Whether the open job is as this page made it, so that it is not worth keeping.
    pub(crate) fn is_untouched(&self, job: &Job) -> bool {
        self.untouched.as_deref().is_some_and(|u| u == job) && !self.elsewhere
    }

    /// The open job is left for another one. One that was never changed is not kept on.
    pub(crate) fn leave(&mut self, job: &Job) -> Option<Written> {
        let written = self.flush();
        if self.is_untouched(job) {
            forget(&self.id);
        }
        written
    }

    /// What an entry of the store that has just changed means for the open job. `key` is `None`
    /// when the whole store was emptied.
    pub(crate) fn heard(&mut self, key: Option<&str>) -> Heard {
        if self.id.is_empty() || key.is_some_and(|k| k != job_key(&self.id)) {
            return Heard::Nothing;
        }
        let Some(store) = Store::open() else { return Heard::Nothing };
        match store.label(&job_key(&self.id)) {
            None => Heard::Gone,
            Some(l) if l.revision == self.revision && l.tab == self.tab => Heard::Nothing,
            Some(_) if self.elsewhere => Heard::Nothing,
            Some(_) => {
                self.elsewhere = true;
                Heard::Changed
            }
        }
    }

    /// Makes the open job a copy under a name of its own.
    pub(crate) fn as_copy(&mut self, job: &Arc<Job>) -> Written {
        self.start(job, false)
    }

    fn remember_open(&self) {
        if let Some(store) = Store::open() {
            store.set("quarterturn.open", &self.id);
            store.set_for_this_tab("quarterturn.open", &self.id);
        }
    }

    /// Remembers where in the open job one is.
    pub(crate) fn place(&self, place: &str) {
        if let Some(store) = Store::open().filter(|_| !self.id.is_empty()) {
            store.set(&format!("quarterturn.place.{}", self.id), place);
        }
    }

    /// Where one was in the open job.
    pub(crate) fn last_place(&self) -> Option<String> {
        Store::open()?.get(&format!("quarterturn.place.{}", self.id))
    }
}

/// What a change of the store means for the open job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Heard {
    /// Nothing.
    Nothing,
    /// Another tab has written the open job.
    Changed,
    /// The open job is no longer in the store.
    Gone,
}

/// Takes a job out of the store and gives its text, to put it back.
pub(crate) fn forget(id: &str) -> Option<String> {
    let store = Store::open()?;
    let text = store.get(&job_key(id));
    store.remove(&job_key(id));
    store.remove(&format!("quarterturn.place.{id}"));
    text
}

/// Puts the text of a job back that was taken out.
pub(crate) fn put_back(id: &str, text: &str) -> bool {
    Store::open().is_some_and(|s| s.set(&job_key(id), text))
}

/// The text of a kept job as a file would have it, whether it can be read or not.
pub(crate) fn text_of(key: &str) -> Option<String> {
    let text = Store::open()?.get(key)?;
    Some(entry::apart(&text).1.to_owned())
}

fn job_key(id: &str) -> String {
    format!("{}{id}", store::JOB)
}

/// Puts a text that is no job where nothing will touch it and gives the key.
fn put_aside(store: &Store, key: &str, text: &str) -> String {
    let aside = format!("quarterturn.damaged.{}", clock::utc().replace([' ', ':'], "-"));
    if store.get(&aside).is_none() && store.set(&aside, text) {
        store.remove(key);
        return aside;
    }
    // No room for a second copy: it stays where it is, and nothing writes there any more.
    key.to_owned()
}

/// What a job is called: part number, revision and name.
pub(crate) fn title(job: &Job) -> String {
    let d = &job.drawing;
    let revision = if d.revision.trim().is_empty() {
        String::new()
    } else {
        format!("rev {}", d.revision.trim())
    };
    let words: Vec<&str> = [d.part_number.trim(), &revision, d.part_name.trim()]
        .into_iter()
        .filter(|w| !w.is_empty())
        .collect();
    if words.is_empty() {
        return "job without a part number".to_owned();
    }
    words.join(" ").chars().take(TITLE_CHARS).collect()
}
