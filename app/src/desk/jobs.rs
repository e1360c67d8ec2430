//! One job is left for another: new, opened from a file or the shelf, the example. Each job has a
//! history of its own, so undo and redo never lead from one job to another; the job that is left goes
//! to the shelf, and a line offers to go back to it.

use super::history::History;
use super::{Action, Desk, Screen, Spot, Tone};
use crate::keep::{self, Keep, Kept, Lost, title};
use leptos::prelude::*;
use leptos::task::spawn_local;
use quarterturn_core::Job;
use quarterturn_core::quantity::Unit;
use std::sync::Arc;

/// What stands for the open job when the page is to be loaded without the one that fails.
const WITHOUT: &str = "none";

/// The job that was open before, as it was left.
#[derive(Clone)]
pub(super) struct Left {
    keep: Keep,
    job: Arc<Job>,
    history: History,
    screen: Screen,
    piece: usize,
    orientation: usize,
    parting: Parting,
}

impl Left {
    /// Whether it is on this page only.
    pub(super) fn is_unkept(&self) -> bool {
        self.parting == Parting::NotKept
    }
}

/// What became of a job that was left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Parting {
    /// It is on the shelf.
    OnShelf,
    /// It was as this page had made it, and is not worth keeping.
    Untouched,
    /// The browser did not take it: it is on this page only.
    NotKept,
}

impl Desk {
    /// Opens what was open last, or the example at a first visit.
    pub(crate) fn begin(self) {
        self.listen();
        spawn_local(async move {
            keep::make_ready().await;
            self.open_last().await;
            self.lasting.set(keep::lasting().await);
        });
        Effect::new(move |_| {
            let (piece, orientation) = (self.piece.get(), self.orientation.get());
            let mut place = format!("{} {piece} {orientation}", self.screen.get().word());
            let here = |spot: &Spot| (spot.piece, spot.orientation) == (piece, orientation);
            if let Some(spot) = self.spot.get().filter(here) {
                place.push_str(&format!(" {}", spot.touch));
            }
            self.opened.track();
            if self.ready.get() {
                self.keep.with_value(|k| k.place(&place));
            }
        });
    }

    async fn open_last(self) {
        let opened = self.opened.get_untracked();
        let last = Keep::last_open().await;
        let mut found = match &last {
            Some(id) => keep::fetch(id).await,
            None => Err(Lost::Missing),
        };
        let without = last.as_deref() == Some(WITHOUT);
        if matches!(found, Err(Lost::Missing)) && !without {
            // It was removed, by another tab or with what the browser kept.
            let latest = keep::shelf().await.first().map(|s| s.id.clone());
            if let Some(id) = latest {
                found = keep::fetch(&id).await;
            }
        }
        if self.opened.get_untracked() != opened {
            // A file was dropped on the page meanwhile: that is what the user wants to see.
            self.ready.set(true);
            return;
        }
        match found {
            Ok(fetched) => {
                self.keeps_by(Keep::resume(&fetched));
                self.show(fetched.job);
                self.history.set_value(History::resumed());
                self.restore_place();
                self.kept.set(Kept::At(crate::clock::wall()));
                self.ready.set(true);
                if self.job_untracked().demo {
                    self.say_example();
                }
            }
            Err(Lost::Damaged { text, error }) => {
                self.start(Job::empty(Unit::Inch), true);
                self.ready.set(true);
                self.say_damaged(text, &error.to_string());
            }
            Err(Lost::Missing | Lost::Never) => self.example(true),
        }
    }

    fn restore_place(self) {
        let Some(place) = self.keep.with_value(Keep::last_place) else { return };
        let mut words = place.split(' ');
        if let Some(screen) = words.next().and_then(Screen::named) {
            self.screen.set(screen);
        }
        let job = self.job_untracked();
        let mut index = |count: usize| words.next()?.parse::<usize>().ok().filter(|i| *i < count);
        let piece = index(job.pieces.len());
        let orientation = index(job.plan.orientations.len());
        let touch = index(usize::MAX);
        if let Some(piece) = piece {
            self.piece.set(piece);
        }
        if let Some(orientation) = orientation {
            self.orientation.set(orientation);
        }
        if let (Some(piece), Some(orientation), Some(touch)) = (piece, orientation, touch) {
            self.spot.set(Some(Spot { piece, orientation, touch }));
        }
    }

    fn say_damaged(self, text: String, why: &str) {
        let save = Action::new("Save it to a file", move || {
            crate::file::download("damaged-job.json", "application/json", &text.as_str().into());
        });
        self.say(
            Tone::Wrong,
            format!(
                "A job kept in this browser cannot be read, and was put aside untouched. {why}"
            ),
            vec![save],
        );
    }

