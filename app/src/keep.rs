//! Keeps the jobs in the browser.
//!
//! The jobs are in the browser's database ([`database`]), a record for the document and one for each
//! piece. Every change is written at once, in the order of the changes, and counts as kept when the
//! database says that it stands on the disk. While one is being written later ones wait, and only the
//! latest of them is written: it holds what the others changed.
//!
//! Local storage holds small conveniences only:
//! - `quarterturn.open`: the job that is open, also for each tab by itself; `quarterturn.opened`: since
//!   when;
//! - `quarterturn.place.<id>`: screen, piece and orientation one was at;
//! - `quarterturn.columns`: what the columns of pasted tables meant, by their headings;
//! - what an earlier version kept there, until it is taken over ([`older`]).

mod columns;
mod database;
mod entry;
mod hold;
mod lasting;
mod news;
mod older;
mod shelf;
mod store;

pub(crate) use columns::{columns_meant, remember_columns};
pub(crate) use lasting::{Lasting, ask_to_last, lasting};
pub(crate) use news::{News, listen};
pub(crate) use shelf::{Shelved, shelf};

use crate::clock;
use database::{Changes, Refusal, Stored};
use entry::Label;
use hold::Hold;
use quarterturn_core::Job;
use quarterturn_core::job::{
    self, ReadError, document_text, join_parts, piece_text, same_document,
};
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use store::Store;
use tokio::sync::Mutex;

/// Longest title of a job on the shelf.
const TITLE_CHARS: usize = 120;

/// A write is tried this often: what it rests on may have changed in another tab, the database may have
/// been closed and cleared meanwhile, or both.
const TRIES: usize = 4;

/// Whether the open job is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) enum Kept {
    /// Nothing had to be kept yet.
    #[default]
    Nothing,
    /// All of it stands on the disk, since that time of day.
    At(String),
    /// It is being written.
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
    /// The browser keeps nothing.
    Never,
    /// It cannot be read; it was put aside untouched.
    Damaged {
        /// Its text.
        text: String,
        /// What is wrong with it.
        error: ReadError,
    },
}

/// A job that was fetched from the database.
#[derive(Clone, Debug)]
pub(crate) struct Fetched {
    id: String,
    /// The job.
    pub(crate) job: Arc<Job>,
    revision: u64,
    /// Whether the database has it in parts.
    in_parts: bool,
}

/// A job that was taken out of the database, to be put back.
#[derive(Clone, Debug)]
pub(crate) struct Removed(Stored);

/// The keeper of one job: the same for all its clones.
#[derive(Clone, Debug)]
pub(crate) struct Keep(Rc<Keeper>);

#[derive(Debug)]
struct Keeper {
    now: RefCell<Now>,
    /// One write after another.
    writing: Mutex<()>,
}

#[derive(Debug, Default)]
struct Now {
    id: String,
    tab: String,
    revision: u64,
    /// The job as it was when this page made it, until it is changed: not worth keeping.
    untouched: Option<Arc<Job>>,
    /// The job as the database has it.
    kept: Option<Arc<Job>>,
    /// What is to be written next.
    wanted: Option<Arc<Job>>,
    /// Another tab wrote this job since, or holds it: what is changed here becomes a copy.
    elsewhere: bool,
    hold: Option<Hold>,
}

impl Keep {
    /// A keeper of nothing yet.
    pub(crate) fn new() -> Self {
        Self::of(Now::default())
    }

    fn of(now: Now) -> Self {
        Self(Rc::new(Keeper { now: RefCell::new(now), writing: Mutex::new(()) }))
    }

    /// A keeper of a job that is not in the database yet; `made_here`: by this page, so that it is not
    /// worth keeping until it is changed. [`Keep::write`] writes it.
    pub(crate) fn start(job: &Arc<Job>, made_here: bool) -> Self {
        let id = store::token();
        remember_open(&id);
        Self::of(Now {
            id,
            tab: store::token(),
            untouched: made_here.then(|| Arc::clone(job)),
            wanted: Some(Arc::clone(job)),
            ..Now::default()
        })
    }

    /// A keeper that goes on with a job of the database.
    pub(crate) fn resume(fetched: &Fetched) -> Self {
        remember_open(&fetched.id);
        Self::of(Now {
            id: fetched.id.clone(),
            tab: store::token(),
            revision: fetched.revision,
            kept: fetched.in_parts.then(|| Arc::clone(&fetched.job)),
            ..Now::default()
        })
    }

    /// Whether both keep the same job.
    pub(crate) fn is(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }

