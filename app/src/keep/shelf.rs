//! The jobs that are kept.

use super::store::{JOB, Store};

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

/// All kept jobs, the one written last first. Read from the store itself, so that two tabs
/// cannot disagree about it.
pub(crate) fn shelf() -> Vec<Shelved> {
    let Some(store) = Store::open() else { return Vec::new() };
    let mut list: Vec<Shelved> = store
        .keys()
        .into_iter()
        .filter_map(|key| {
            let id = key.strip_prefix(JOB)?.to_owned();
            Some(match store.label(&key) {
                Some(l) => Shelved { id, title: l.title, when: l.when },
                None => Shelved {
                    id,
                    title: "a job that cannot be read".to_owned(),
                    when: String::new(),
                },
            })
        })
        .collect();
    list.sort_by(|a, b| b.when.cmp(&a.when).then_with(|| a.id.cmp(&b.id)));
    list
}
