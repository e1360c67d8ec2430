//! The desk: the open job, what was found of it, and where one is in it.
//!
//! There is one document and one way to change it, [`Desk::change`]. What follows from the
//! document is worked out by the core once per change, in [`View`], and never in a screen.

mod history;
mod jobs;
mod keeping;
mod line;
mod pieces;
mod view;

pub(crate) use line::{Action, StatusLine, Tone};
pub(crate) use view::View;

use crate::clock;
use crate::keep::{Keep, Kept, Lasting};
use history::History;
use jobs::Left;
use leptos::prelude::*;
use pieces::piece_after;
use quarterturn_core::job::{Correction, Job, record_changes};
use quarterturn_core::quantity::Unit;
use quarterturn_core::show::last_document_change;
use std::sync::Arc;

/// The four screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Screen {
    /// What the drawing asks for.
    Drawing,
    /// The part on the surface plate.
    Bench,
    /// What was found.
    Findings,
    /// The layout sheet.
    Sheet,
}

impl Screen {
    /// In the order of the work.
    pub(crate) const ALL: [Self; 4] = [Self::Drawing, Self::Bench, Self::Findings, Self::Sheet];

    /// The one with this name.
    pub(crate) fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }

    /// Its name.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Drawing => "Drawing",
            Self::Bench => "Bench",
            Self::Findings => "Findings",
            Self::Sheet => "Sheet",
        }
    }
}

/// Where the cursor is at the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Spot {
    /// Index of the piece.
    pub(crate) piece: usize,
    /// Index in the plan of the orientation.
    pub(crate) orientation: usize,
    /// Index of the touch among those of the orientation.
    pub(crate) touch: usize,
}

/// One step through the history: from the state at hand to what is taken back or done again, and
/// its name.
type Go = fn(&mut History, Arc<Job>) -> Option<(String, Arc<Job>)>;

/// Which way a step goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Undo,
    Redo,
}

/// The state of the page. A handle that can be copied anywhere.
#[derive(Clone, Copy)]
pub(crate) struct Desk {
    /// The screen that is shown.
    pub(crate) screen: RwSignal<Screen>,
    /// Index of the piece at hand.
    pub(crate) piece: RwSignal<usize>,
    /// Index of the feature that is lit up, on every screen.
    pub(crate) selected: RwSignal<Option<usize>>,
    /// Index in the plan of the orientation at hand.
    pub(crate) orientation: RwSignal<usize>,
    /// Where the cursor was last at the bench; kept with the place, and not in the job.
    pub(crate) spot: RwSignal<Option<Spot>>,
    /// Counts the steps that were taken back or done again.
    pub(crate) stepped: RwSignal<usize>,
    /// Keys that work on the screen that is shown, for the footer: (key, what it does).
    pub(crate) keys_here: RwSignal<Vec<(&'static str, &'static str)>>,
    /// What the page has to say at the moment, under the header.
    pub(crate) line: RwSignal<Option<StatusLine>>,
    /// What was done last, for the footer: nothing on the page moves for it.
    pub(crate) said: RwSignal<String>,
    /// Whether everything is kept in the browser.
    pub(crate) kept: RwSignal<Kept>,
    /// Whether the browser promises to keep it for good.
    pub(crate) lasting: RwSignal<Lasting>,
    /// False until the job that was open last has been fetched.
    pub(crate) ready: RwSignal<bool>,
    /// Counts the jobs opened: a screen belongs to one of them, and is made anew for the next.
    pub(crate) opened: RwSignal<usize>,
    job: RwSignal<Arc<Job>>,
    view: Memo<Arc<View>>,
    history: StoredValue<History>,
    keep: StoredValue<Keep, LocalStorage>,
    left: StoredValue<Option<Left>, LocalStorage>,
    asked_to_last: StoredValue<bool>,
    leaving: StoredValue<Option<Callback<()>>>,
}

impl Desk {
    /// A desk with an empty job on it, provided to everything below. [`Desk::begin`] fetches
    /// what was kept.
    pub(crate) fn provide() -> Self {
        let job = RwSignal::new(Arc::new(Job::empty(Unit::Inch)));
        let piece = RwSignal::new(0);
        let view = Memo::new(move |_| Arc::new(View::of(&job.get(), piece.get())));
        let desk = Self {
            screen: RwSignal::new(Screen::Drawing),
            piece,
            selected: RwSignal::new(None),
            orientation: RwSignal::new(0),
            spot: RwSignal::new(None),
            stepped: RwSignal::new(0),
            keys_here: RwSignal::new(Vec::new()),
            line: RwSignal::new(None),
            said: RwSignal::new(String::new()),
            kept: RwSignal::new(Kept::default()),
            lasting: RwSignal::new(Lasting::default()),
            ready: RwSignal::new(false),
            opened: RwSignal::new(0),
            job,
            view,
            history: StoredValue::new(History::default()),
            keep: StoredValue::new_local(Keep::new()),
            left: StoredValue::new_local(None),
            asked_to_last: StoredValue::new(false),
            leaving: StoredValue::new(None),
        };
        provide_context(desk);
        desk
    }