    /// Name of the job in the database.
    pub(crate) fn id(&self) -> String {
        self.0.now.borrow().id.clone()
    }

    /// Id of the job that was open here last.
    ///
    /// Local storage may lose its latest entries when the browser dies, so a job that was written since
    /// the one that it names was opened is the one that was at work.
    pub(crate) async fn last_open() -> Option<String> {
        let store = Store::open();
        let of_this_tab = store.as_ref().and_then(|s| s.of_this_tab("quarterturn.open"));
        if let Some(id) = of_this_tab.filter(|id| !id.is_empty()) {
            return Some(id);
        }
        let known = |key| store.as_ref().and_then(|s| s.get(key)).filter(|v| !v.is_empty());
        let latest = shelf().await.into_iter().next();
        match (known("quarterturn.open"), known("quarterturn.opened"), latest) {
            (Some(_), Some(opened), Some(latest)) if latest.when > opened => Some(latest.id),
            (Some(id), _, _) => Some(id),
            (None, _, latest) => latest.map(|l| l.id),
        }
    }

    /// Asks the browser for the job, so that no other tab opens it unwarned; `granted` is called when
    /// this tab has it.
    pub(crate) fn hold(&self, granted: impl FnOnce() + 'static) {
        let hold = Hold::ask(&self.id(), granted);
        self.0.now.borrow_mut().hold = hold;
    }

    /// Whether another tab has the job. Nothing is known where the browser has no locks.
    pub(crate) fn is_held_elsewhere(&self) -> bool {
        self.0.now.borrow().hold.as_ref().is_some_and(|h| !h.is_granted())
    }

    /// From now on what is changed here becomes a copy.
    pub(crate) fn becomes_a_copy(&self, copy: bool) {
        self.0.now.borrow_mut().elsewhere = copy;
    }

    /// Whether what is changed here becomes a copy.
    pub(crate) fn was_to_become_a_copy(&self) -> bool {
        self.0.now.borrow().elsewhere
    }

    /// Whether the job in the database is the one that this keeper wrote last, or fetched.
    pub(crate) async fn is_as_in_the_database(&self) -> bool {
        let (id, revision) = {
            let now = self.0.now.borrow();
            (now.id.clone(), now.revision)
        };
        match database::fetch(&id).await {
            Ok(Some(stored)) => entry::label(&stored.label).map_or(0, |l| l.revision) == revision,
            Ok(None) => revision == 0,
            Err(_) => true,
        }
    }

    /// The next state of the job; [`Keep::write`] writes it.
    pub(crate) fn want(&self, job: &Arc<Job>) {
        let mut now = self.0.now.borrow_mut();
        now.untouched = None;
        now.wanted = Some(Arc::clone(job));
    }

    /// Whether something is still to be written.
    pub(crate) fn is_behind(&self) -> bool {
        self.0.now.borrow().wanted.is_some() || self.0.writing.try_lock().is_err()
    }

    /// Writes the latest state that is wanted, after what is being written. `None` if there was nothing
    /// left to write.
    pub(crate) async fn write(&self) -> Option<Written> {
        let _turn = self.0.writing.lock().await;
        let mut other = None;
        for _ in 0..TRIES {
            let Some((job, id, revision, changes)) = self.next(&mut other) else { break };
            match database::write(&id, revision, &changes).await {
                Ok(()) => {
                    let mut now = self.0.now.borrow_mut();
                    now.revision = changes.label.revision;
                    now.kept = Some(job);
                    drop(now);
                    news::tell(&News::Wrote { id: id.clone(), revision: changes.label.revision });
                    return Some(match other {
                        None => Written::Done,
                        Some(other) => {
                            remember_open(&id);
                            self.hold(|| {});
                            Written::Copied { other }
                        }
                    });
                }
                Err(refused) => {
                    let mut now = self.0.now.borrow_mut();
                    // What was to be written still is, unless there is something newer.
                    now.wanted.get_or_insert(job);
                    match refused {
                        Refusal::Elsewhere => now.elsewhere = true,
                        Refusal::Gone => {
                            now.revision = 0;
                            now.kept = None;
                        }
                        Refusal::Closed => {}
                        Refusal::Full => return Some(Written::Refused(Kept::Full)),
                        Refusal::Never => return Some(Written::Refused(Kept::Never)),
                    }
                }
            }
        }
        let behind = self.0.now.borrow().wanted.is_some();
        behind.then_some(Written::Refused(Kept::Never))
    }

