//! The browser's database (IndexedDB): what is written stands on the disk before it counts as kept.
//!
//! Five stores, each of text under text keys:
//! - `labels`, by the id of a job: who wrote it and when ([`Label`]);
//! - `documents`, by the id of a job: the job without its pieces;
//! - `pieces`, by the id of a job and the place of the piece in it;
//! - `damaged`: what could not be read, untouched;
//! - `lines`, by their times: what gauges sent, as it came.
//!
//! A job is written in one transaction with strict durability, so it is never there in part, and what
//! another tab wrote is never written over: the label is looked at in the same transaction.
//! `public/lifeboat.js` reads these stores without the program.

use super::entry::{self, Label};
use indexed_db_futures::KeyRange;
use indexed_db_futures::database::Database;
use indexed_db_futures::error::{DomException, Error, OpenDbError, UnexpectedDataError};
use indexed_db_futures::object_store::ObjectStore;
use indexed_db_futures::prelude::*;
use indexed_db_futures::transaction::{
    Transaction, TransactionDurability, TransactionMode, TransactionOptions,
};
use std::cell::RefCell;

const NAME: &str = "quarterturn";
const VERSION: u32 = 1;

const LABELS: &str = "labels";
const DOCUMENTS: &str = "documents";
const PIECES: &str = "pieces";
const DAMAGED: &str = "damaged";
const LINES: &str = "lines";
const STORES: [&str; 5] = [LABELS, DOCUMENTS, PIECES, DAMAGED, LINES];

thread_local! {
    /// Opened once: a second connection would only wait for the first.
    static OPEN: RefCell<Option<Database>> = const { RefCell::new(None) };
}

/// Why something was not written or fetched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Refusal {
    /// The disk or the browser's share of it is full.
    Full,
    /// The browser lets the page keep nothing.
    Never,
    /// The browser has closed the database, as it does when the user clears what pages keep. The next
    /// use opens it again.
    Closed,
    /// Another tab has written the job since.
    Elsewhere,
    /// The job is no longer there.
    Gone,
}

/// A job as the database has it.
#[derive(Clone, Debug)]
pub(super) struct Stored {
    /// Its label as text.
    pub(super) label: String,
    /// The job without its pieces; with them where an earlier version of the page wrote it whole.
    pub(super) document: String,
    /// Its pieces in their order.
    pub(super) pieces: Vec<String>,
}

/// What changes of a job.
#[derive(Clone, Debug)]
pub(super) struct Changes {
    /// The label from now on.
    pub(super) label: Label,
    /// The document, if it changed.
    pub(super) document: Option<String>,
    /// The pieces that changed, each with its place.
    pub(super) pieces: Vec<(usize, String)>,
    /// How many pieces there are now; what the database has beyond them goes.
    pub(super) count: usize,
}

async fn opened() -> Result<Database, Refusal> {
    if let Some(open) = OPEN.with_borrow(Clone::clone) {
        return Ok(open);
    }
    let request = Database::open(NAME)
        .with_version(VERSION)
        .with_on_upgrade_needed(|_, database| {
            let there: Vec<String> = database.object_store_names().collect();
            for store in STORES {
                if !there.iter().any(|t| t == store) {
                    database.create_object_store(store).build()?;
                }
            }
            Ok(())
        })
        .build()
        .map_err(|e| refusal_to_open(&e))?;
    let database = request.await.map_err(|e| refusal_to_open(&e))?;
    OPEN.set(Some(database.clone()));
    Ok(database)
}

fn refusal_to_open(error: &OpenDbError) -> Refusal {
    match error {
        OpenDbError::Base(error) => refusal(error),
        _ => Refusal::Never,
    }
}

