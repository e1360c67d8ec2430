//! One job is left for another: new, opened from a file or the shelf, the example. None of it
//! destroys anything, and the step can be taken back like any other.

use super::history::History;
use super::{Action, Desk, Screen, Tone};
use crate::keep::{self, Keep, Kept, Lost, title};
use leptos::prelude::*;
use quarterturn_core::Job;
use quarterturn_core::quantity::Unit;
use std::sync::Arc;

/// The job that was open before.
#[derive(Clone)]
pub(super) struct Prior {
    id: String,
    job: Arc<Job>,
    history: History,
    piece: usize,
    orientation: usize,
}

impl Desk {
    /// Opens what was open last, or the example at a first visit.
    pub(crate) fn begin(self) {
        self.listen();
        let last = Keep::last_open().or_else(|| keep::shelf().first().map(|s| s.id.clone()));
        let found = last.and_then(|id| self.keep.try_update_value(|k| k.take_up(&id)));
        match found {
            Some(Ok(job)) => {
                self.show(Arc::new(job));
                self.restore_place();
                self.kept.set(Kept::At(crate::clock::wall()));
                self.ready.set(true);
                if self.job_untracked().demo {
                    self.say_example();
                }
            }
            Some(Err(Lost::Damaged { key, error })) => {
                self.start(Job::empty(Unit::Inch), true);
                self.ready.set(true);
                self.say_damaged(&key, &error.to_string());
            }
            Some(Err(Lost::Missing)) | None => self.example(true),
        }
        Effect::new(move |_| {
            let place = format!(
                "{} {} {}",
                self.screen.get().word(),
                self.piece.get(),
                self.orientation.get()
            );
            self.opened.track();
            if self.ready.get() {
                self.keep.with_value(|k| k.place(&place));
            }
        });
    }

    fn restore_place(self) {
        let Some(place) = self.keep.with_value(Keep::last_place) else { return };
        let mut words = place.split(' ');
        if let Some(screen) = words.next().and_then(Screen::named) {
            self.screen.set(screen);
        }
        let job = self.job_untracked();
        let mut index = |count: usize| words.next()?.parse::<usize>().ok().filter(|i| *i < count);
        if let Some(piece) = index(job.pieces.len()) {
            self.piece.set(piece);
        }
        if let Some(orientation) = index(job.plan.orientations.len()) {
            self.orientation.set(orientation);
        }
    }

    fn say_damaged(self, key: &str, why: &str) {
        let key = key.to_owned();
        let save = Callback::new(move |()| {
            if let Some(text) = keep::text_of(&key) {
                crate::file::download("damaged-job.json", "application/json", &text.into());
            }
        });
        self.say(
            Tone::Wrong,
            format!(
                "A job kept in this browser cannot be read, and was put aside untouched. {why}"
            ),
            vec![("Save it to a file".to_owned(), save)],
        );
    }

    /// Puts the open job on the shelf and an empty one in its place.
    pub(crate) fn new_job(self, unit: Unit) {
        let left = self.leave();
        self.start(Job::empty(unit), true);
        self.screen.set(Screen::Drawing);
        self.say_left(&format!("New job, {}.", unit.word()), left);
    }

    /// Opens a job that was read from a file.
    pub(crate) fn open_read(self, job: Job, name: &str) {
        let left = self.leave();
        let what = format!("Opened {name}: {}.", title(&job));
        self.start(job, false);
        self.say_left(&what, left);
    }

    /// Opens a job from the shelf.
    pub(crate) fn open_kept(self, id: &str) {
        let mut next = self.keep.get_value();
        if let Some(written) = next.flush() {
            self.keep.set_value(next.clone());
            self.written(Some(written));
        }
        match next.take_up(id) {
            Ok(job) => {
                let another = self.keep.with_value(|k| k.id() != id);
                let left = another.then(|| self.leave()).flatten();
                let what = format!("Opened {}.", title(&job));
                self.keep.set_value(next);
                self.fresh(Arc::new(job));
                self.restore_place();
                self.kept.set(Kept::At(crate::clock::wall()));
                if another {
                    self.say_left(&what, left);
                } else {
                    self.say(Tone::Plain, what, vec![]);
                }
            }
            Err(Lost::Missing) => {
                self.say(Tone::Wrong, "That job is no longer kept in this browser.", vec![]);
            }
            Err(Lost::Damaged { key, error }) => self.say_damaged(&key, &error.to_string()),
        }
    }