    /// What is to be written next, under which id and on which revision. Where another tab has the job
    /// this is a copy under a new id, and `other` says which it was.
    fn next(&self, other: &mut Option<String>) -> Option<(Arc<Job>, String, u64, Changes)> {
        let mut now = self.0.now.borrow_mut();
        let job = now.wanted.take()?;
        if now.elsewhere {
            other.get_or_insert_with(|| now.id.clone());
            now.id = store::token();
            now.revision = 0;
            now.kept = None;
            now.elsewhere = false;
            now.hold = None;
        }
        let label = Label {
            revision: now.revision + 1,
            tab: now.tab.clone(),
            when: clock::precise(),
            title: title(&job),
            demo: job.demo,
        };
        let changes = changes(now.kept.as_deref(), &job, label);
        Some((job, now.id.clone(), now.revision, changes))
    }

    /// Whether the open job is as this page made it, so that it is not worth keeping.
    pub(crate) fn is_untouched(&self, job: &Job) -> bool {
        let now = self.0.now.borrow();
        now.untouched.as_deref().is_some_and(|u| u == job) && !now.elsewhere
    }

    /// The job is left for another one: what is wanted is written, and one that was never changed is not
    /// kept on. Other tabs may have it then.
    pub(crate) async fn leave(&self, untouched: bool) -> Option<Written> {
        let written = self.write().await;
        if untouched {
            // What cannot be removed stands on the shelf and can be removed there.
            let _ = database::remove(&self.id()).await;
        }
        self.0.now.borrow_mut().hold = None;
        written
    }

    /// What another tab did means this for the open job.
    pub(crate) fn heard(&self, news: &News) -> Heard {
        let mut now = self.0.now.borrow_mut();
        match news {
            News::Wrote { id, revision } if *id == now.id && *revision > now.revision => {
                if now.elsewhere {
                    return Heard::Nothing;
                }
                now.elsewhere = true;
                Heard::Changed
            }
            News::Removed { id } if *id == now.id => {
                now.revision = 0;
                now.kept = None;
                Heard::Gone
            }
            _ => Heard::Nothing,
        }
    }

    /// Goes on as a copy of the job under a name of its own.
    pub(crate) fn as_copy(&self, job: &Arc<Job>) {
        let mut now = self.0.now.borrow_mut();
        now.elsewhere = true;
        now.wanted = Some(Arc::clone(job));
    }

    /// Remembers where in the open job one is.
    pub(crate) fn place(&self, place: &str) {
        let id = self.id();
        if let Some(store) = Store::open().filter(|_| !id.is_empty()) {
            store.set(&format!("quarterturn.place.{id}"), place);
        }
    }

    /// Where one was in the open job.
    pub(crate) fn last_place(&self) -> Option<String> {
        Store::open()?.get(&format!("quarterturn.place.{}", self.id()))
    }
}

/// What a change in another tab means for the open job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Heard {
    /// Nothing.
    Nothing,
    /// Another tab has written the open job.
    Changed,
    /// The open job is no longer in the database.
    Gone,
}

/// What is to be written of `job` where the database has `kept`.
fn changes(kept: Option<&Job>, job: &Job, label: Label) -> Changes {
    let document = kept.is_none_or(|k| !same_document(k, job)).then(|| document_text(job));
    let known = kept.map_or(&[][..], |k| &k.pieces);
    let pieces = job.pieces.iter().enumerate();
    let pieces = pieces
        .filter(|(i, piece)| known.get(*i) != Some(piece))
        .map(|(i, piece)| (i, piece_text(piece)))
        .collect();
    Changes { label, document, pieces, count: job.pieces.len() }
}

/// Makes ready: jobs that an earlier version kept are taken over.
pub(crate) async fn make_ready() {
    older::take_over().await;
}

/// Fetches the job `id`. One that cannot be read is put aside untouched.
pub(crate) async fn fetch(id: &str) -> Result<Fetched, Lost> {
    let stored = match database::fetch(id).await {
        Ok(Some(stored)) => stored,
        Ok(None) => return Err(Lost::Missing),
        Err(_) => return Err(Lost::Never),
    };
    let text = whole(&stored);
    match text.clone().and_then(|text| job::read(&text)) {
        Ok(job) => Ok(Fetched {
            id: id.to_owned(),
            job: Arc::new(job),
            revision: entry::label(&stored.label).map_or(0, |l| l.revision),
            in_parts: !stored.pieces.is_empty(),
        }),
        Err(error) => {
            let text = text.unwrap_or_else(|_| in_lines(&stored));
            // Where it cannot be put aside it stays where it is, and nothing writes there.
            let _ = database::put_aside(id, &text).await;
            Err(Lost::Damaged { text, error })
        }
    }
}

