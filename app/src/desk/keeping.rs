//! What the desk does about keeping: it says whether all is kept, and what another tab did.

use super::{Action, Desk, Tone};
use crate::clock;
use crate::keep::{Heard, Kept, Written};
use leptos::prelude::*;
use std::time::Duration;

/// A large job is written after this at the latest.
const PATIENCE: Duration = Duration::from_millis(300);

impl Desk {
    /// Says what came of writing the job.
    pub(super) fn written(self, written: Option<Written>) {
        match written {
            None => {}
            Some(Written::Done) => self.kept.set(Kept::At(clock::wall())),
            Some(Written::Waits) if self.kept.get_untracked() == Kept::Soon => {}
            Some(Written::Waits) => {
                self.kept.set(Kept::Soon);
                request_idle_callback(move || self.flush());
                set_timeout(move || self.flush(), PATIENCE);
            }
            Some(Written::Refused(how)) => self.refused(how),
            Some(Written::Copied { other }) => {
                self.kept.set(Kept::At(clock::wall()));
                self.say(
                    Tone::Ask,
                    "Another tab has changed this job too. Yours goes on as a copy; both are kept.",
                    vec![self.load_other(other)],
                );
            }
        }
    }

    fn refused(self, how: Kept) {
        if self.kept.get_untracked() == how {
            return;
        }
        let why = if how == Kept::Full {
            "The browser has no room left for this job: your changes are on this page only. Save the \
             job to a file, or take old jobs off the shelf."
        } else {
            "This browser lets the page keep nothing: your changes are on this page only. Save the \
             job to a file before you leave."
        };
        self.kept.set(how);
        let save = Action::new("Save to a file", move || crate::file::save(self));
        self.say(Tone::Wrong, why, vec![save]);
    }

    /// Writes what still waits.
    pub(crate) fn flush(self) {
        let written = self.keep.try_update_value(crate::keep::Keep::flush).flatten();
        self.written(written);
    }

    /// Follows the store and the page: other tabs, and the page being put away.
    pub(super) fn listen(self) {
        window_event_listener(leptos::ev::storage, move |event| {
            let key = event.key();
            match self.keep.try_update_value(|k| k.heard(key.as_deref())) {
                Some(Heard::Changed) => self.changed_elsewhere(),
                Some(Heard::Gone) => {
                    let job = self.job_untracked();
                    let written = self.keep.try_update_value(|k| k.job(&job));
                    self.written(written);
                }
                Some(Heard::Nothing) | None => {}
            }
        });
        window_event_listener_untyped("pagehide", move |_| self.flush());
        window_event_listener_untyped("visibilitychange", move |_| self.flush());
        window_event_listener_untyped("beforeunload", move |event| {
            self.flush();
            let left =
                self.left.with_value(|l| l.as_ref().is_some_and(super::jobs::Left::is_unkept));
            if left || self.kept.with_untracked(Kept::loses) {
                event.prevent_default();
            }
        });
    }

    fn changed_elsewhere(self) {
        let id = self.keep.with_value(|k| k.id().to_owned());
        self.kept.set(Kept::Elsewhere);
        let copy = Action::new("Keep mine as a copy", move || {
            let job = self.job_untracked();
            let written = self.keep.try_update_value(|k| k.as_copy(&job));
            self.written(written);
            if self.kept.with_untracked(|k| matches!(k, Kept::At(_))) {
                self.say(Tone::Plain, "Kept as a copy. The other tab's job is under Jobs.", vec![]);
            }
        });
        self.say(
            Tone::Ask,
            "Another tab has changed this job; this tab still shows it as it was before.",
            vec![self.load_other(id), copy],
        );
    }

    fn load_other(self, id: String) -> Action {
        Action::new("Load what the other tab wrote", move || {
            self.hush();
            self.open_kept(&id);
        })
    }
}
