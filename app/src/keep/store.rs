//! The browser's local storage, for small conveniences: which job was open, where one was in it.
//! Jobs are in the database.

use web_sys::Storage;

/// What the key of a job began with that an earlier version kept here.
pub(super) const JOB: &str = "quarterturn.job.";

/// The local storage of this origin.
pub(super) struct Store(Storage);

impl Store {
    /// `None` where the browser lets the page keep nothing.
    pub(super) fn open() -> Option<Self> {
        web_sys::window()?.local_storage().ok().flatten().map(Self)
    }

    pub(super) fn get(&self, key: &str) -> Option<String> {
        self.0.get_item(key).ok().flatten()
    }

    /// False if there is no room.
    pub(super) fn set(&self, key: &str, value: &str) -> bool {
        self.0.set_item(key, value).is_ok()
    }

    pub(super) fn remove(&self, key: &str) {
        // Refused only where nothing can be kept, and then there is nothing to remove.
        let _ = self.0.remove_item(key);
    }

    pub(super) fn keys(&self) -> Vec<String> {
        let count = self.0.length().unwrap_or(0);
        (0..count).filter_map(|i| self.0.key(i).ok().flatten()).collect()
    }

    fn session() -> Option<Storage> {
        web_sys::window()?.session_storage().ok().flatten()
    }

    /// What this tab remembers for itself.
    pub(super) fn of_this_tab(&self, key: &str) -> Option<String> {
        Self::session()?.get_item(key).ok().flatten()
    }

    pub(super) fn set_for_this_tab(&self, key: &str, value: &str) {
        if let Some(session) = Self::session() {
            // A convenience: without it a tab opens the job that was open anywhere last.
            let _ = session.set_item(key, value);
        }
    }
}

/// A name that no other tab will choose.
pub(super) fn token() -> String {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "below 2^32 by what it is"
    )]
    let part = || (js_sys::Math::random() * 4_294_967_296.0) as u32;
    format!("{:08x}{:08x}", part(), part())
}