    /// Opens the example that comes with the program. `first`: at a first visit, when an empty
    /// job takes its place if it cannot be fetched.
    pub(crate) fn example(self, first: bool) {
        leptos::task::spawn_local(async move {
            match crate::file::fetch_example().await {
                Ok(job) => {
                    if !first {
                        self.leave();
                    }
                    self.start(job, true);
                    if first {
                        self.screen.set(Screen::Findings);
                    }
                    self.ready.set(true);
                    self.say_example();
                }
                Err(why) => {
                    if first {
                        self.start(Job::empty(Unit::Inch), true);
                    }
                    self.ready.set(true);
                    self.say(
                        Tone::Plain,
                        format!("The example could not be fetched ({why})."),
                        vec![],
                    );
                }
            }
        });
    }

    fn say_example(self) {
        let start = |unit: Unit| -> Action {
            (format!("New, in {}", unit.word()), Callback::new(move |()| self.new_job(unit)))
        };
        self.say(
            Tone::Plain,
            "This is an example: try anything on it. Start your own:",
            vec![start(Unit::Inch), start(Unit::Mm)],
        );
    }

    /// Takes a job off the shelf for good; can be put back as long as the line stands.
    pub(crate) fn forget(self, id: &str, title: &str) {
        let Some(text) = keep::forget(id) else { return };
        let id = id.to_owned();
        let back = Callback::new(move |()| {
            let said = if keep::put_back(&id, &text) {
                "Put back on the shelf."
            } else {
                "There is no room to put it back."
            };
            self.say(Tone::Plain, said, vec![]);
        });
        self.say(
            Tone::Ask,
            format!("Removed “{title}” from this browser."),
            vec![("Put it back".to_owned(), back)],
        );
        if self.kept.get_untracked() == Kept::Full {
            let job = self.job_untracked();
            let written = self.keep.try_update_value(|k| k.job(&job));
            self.written(written);
        }
    }

    /// Name in the store of the open job.
    pub(crate) fn open_id(self) -> String {
        self.keep.with_value(|k| k.id().to_owned())
    }

    /// Makes ready to open another job: what is open is kept, and can be come back to. Gives its
    /// title if it went to the shelf; one that was never changed does not.
    fn leave(self) -> Option<String> {
        let job = self.job_untracked();
        let prior = Prior {
            id: self.open_id(),
            job: Arc::clone(&job),
            history: self.history.get_value(),
            piece: self.piece.get_untracked(),
            orientation: self.orientation.get_untracked(),
        };
        let written = self.keep.try_update_value(|k| k.leave(&job)).flatten();
        self.written(written);
        self.prior.set_value(Some(prior));
        let id = self.open_id();
        keep::shelf().iter().any(|s| s.id == id).then(|| title(&job))
    }

    fn start(self, job: Job, made_here: bool) {
        let job = Arc::new(job);
        let written = self.keep.try_update_value(|k| k.start(&job, made_here));
        self.fresh(job);
        self.written(written);
    }

    /// Shows a job that was not open before.
    fn fresh(self, job: Arc<Job>) {
        self.history.set_value(History::default());
        self.selected.set(None);
        self.piece.set(0);
        self.orientation.set(0);
        self.show(job);
        self.opened.update(|n| *n += 1);
        self.hush();
    }

    fn say_left(self, what: &str, left: Option<String>) {
        let undo = Callback::new(move |()| {
            self.back_to_prior();
        });
        let text = left
            .map_or_else(|| what.to_owned(), |left| format!("{what} “{left}” is on the shelf."));
        self.say(Tone::Ask, text, vec![("Undo".to_owned(), undo)]);
    }

    /// Comes back to the job that was open before this one, with its steps. False if there is none.
    pub(super) fn back_to_prior(self) -> bool {
        let Some(prior) = self.prior.try_update_value(Option::take).flatten() else { return false };
        let here = self.job_untracked();
        let written = self.keep.try_update_value(|k| k.leave(&here)).flatten();
        self.written(written);
        let taken = self.keep.try_update_value(|k| k.take_up(&prior.id));
        let what = format!("Back at “{}”.", title(&prior.job));
        match taken {
            Some(Ok(job)) if job == *prior.job => {
                self.fresh(prior.job);
                self.history.set_value(prior.history);
                self.kept.set(Kept::At(crate::clock::wall()));
            }
            // Changed by another tab meanwhile: what stands there is the truth.
            Some(Ok(job)) => {
                self.fresh(Arc::new(job));
                self.kept.set(Kept::At(crate::clock::wall()));
            }
            // It was never changed, or there was no room for it: it is still in memory.
            _ => {
                self.start(Job::clone(&prior.job), false);
                self.history.set_value(prior.history);
            }
        }
        self.piece.set(prior.piece);
        self.orientation.set(prior.orientation);
        self.say(Tone::Plain, what, vec![]);
        true
    }
}
