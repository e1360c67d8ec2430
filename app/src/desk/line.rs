//! What the page has to say: one line, never in the way.

use leptos::prelude::Callback;

/// What a line offers: the words of the button and what it does.
pub(crate) type Action = (String, Callback<()>);

/// How a line is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tone {
    /// For the record: what was done.
    Plain,
    /// The user has to decide something, at leisure.
    Ask,
    /// Something was refused or is not kept.
    Wrong,
}

/// One line under the header.
#[derive(Clone)]
pub(crate) struct Line {
    /// How it is meant.
    pub(crate) tone: Tone,
    /// The sentence.
    pub(crate) text: String,
    /// What can be done about it.
    pub(crate) actions: Vec<Action>,
}
