//! What the page has to say: one line, never in the way.

use std::sync::Arc;

/// What a line offers: a button.
///
/// It is no `Callback`: such a one is gone with the component whose button was pressed when the line
/// was made, and the line stands longer than the panel that the button is in.
#[derive(Clone)]
pub(crate) struct Action {
    /// Text of the button.
    pub(crate) words: String,
    act: Arc<dyn Fn() + Send + Sync>,
}

impl Action {
    /// A button with these words that does `act`.
    pub(crate) fn new(words: impl Into<String>, act: impl Fn() + Send + Sync + 'static) -> Self {
        Self { words: words.into(), act: Arc::new(act) }
    }

    /// Does it.
    pub(crate) fn run(&self) {
        (self.act)();
    }
}

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
pub(crate) struct StatusLine {
    /// How it is meant.
    pub(crate) tone: Tone,
    /// The sentence.
    pub(crate) text: String,
    /// What can be done about it.
    pub(crate) actions: Vec<Action>,
}
