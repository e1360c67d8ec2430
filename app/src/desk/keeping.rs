//! What the desk does about keeping: it says whether all is kept, and what another tab did.

use super::{Action, Desk, Tone};
use crate::clock;
use crate::keep::{self, Heard, Keep, Kept, Lasting, Written};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;

/// A tab that is closed or loaded again lets go of its job within this.
const LETTING_GO: Duration = Duration::from_secs(2);

impl Desk {
    /// The keeper of the open job.
    pub(super) fn keeper(self) -> Keep {
        self.keep.get_value()
    }

    /// Makes `keep` the keeper of the open job.
    pub(super) fn keeps_by(self, keep: Keep) {
        self.keep.set_value(keep);
        self.hold();
    }

    /// Writes what is wanted of the open job.
    pub(super) fn write(self) {
        let keep = self.keeper();
        if !matches!(self.kept.get_untracked(), Kept::Full | Kept::Never | Kept::Soon) {
            self.kept.set(Kept::Soon);
        }
        spawn_local(async move {
            let written = keep.write().await;
            self.written(&keep, written);
        });
    }

    /// Asks the browser once, at the first change, to keep what it keeps for good.
    pub(super) fn ask_to_last(self) {
        if self.asked_to_last.get_value() {
            return;
        }
        self.asked_to_last.set_value(true);
        spawn_local(async move {
            let says = keep::ask_to_last().await;
            if says != Lasting::Unknown {
                self.lasting.set(says);
            }
        });
    }

    /// Says what came of writing.
    pub(super) fn written(self, keep: &Keep, written: Option<Written>) {
        if !keep.is(&self.keeper()) {
            if matches!(written, Some(Written::Refused(_))) {
                self.left_not_kept(keep);
            }
            return;
        }
        match written {
            // Said by the write that took this state along, or will be by the one behind it.
            None => {}
            Some(Written::Done) => self.is_kept(keep),
            Some(Written::Refused(how)) => self.refused(how),
            Some(Written::Copied { other }) => {
                self.is_kept(keep);
                self.say(
                    Tone::Ask,
                    "Another tab has this job open, or has changed it. Yours goes on as a copy; both are kept.",
                    vec![self.load_other(other)],
                );
            }
        }
    }

    fn is_kept(self, keep: &Keep) {
        if !keep.is_behind() {
            self.kept.set(Kept::At(clock::wall()));
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

    /// Follows the other tabs, and the page being put away.
    pub(super) fn listen(self) {
        keep::listen(move |news| match self.keeper().heard(&news) {
            Heard::Changed => self.changed_elsewhere(),
            Heard::Gone => {
                self.keeper().want(&self.job_untracked());
                self.write();
            }
            Heard::Nothing => {}
        });
        window_event_listener_untyped("beforeunload", move |event| {
            let left =
                self.left.with_value(|l| l.as_ref().is_some_and(super::jobs::Left::is_unkept));
            if left || self.kept.with_untracked(Kept::loses) {
                event.prevent_default();
            }
        });
    }

    /// Asks the browser for the open job; if another tab has it, says so.
    fn hold(self) {
        let keep = self.keeper();
        let granted = keep.clone();
        keep.hold(move || self.other_tab_let_go(granted));
        set_timeout(
            move || {
                if keep.is(&self.keeper()) && keep.is_held_elsewhere() {
                    keep.becomes_a_copy(true);
                    self.say(
                        Tone::Ask,
                        "This job is open in another tab. What you change here is kept as a copy.",
                        vec![],
                    );
                }
            },
            LETTING_GO,
        );
    }

    /// The job is free for this tab: nothing has to become a copy if it is as this tab knows it.
    fn other_tab_let_go(self, keep: Keep) {
        if !keep.was_to_become_a_copy() {
            return;
        }
        spawn_local(async move {
            let same = keep.is_as_in_the_database().await;
            if !keep.is(&self.keeper()) {
                return;
            }
            if same {
                keep.becomes_a_copy(false);
                self.hush();
            } else if self.kept.get_untracked() != Kept::Elsewhere {
                self.changed_elsewhere();
            }
        });
    }

    fn changed_elsewhere(self) {
        let id = self.keeper().id();
        self.kept.set(Kept::Elsewhere);
        let copy = Action::new("Keep mine as a copy", move || {
            self.keeper().as_copy(&self.job_untracked());
            self.write();
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