fn refusal(error: &Error) -> Refusal {
    match error {
        Error::DomException(DomException::Other(e)) if e.name() == "QuotaExceededError" => {
            Refusal::Full
        }
        // Nothing in here takes a write back, so the browser did: it has no room, on the disk or in its own
        // bounds, and says so only at the end.
        Error::MissingData(UnexpectedDataError::TransactionAborted) => Refusal::Full,
        Error::DomException(DomException::InvalidStateError(_)) => {
            // The next use opens another connection.
            OPEN.set(None);
            Refusal::Closed
        }
        _ => Refusal::Never,
    }
}

fn begin(database: &Database, mode: TransactionMode) -> Result<Transaction<'_>, Error> {
    let options = TransactionOptions::new().with_durability(TransactionDurability::Strict);
    database.transaction(STORES).with_mode(mode).with_options(options).build()
}

/// Once more on a new connection, if the browser has closed the one that there was.
async fn again<T>(read: impl AsyncFn(&Database) -> Result<T, Error>) -> Result<T, Refusal> {
    let mut found = read(&opened().await?).await.map_err(|e| refusal(&e));
    if matches!(found, Err(Refusal::Closed)) {
        found = read(&opened().await?).await.map_err(|e| refusal(&e));
    }
    found
}

/// The id and the label of every job. A label that cannot be read is `None`.
pub(super) async fn labels() -> Result<Vec<(String, Option<Label>)>, Refusal> {
    again(async |database| {
        let transaction = begin(database, TransactionMode::Readonly)?;
        let store = transaction.object_store(LABELS)?;
        let keys = store.get_all_keys::<String>().primitive()?.await?;
        let ids = keys.collect::<Result<Vec<_>, _>>()?;
        let texts = store.get_all::<String>().primitive()?.await?;
        let texts = texts.collect::<Result<Vec<_>, _>>()?;
        Ok(ids.into_iter().zip(texts).map(|(id, text)| (id, entry::label(&text))).collect())
    })
    .await
}

/// The job under this id.
pub(super) async fn fetch(id: &str) -> Result<Option<Stored>, Refusal> {
    again(async |database| stored(&begin(database, TransactionMode::Readonly)?, id).await).await
}

async fn stored(transaction: &Transaction<'_>, id: &str) -> Result<Option<Stored>, Error> {
    let label = get(&transaction.object_store(LABELS)?, id).await?;
    let document = get(&transaction.object_store(DOCUMENTS)?, id).await?;
    let pieces = transaction
        .object_store(PIECES)?
        .get_all::<String>()
        .with_query::<String, _>(all_pieces(id, 0))
        .primitive()?
        .await?
        .collect::<Result<Vec<_>, _>>()?;
    Ok(document.map(|document| Stored { label: label.unwrap_or_default(), document, pieces }))
}

async fn get(store: &ObjectStore<'_>, key: &str) -> Result<Option<String>, Error> {
    store.get::<String, _, _>(key).primitive()?.await
}

/// Writes what changes of the job, which another tab may not have written since `revision`. Of a
/// job at revision 0 the database knows nothing yet.
pub(super) async fn write(id: &str, revision: u64, changes: &Changes) -> Result<(), Refusal> {
    let database = opened().await?;
    let written = async {
        let transaction = begin(&database, TransactionMode::Readwrite)?;
        let labels = transaction.object_store(LABELS)?;
        let standing = get(&labels, id).await?.and_then(|text| entry::label(&text));
        match standing.map_or(0, |l| l.revision) {
            there if there == revision => {}
            0 => return Ok(Err(Refusal::Gone)),
            _ => return Ok(Err(Refusal::Elsewhere)),
        }
        put(&labels, id, &entry::label_text(&changes.label))?;
        if let Some(document) = &changes.document {
            put(&transaction.object_store(DOCUMENTS)?, id, document)?;
        }
        let pieces = transaction.object_store(PIECES)?;
        for (place, text) in &changes.pieces {
            put(&pieces, &piece_key(id, *place), text)?;
        }
        pieces.delete::<String, _>(all_pieces(id, changes.count)).primitive()?;
        transaction.commit().await?;
        Ok(Ok(()))
    };
    written.await.unwrap_or_else(|e| Err(refusal(&e)))
}