    /// Puts the open job on the shelf and an empty one in its place.
    pub(crate) fn new_job(self, unit: Unit) {
        self.leave();
        self.start(Job::empty(unit), true);
        self.screen.set(Screen::Drawing);
        self.say_left(format!("New job, {}.", unit.word()), vec![]);
    }

    /// Opens a job that was read from a file; `also` is said of the file, in this tone.
    pub(crate) fn open_read(self, job: Job, name: &str, tone: Tone, also: &str) {
        self.leave();
        let what = format!("Opened {name}: {}. {also}", title(&job));
        self.start(job, false);
        self.say_left(what.trim_end().to_owned(), vec![]);
        if !also.is_empty() {
            self.raise(tone);
        }
    }

    /// What was just said is said in this tone, where it can be seen.
    fn raise(self, tone: Tone) {
        let said = self.said.get_untracked();
        if said.is_empty() {
            self.line.update(|line| {
                if let Some(line) = line {
                    line.tone = tone;
                }
            });
        } else {
            self.said.set(String::new());
            self.say(tone, said, vec![]);
        }
    }

    /// Opens a job from the shelf.
    pub(crate) fn open_kept(self, id: &str) {
        let id = id.to_owned();
        spawn_local(async move {
            match keep::fetch(&id).await {
                Ok(fetched) => {
                    let another = self.open_id() != id;
                    if another {
                        self.leave();
                    }
                    let what = format!("Opened {}.", title(&fetched.job));
                    self.keeps_by(Keep::resume(&fetched));
                    self.fresh(fetched.job);
                    self.history.set_value(History::resumed());
                    self.restore_place();
                    self.kept.set(Kept::At(crate::clock::wall()));
                    if another {
                        self.say_left(what, vec![]);
                    } else {
                        self.say(Tone::Plain, what, vec![]);
                    }
                }
                Err(Lost::Missing | Lost::Never) => {
                    self.say(Tone::Wrong, "That job is no longer kept in this browser.", vec![]);
                }
                Err(Lost::Damaged { text, error }) => self.say_damaged(text, &error.to_string()),
            }
        });
    }