/// The text of the job file that a stored job makes.
fn whole(stored: &Stored) -> Result<String, ReadError> {
    if stored.pieces.is_empty() {
        // Taken over from an earlier version, or without pieces.
        return Ok(stored.document.clone());
    }
    join_parts(&stored.document, &stored.pieces)
}

/// All that is there of a stored job, a part in each line.
fn in_lines(stored: &Stored) -> String {
    let mut text = stored.document.clone();
    for piece in &stored.pieces {
        text.push('\n');
        text.push_str(piece);
    }
    text
}

/// Takes a job out of the database and gives it, to put it back.
pub(crate) async fn forget(id: &str) -> Option<Removed> {
    let removed = database::remove(id).await.ok().flatten()?;
    news::tell(&News::Removed { id: id.to_owned() });
    if let Some(store) = Store::open() {
        store.remove(&format!("quarterturn.place.{id}"));
    }
    Some(Removed(removed))
}

/// Puts a job back that was taken out.
pub(crate) async fn put_back(id: &str, removed: &Removed) -> bool {
    database::put_back(id, &removed.0).await.is_ok()
}

/// A line of a gauge as it came.
#[derive(Clone, Debug, serde::Serialize)]
pub(crate) struct LineRecord {
    /// When, UTC.
    pub(crate) when: String,
    /// By which way.
    pub(crate) from: String,
    /// Its bytes, with what cannot be shown escaped.
    pub(crate) line: String,
    /// Whether it was there from its beginning to its end.
    pub(crate) whole: bool,
    /// What became of it.
    pub(crate) became: String,
}

/// Keeps a line of a gauge, behind those that came before.
pub(crate) fn keep_line(line: LineRecord) {
    let Ok(text) = serde_json::to_string(&line) else { return };
    let key = format!("{} {}", line.when, store::token());
    wasm_bindgen_futures::spawn_local(async move {
        // Without room for it the reading is still kept in its job, or is said not to be.
        let _ = database::put_line(&key, &text).await;
    });
}

/// All lines of gauges that are kept, the oldest first, one JSON object a line.
pub(crate) async fn all_lines() -> String {
    let mut text = database::lines().await.unwrap_or_default().join("\n");
    text.push('\n');
    text
}

/// A small text that is kept for this browser.
pub(crate) fn kept_text(key: &str) -> Option<String> {
    Store::open()?.get(key)
}

/// Keeps a small text for this browser, as far as there is room.
pub(crate) fn keep_text(key: &str, text: &str) {
    if let Some(store) = Store::open() {
        store.set(key, text);
    }
}

fn remember_open(id: &str) {
    if let Some(store) = Store::open() {
        store.set("quarterturn.open", id);
        store.set("quarterturn.opened", &clock::precise());
        store.set_for_this_tab("quarterturn.open", id);
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use quarterturn_core::job::{Piece, Touch};
    use quarterturn_core::quantity::{Figure, Unit};

    fn label() -> Label {
        Label {
            revision: 1,
            tab: String::new(),
            when: String::new(),
            title: String::new(),
            demo: false,
        }
    }

    fn job() -> Job {
        let mut job = Job::empty(Unit::Mm);
        job.pieces.push(Piece { serial: "2".to_owned(), ..Piece::default() });
        job
    }

    #[test]
    fn a_reading_writes_its_piece_and_nothing_else() {
        let before = job();
        let mut after = before.clone();
        after.pieces[1].set_values(1, "C", Touch::Face, vec![Figure(1.5)]);
        let changes = changes(Some(&before), &after, label());
        assert_eq!(changes.document, None);
        assert_eq!(changes.pieces, [(1, piece_text(&after.pieces[1]))]);
        assert_eq!(changes.count, 2);
    }

    #[test]
    fn what_the_database_does_not_have_is_written_whole() {
        let job = job();
        let changes = changes(None, &job, label());
        assert_eq!(changes.document, Some(document_text(&job)));
        assert_eq!(changes.pieces.len(), 2);
    }

    #[test]
    fn a_piece_removed_moves_the_ones_behind_it() {
        let before = job();
        let mut after = before.clone();
        after.pieces.remove(0);
        let changes = changes(Some(&before), &after, label());
        assert_eq!(changes.pieces, [(0, piece_text(&before.pieces[1]))]);
        assert_eq!(changes.count, 1);
    }
}