/// Takes a job out and gives it.
pub(super) async fn remove(id: &str) -> Result<Option<Stored>, Refusal> {
    let database = opened().await?;
    let removed = async {
        let transaction = begin(&database, TransactionMode::Readwrite)?;
        let stored = stored(&transaction, id).await?;
        clear(&transaction, id)?;
        transaction.commit().await?;
        Ok(stored)
    };
    removed.await.map_err(|e| refusal(&e))
}

/// Puts a job there as it was fetched.
pub(super) async fn put_back(id: &str, stored: &Stored) -> Result<(), Refusal> {
    let database = opened().await?;
    let written = async {
        let transaction = begin(&database, TransactionMode::Readwrite)?;
        clear(&transaction, id)?;
        put(&transaction.object_store(LABELS)?, id, &stored.label)?;
        put(&transaction.object_store(DOCUMENTS)?, id, &stored.document)?;
        let pieces = transaction.object_store(PIECES)?;
        for (place, text) in stored.pieces.iter().enumerate() {
            put(&pieces, &piece_key(id, place), text)?;
        }
        transaction.commit().await
    };
    written.await.map_err(|e| refusal(&e))
}

/// Moves a job that cannot be read to where nothing touches it, as the text that it makes.
pub(super) async fn put_aside(id: &str, text: &str) -> Result<(), Refusal> {
    let database = opened().await?;
    let written = async {
        let transaction = begin(&database, TransactionMode::Readwrite)?;
        put(&transaction.object_store(DAMAGED)?, id, text)?;
        clear(&transaction, id)?;
        transaction.commit().await
    };
    written.await.map_err(|e| refusal(&e))
}

/// Keeps a line of a gauge.
pub(super) async fn put_line(key: &str, text: &str) -> Result<(), Refusal> {
    again(async |database| {
        let transaction = begin(database, TransactionMode::Readwrite)?;
        put(&transaction.object_store(LINES)?, key, text)?;
        transaction.commit().await
    })
    .await
}

/// The lines of gauges, the oldest first.
pub(super) async fn lines() -> Result<Vec<String>, Refusal> {
    again(async |database| {
        let transaction = begin(database, TransactionMode::Readonly)?;
        let lines = transaction.object_store(LINES)?.get_all::<String>().primitive()?.await?;
        lines.collect()
    })
    .await
}

fn clear(transaction: &Transaction<'_>, id: &str) -> Result<(), Error> {
    transaction.object_store(LABELS)?.delete(id).primitive()?;
    transaction.object_store(DOCUMENTS)?.delete(id).primitive()?;
    transaction.object_store(PIECES)?.delete::<String, _>(all_pieces(id, 0)).primitive()?;
    Ok(())
}

/// What comes of it is told by the transaction, which is not complete before.
fn put(store: &ObjectStore<'_>, key: &str, text: &str) -> Result<(), Error> {
    store.put(text).with_key(key).primitive().map(drop)
}

/// Places are written with as many digits, so that the keys are in the order of the pieces.
fn piece_key(id: &str, place: usize) -> String {
    format!("{id}/{place:08}")
}

/// The keys of the pieces from this place on.
fn all_pieces(id: &str, from: usize) -> KeyRange<String> {
    // ':' follows the digits.
    KeyRange::Bound(piece_key(id, from), false, format!("{id}/:"), true)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_keys_of_the_pieces_are_in_their_order_and_within_their_range() {
        let KeyRange::Bound(first, _, end, _) = all_pieces("ab", 3) else { panic!("a range") };
        let keys: Vec<String> = [3, 9, 10, 99_999_999].map(|i| piece_key("ab", i)).to_vec();
        assert!(keys.is_sorted());
        assert!(keys.iter().all(|k| *k >= first && *k < end));
        assert!(piece_key("ab", 2) < first);
        assert!(piece_key("ac", 0) >= end);
    }
}