    /// Opens the example that comes with the program. `first`: at a first visit, when an empty
    /// job takes its place if it cannot be fetched.
    pub(crate) fn example(self, first: bool) {
        let opened = self.opened.get_untracked();
        spawn_local(async move {
            let fetched = crate::file::fetch_example().await;
            if self.opened.get_untracked() != opened {
                // Another job was opened while the example was on its way.
                self.ready.set(true);
                return;
            }
            match fetched {
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
        let start = |unit: Unit| {
            Action::new(format!("New, in {}", unit.word()), move || self.new_job(unit))
        };
        self.say_left(
            "This is an example: try anything on it, or start your own: Alt J, Enter.".to_owned(),
            vec![start(Unit::Inch), start(Unit::Mm)],
        );
    }

    /// Takes a job off the shelf for good; can be put back as long as the line stands. `then` is called
    /// when the shelf has changed.
    pub(crate) fn forget(
        self,
        id: &str,
        title: &str,
        then: impl Fn() + Copy + Send + Sync + 'static,
    ) {
        let (id, title) = (id.to_owned(), title.to_owned());
        spawn_local(async move {
            let Some(removed) = keep::forget(&id).await else { return };
            then();
            let removed = StoredValue::new_local(removed);
            let back = Action::new("Put it back", move || {
                let (id, removed) = (id.clone(), removed.get_value());
                spawn_local(async move {
                    let said = if keep::put_back(&id, &removed).await {
                        "Put back under Jobs."
                    } else {
                        "There is no room to put it back."
                    };
                    then();
                    self.say(Tone::Plain, said, vec![]);
                });
            });
            self.say(Tone::Ask, format!("Removed “{title}” from this browser."), vec![back]);
            if self.kept.get_untracked() == Kept::Full {
                self.keeper().want(&self.job_untracked());
                self.write();
            }
        });
    }

    /// Name in the store of the open job.
    pub(crate) fn open_id(self) -> String {
        self.keep.with_value(Keep::id)
    }

    /// Has `settle` called before the open job is left for another one, for what is typed on the
    /// screen and not taken over yet.
    pub(crate) fn before_leaving(self, settle: Callback<()>) {
        self.leaving.set_value(Some(settle));
    }

    /// Makes ready to open another job: what is open is kept, and can be come back to.
    fn leave(self) {
        crate::keys::settle();
        if let Some(settle) = self.leaving.get_value() {
            // Nothing comes of it where its screen is no longer there.
            let _settled = settle.try_run(());
        }
        let job = self.job_untracked();
        let keep = self.keeper();
        let untouched = keep.is_untouched(&job);
        let parting = match (untouched, self.kept.get_untracked()) {
            (true, _) => Parting::Untouched,
            (false, Kept::Full | Kept::Never) => Parting::NotKept,
            // What is still being written is waited for; a refusal is said.
            (false, _) => Parting::OnShelf,
        };
        self.left.set_value(Some(Left {
            keep: keep.clone(),
            job,
            history: self.history.get_value(),
            screen: self.screen.get_untracked(),
            piece: self.piece.get_untracked(),
            orientation: self.orientation.get_untracked(),
            parting,
        }));
        spawn_local(async move {
            let written = keep.leave(untouched).await;
            self.written(&keep, written);
        });
    }

    /// The job that was left could not be kept after all.
    pub(super) fn left_not_kept(self, keep: &Keep) {
        let here = self.left.try_update_value(|left| {
            let left = left.as_mut().filter(|l| l.keep.is(keep))?;
            let before = std::mem::replace(&mut left.parting, Parting::NotKept);
            (before == Parting::OnShelf).then(|| title(&left.job))
        });
        if let Some(name) = here.flatten() {
            self.say_left(format!("“{name}” was left."), vec![]);
        }
    }

    fn start(self, job: Job, made_here: bool) {
        let job = Arc::new(job);
        self.keeps_by(Keep::start(&job, made_here));
        self.fresh(job);
        self.write();
    }

    /// Shows a job that was not open before.
    fn fresh(self, job: Arc<Job>) {
        // First, so that the screen of the job before goes before it sees anything of this one.
        self.opened.update(|n| *n += 1);
        self.history.set_value(History::default());
        self.selected.set(None);
        self.piece.set(0);
        self.orientation.set(0);
        self.spot.set(None);
        self.show(job);
        self.hush();
    }

    /// Says what was opened and what became of the job before, with the way back to it.
    fn say_left(self, what: String, mut actions: Vec<Action>) {
        let left = self.left.get_value();
        let Some(left) = left.filter(|l| l.parting != Parting::Untouched) else {
            let tone = if actions.is_empty() { Tone::Plain } else { Tone::Ask };
            self.say(tone, what, actions);
            return;
        };
        let name = title(&left.job);
        actions.push(Action::new("Go back to it", move || self.go_back()));
        if left.is_unkept() {
            let save = move || crate::file::save_job(self, &left.job);
            actions.push(Action::new("Save it to a file", save));
            let says = format!(
                "{what} “{name}” could not be kept in this browser: it is on this page only, and only \
                 until one more job is opened."
            );
            self.say(Tone::Wrong, says, actions);
        } else {
            self.say(Tone::Ask, format!("{what} “{name}” is under Jobs."), actions);
        }
    }

    /// Goes back to the job that was open before this one, with its steps. This one is left for it
    /// as for any other.
    fn go_back(self) {
        let Some(to) = self.left.try_update_value(Option::take).flatten() else { return };
        self.leave();
        spawn_local(async move {
            // After what is being written of it.
            let _ = to.keep.write().await;
            let what = format!("Back at “{}”.", title(&to.job));
            match keep::fetch(&to.keep.id()).await {
                Ok(fetched) if fetched.job == to.job => {
                    self.keeps_by(Keep::resume(&fetched));
                    self.fresh(to.job);
                    self.history.set_value(to.history);
                    self.kept.set(Kept::At(crate::clock::wall()));
                }
                // Changed by another tab meanwhile: what stands there is the truth.
                Ok(fetched) if to.parting != Parting::NotKept => {
                    self.keeps_by(Keep::resume(&fetched));
                    self.fresh(fetched.job);
                    self.history.set_value(History::resumed());
                    self.kept.set(Kept::At(crate::clock::wall()));
                }
                // What the database has of it is older.
                Ok(fetched) => {
                    let keep = Keep::resume(&fetched);
                    keep.want(&to.job);
                    self.keeps_by(keep);
                    self.fresh(to.job);
                    self.history.set_value(to.history);
                    self.write();
                }
                // There was no room for any of it: it is still in memory.
                Err(_) => {
                    self.start(Job::clone(&to.job), false);
                    self.history.set_value(to.history);
                }
            }
            self.piece.set(to.piece);
            self.orientation.set(to.orientation);
            self.screen.set(to.screen);
            self.say_left(what, vec![]);
        });
    }
}
