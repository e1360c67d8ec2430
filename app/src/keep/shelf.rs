//! The jobs that are kept.

use super::database;

/// A kept job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Shelved {
    /// Its name in the store.
    pub(crate) id: String,
    /// Part number, revision and name.
    pub(crate) title: String,
    /// When it was written last, UTC.
    pub(crate) when: String,
}

/// All kept jobs, the one written last first. Read from the database itself, so that two tabs
/// cannot disagree about it; none where the browser keeps nothing.
pub(crate) async fn shelf() -> Vec<Shelved> {
    let labels = database::labels().await.unwrap_or_default();
    let mut list: Vec<Shelved> = labels
        .into_iter()
        .map(|(id, label)| match label {
            Some(l) => Shelved { id, title: l.title, when: l.when },
            None => {
                Shelved { id, title: "a job that cannot be read".to_owned(), when: String::new() }
            }
        })
        .collect();
    list.sort_by(|a, b| b.when.cmp(&a.when).then_with(|| a.id.cmp(&b.id)));
    list
}