    /// The desk of this page.
    pub(crate) fn here() -> Self {
        expect_context()
    }

    /// The open job; tracked.
    pub(crate) fn job(self) -> Arc<Job> {
        self.job.get()
    }

    /// The open job, without following its changes.
    pub(crate) fn job_untracked(self) -> Arc<Job> {
        self.job.get_untracked()
    }

    /// The open job with all that follows from it; tracked.
    pub(crate) fn view(self) -> Arc<View> {
        self.view.get()
    }

    /// The same, without following changes.
    pub(crate) fn view_untracked(self) -> Arc<View> {
        self.view.get_untracked()
    }

    /// Changes the job: what `edit` leaves is the new state, `what` names the step for undo.
    /// Readings that it replaces or removes go into the record. It is kept at once. An edit
    /// that changes nothing is no step.
    pub(crate) fn change(self, what: impl Into<String>, edit: impl FnOnce(&mut Job)) {
        self.change_because(what, "", edit);
    }

    /// The same; `why` goes into the record with the pieces that are removed.
    fn change_because(self, what: impl Into<String>, why: &str, edit: impl FnOnce(&mut Job)) {
        let old = self.job_untracked();
        let mut new = Job::clone(&old);
        edit(&mut new);
        if new == *old {
            return;
        }
        if self.line.with_untracked(|l| l.as_ref().is_some_and(|l| l.tone == Tone::Plain)) {
            // What was said of the step before has had its time.
            self.hush();
        }
        let corrections = whys_only(&old.record, &new.record, |c| &mut c.why);
        let changes = whys_only(&old.document_record, &new.document_record, |e| &mut e.why);
        self.record(&old, &mut new);
        for (entry, why) in new.record.iter_mut().zip(corrections) {
            entry.why = why;
        }
        for (entry, why) in new.document_record.iter_mut().zip(changes) {
            entry.why = why;
        }
        let changed = new.document_record.len() > old.document_record.len();
        for entry in new.piece_record.iter_mut().skip(old.piece_record.len()) {
            why.clone_into(&mut entry.why);
        }
        self.history.update_value(|h| h.did(what.into(), old));
        // What was said of an earlier step is said no longer.
        if !self.said.with_untracked(String::is_empty) {
            self.said.set(String::new());
        }
        if let Some(says) = last_document_change(&new).filter(|_| changed) {
            self.said.set(format!("In the record: {says}"));
        }
        self.put(Arc::new(new));
    }

    /// Takes the last step back, to where the job began at most. What was read stays in the record.
    pub(crate) fn undo(self) {
        self.step(Way::Undo, History::back);
    }

    /// Does again what was taken back.
    pub(crate) fn redo(self) {
        self.step(Way::Redo, History::forth);
    }

    fn step(self, way: Way, go: Go) {
        let now = self.job_untracked();
        let found = self.history.try_update_value(|h| go(h, Arc::clone(&now))).flatten();
        let Some((what, state)) = found else {
            let nothing = match way {
                Way::Undo => self.history.with_value(History::at_its_end),
                Way::Redo => "Nothing to redo",
            };
            self.say(Tone::Plain, nothing, vec![]);
            return;
        };
        if self.line.with_untracked(|l| l.as_ref().is_some_and(|l| l.tone == Tone::Plain)) {
            self.hush();
        }
        let what = self.naming_the_piece(what, &now, &state);
        let mut new = Job::clone(&state);
        self.record(&now, &mut new);
        if way == Way::Redo {
            reasons_again(&mut new, &now);
        }
        let done = if way == Way::Redo { "Redone" } else { "Undone" };
        self.put(Arc::new(new));
        self.stepped.update(|n| *n += 1);
        self.say(Tone::Plain, format!("{done}: {what}"), vec![]);
    }

    /// A step that changes another piece than the one at hand says which.
    fn naming_the_piece(self, what: String, now: &Job, then: &Job) -> String {
        let here = self.piece.get_untracked();
        let changed: Vec<usize> = (0..now.pieces.len().min(then.pieces.len()))
            .filter(|i| now.pieces[*i] != then.pieces[*i])
            .collect();
        match changed.as_slice() {
            [other] if *other != here => {
                format!("{what}, on piece {}", then.pieces[*other].serial)
            }
            _ => what,
        }
    }

    fn record(self, old: &Job, new: &mut Job) {
        let who = old.pieces.get(self.piece.get_untracked()).map_or("", |p| p.inspector.as_str());
        record_changes(old, new, &clock::utc(), who);
    }

    /// Makes `job` the state of the page and keeps it.
    fn put(self, job: Arc<Job>) {
        let at = self.piece.get_untracked();
        let next = piece_after(&self.job_untracked().pieces, &job.pieces, at);
        if next != at {
            self.piece.set(next);
        }
        self.show(Arc::clone(&job));
        self.keeper().want(&job);
        self.write();
        self.ask_to_last();
    }

