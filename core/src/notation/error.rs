//! Why a typed text was refused.

use std::fmt;

/// Why a text was refused, in a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryError(pub String);

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for EntryError {}

pub(crate) fn refuse<T>(why: impl Into<String>) -> Result<T, EntryError> {
    Err(EntryError(why.into()))
}