    /// Makes `job` the state of the page.
    fn show(self, job: Arc<Job>) {
        let clamp = |signal: RwSignal<usize>, count: usize| {
            if signal.get_untracked() >= count.max(1) {
                signal.set(count.saturating_sub(1));
            }
        };
        clamp(self.orientation, job.plan.orientations.len());
        clamp(self.piece, job.pieces.len());
        if self.selected.get_untracked().is_some_and(|i| i >= job.drawing.features.len()) {
            self.selected.set(None);
        }
        self.job.set(job);
    }

    /// Says something in the page, never in the way: in the line under the header, or in the
    /// footer if it is plain and nothing can be done about it.
    pub(crate) fn say(self, tone: Tone, text: impl Into<String>, actions: Vec<Action>) {
        if tone == Tone::Plain && actions.is_empty() {
            self.said.set(text.into());
        } else {
            self.line.set(Some(StatusLine { tone, text: text.into(), actions }));
        }
    }

    /// Takes away the line under the header.
    pub(crate) fn hush(self) {
        if self.line.with_untracked(Option::is_some) {
            self.line.set(None);
        }
    }
}

/// The reasons of a record where they are all that differs from `old`; else nothing.
///
/// A record is only ever appended to, but a reason may be put to an entry afterwards.
fn whys_only<E: Clone + PartialEq>(
    old: &[E],
    new: &[E],
    why: fn(&mut E) -> &mut String,
) -> Vec<String> {
    if old.len() != new.len() || old == new {
        return Vec::new();
    }
    let bare = |entry: &E| {
        let mut entry = entry.clone();
        let why = std::mem::take(why(&mut entry));
        (entry, why)
    };
    let pairs = old.iter().zip(new).map(|(old, new)| (bare(old).0, bare(new)));
    pairs
        .map(|(old, (new, why))| (old == new).then_some(why))
        .collect::<Option<_>>()
        .unwrap_or_default()
}

/// Gives the entries of `job`'s records that `now`'s have not got the reason that was given the last time
/// the same change was recorded: what is done again is done for the same reason.
fn reasons_again(job: &mut Job, now: &Job) {
    let same = |old: &Correction, new: &Correction| {
        let (when, who, why) = (new.when.clone(), new.who.clone(), new.why.clone());
        Correction { when, who, why, ..old.clone() } == *new
    };
    again(&mut job.record, now.record.len(), same, |c| &mut c.why);
    again(
        &mut job.piece_record,
        now.piece_record.len(),
        |a, b| a.change == b.change,
        |e| &mut e.why,
    );
    let changes = now.document_record.len();
    again(&mut job.document_record, changes, |a, b| a.change == b.change, |e| &mut e.why);
}

/// The same in one record, for the entries from this index on.
fn again<E>(
    record: &mut [E],
    from: usize,
    same: impl Fn(&E, &E) -> bool,
    why: fn(&mut E) -> &mut String,
) {
    for at in from..record.len() {
        let (before, new) = record.split_at_mut(at);
        let Some(new) = new.first_mut() else { continue };
        if let Some(old) = before.iter_mut().rev().find(|old| same(old, new)) {
            why(new).clone_from(why(old));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quarterturn_core::job::{Piece, Touch};
    use quarterturn_core::quantity::Figure;

    fn read(value: Option<f64>) -> Job {
        let mut job = Job::empty(Unit::Mm);
        job.pieces[0].set_values(1, "C", Touch::Face, value.map(Figure).into_iter().collect());
        job
    }

    /// The state `to` in the place of `from`, as a step leads to it.
    fn stepped(from: &Job, to: &Job) -> Job {
        let mut new = to.clone();
        record_changes(from, &mut new, "now", "");
        reasons_again(&mut new, from);
        new
    }

    #[test]
    fn a_reading_that_is_taken_back_again_is_so_for_the_same_reason() {
        let there = read(Some(2.0));
        let mut gone = read(None);
        record_changes(&there, &mut gone, "then", "");
        gone.record[0].why = "touched the burr".to_owned();
        let back = stepped(&gone, &there);
        let again = stepped(&back, &gone);
        let whys: Vec<&str> = again.record.iter().map(|c| c.why.as_str()).collect();
        assert_eq!(whys, ["touched the burr", "touched the burr"]);
        // Another change of the same touch has no reason yet.
        let other = stepped(&back, &read(Some(3.0)));
        assert_eq!(other.record[1].why, "");
    }

    #[test]
    fn a_piece_that_is_removed_again_is_so_for_the_same_reason() {
        let mut both = read(Some(2.0));
        both.pieces.push(Piece { serial: "2".to_owned(), ..Piece::default() });
        let mut one = both.clone();
        one.pieces.remove(0);
        record_changes(&both, &mut one, "then", "");
        one.piece_record[0].why = "wrong material".to_owned();
        let again = stepped(&stepped(&one, &both), &one);
        let whys: Vec<&str> = again.piece_record.iter().map(|e| e.why.as_str()).collect();
        assert_eq!(whys, ["wrong material", "", "wrong material"]);
    }
}
