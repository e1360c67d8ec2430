//! Where one is at the bench, and what can be done there.

use super::rows::{Ahead, Cell, Rows};
use crate::clock;
use crate::desk::{Desk, Screen, Spot, Tone};
use crate::gauge::Gauge;
use crate::gauge_words as words;
use crate::widgets::NextFrame;
use leptos::html::Input;
use leptos::prelude::*;
use quarterturn_core::bench::Question;
use quarterturn_core::entry;
use quarterturn_core::job::{BOUNDS, Job, Piece, Touch, Zero};
use quarterturn_core::quantity::{Figure, Side};
use quarterturn_core::show::{self, capital};
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// What the page says of the reading that came last.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Note {
    /// The sentence.
    pub(super) says: String,
    /// What is asked about the reading.
    pub(super) asks: Option<Question>,
    /// The correction that a reason can be given for: its index in the record, and what it is of.
    pub(super) why: Option<(usize, String)>,
}

/// Name on the page of the field for the zero at the end of an orientation.
pub(super) const ZERO_AT_END: &str = "bench-end";

/// Where a step goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// To the next touch of the plan.
    Next,
    /// To the touch before.
    Back,
    /// Rows down (or up, if negative), in the same column.
    Rows(isize),
}

/// The state of the screen. A handle that can be copied anywhere below it.
#[derive(Clone, Copy)]
pub(super) struct Station {
    pub(super) desk: Desk,
    /// The table of the orientation at hand.
    pub(super) rows: Memo<Arc<Rows>>,
    /// Index among the cells of the touch at hand.
    pub(super) at: RwSignal<usize>,
    /// What is typed and not taken yet.
    pub(super) typed: RwSignal<String>,
    /// The touch that was taken to come here.
    from: StoredValue<Option<usize>>,
    /// What the field was filled with: anything else in it was typed.
    shown: StoredValue<String>,
    /// A further reading of the same touch is awaited.
    pub(super) again: RwSignal<bool>,
    /// Why what is typed was refused.
    pub(super) refused: RwSignal<Option<String>>,
    /// What the page says of the reading that came last.
    pub(super) note: RwSignal<Option<Note>>,
    /// Every touch of the orientation is taken and Enter goes on from it.
    pub(super) complete: RwSignal<bool>,
    /// Index of the feature that was read last: what is found of it so far is said.
    pub(super) last: RwSignal<Option<usize>>,
    /// The set-up is open for editing.
    pub(super) open: RwSignal<bool>,
    /// Another zero is being chosen for the feature at hand.
    pub(super) zeroing: RwSignal<bool>,
    /// A sweep is being entered.
    pub(super) sweeping: RwSignal<bool>,
    /// The field for the next reading.
    pub(super) field: NodeRef<Input>,
    next_frame: NextFrame,
    /// The job it belongs to, as the desk counts them.
    opened: usize,
}

impl Station {
    /// A station at the first touch without a reading, provided to everything below.
    pub(super) fn provide(desk: Desk) -> Self {
        let rows = Memo::new(move |_| Arc::new(Rows::of(&desk.view(), desk.orientation.get())));
        let station = Self {
            desk,
            rows,
            at: RwSignal::new(0),
            typed: RwSignal::new(String::new()),
            from: StoredValue::new(None),
            shown: StoredValue::new(String::new()),
            again: RwSignal::new(false),
            refused: RwSignal::new(None),
            note: RwSignal::new(None),
            complete: RwSignal::new(false),
            last: RwSignal::new(None),
            open: RwSignal::new(false),
            zeroing: RwSignal::new(false),
            sweeping: RwSignal::new(false),
            field: NodeRef::new(),
            next_frame: NextFrame::new(),
            opened: desk.opened.get_untracked(),
        };
        provide_context(station);
        station.begin();
        station.follow();
        Gauge::here().goes_to(Callback::new(move |value: String| station.receive(&value)));
        station
    }

    /// Takes a value that the gauge sent, and goes on as Enter does; why not, if it does not. Half a
    /// number that was typed is let go of.
    fn receive(self, value: &str) -> Result<(), String> {
        if self.rows.with_untracked(|r| r.cells.is_empty()) {
            return Err(words::NOTHING_TO_TOUCH.to_owned());
        }
        if self.complete.get_untracked() && !self.again.get_untracked() {
            self.desk.say(Tone::Plain, format!("{value}: {}", words::ALL_TAKEN), vec![]);
            return Err(words::ALL_TAKEN.to_owned());
        }
        if self.pending() {
            self.let_go();
        }
        self.typed.set(value.replace('-', "−"));
        // The same figure once more is a reading, and not what stands there.
        self.shown.set_value(String::new());
        self.enter();
        match self.refused.get_untracked() {
            Some(why) => Err(why),
            None => Ok(()),
        }
    }

    /// Lets go of what is typed, and says so.
    fn let_go(self) {
        if self.would_replace() { self.let_stand() } else { self.abandon() }
    }

    /// The station of this screen.
    pub(super) fn here() -> Self {
        expect_context()
    }

    /// Where the work goes on when the screen is opened: where the cursor was, unless another feature
    /// was lit up elsewhere meanwhile; on a piece without a reading at the first touch of the plan.
    fn begin(self) {
        let desk = self.desk;
        let view = desk.view_untracked();
        let lit = desk.selected.get_untracked();
        let rows = self.rows.get_untracked();
        let spot = desk.spot.get_untracked().filter(|spot| {
            let cell = rows.cell(spot.touch);
            *spot == Spot { touch: spot.touch, ..self.spot() }
                && cell.is_some_and(|c| lit.is_none_or(|lit| lit == c.feature))
        });
        if let Some(spot) = spot {
            self.at.set(spot.touch);
        } else if view.job.pieces.get(view.index).is_some_and(Piece::is_read) {
            self.arrive(lit);
        } else {
            self.first_orientation();
            self.arrive(None);
        }
    }

    /// Where the cursor is.
    fn spot(self) -> Spot {
        Spot {
            piece: self.desk.piece.get_untracked(),
            orientation: self.desk.orientation.get_untracked(),
            touch: self.at.get_untracked(),
        }
    }

    /// To the first orientation in which something is touched.
    fn first_orientation(self) {
        let view = self.desk.view_untracked();
        let first = view.planned.iter().position(|p| !p.expected.is_empty()).unwrap_or(0);
        if self.desk.orientation.get_untracked() != first {
            self.desk.orientation.set(first);
        }
    }

    /// Keeps the field in step with the touch at hand, and the touch with the orientation, the
    /// piece and the feature that is lit up elsewhere.
    fn follow(self) {
        // Another orientation or piece: to its first touch without a reading.
        let place = Memo::new(move |_| {
            let desk = self.desk;
            (self.rows.with(|r| r.number), desk.piece.get(), desk.orientation.get())
        });
        Effect::watch(
            move || place.get(),
            move |now, was, _| {
                self.abandon();
                self.note.set(None);
                self.last.set(None);
                self.shut();
                let desk = self.desk;
                let view = desk.view_untracked();
                let unread = view.job.pieces.get(view.index).is_some_and(|piece| !piece.is_read());
                if unread && was.is_some_and(|was| was.1 != now.1) {
                    self.first_orientation();
                }
                self.arrive(None);
            },
            false,
        );
        // A piece that was added by its button is read next, not added once more.
        let pieces = Memo::new(move |_| self.desk.job().pieces.len());
        Effect::watch(
            move || pieces.get(),
            move |now, was, _| {
                if was.is_some_and(|was| was < now) {
                    self.open.set(false);
                    self.next_frame.call(move || self.focus());
                }
            },
            false,
        );
        // What was said of a step goes away with it.
        let stepped = self.desk.stepped;
        Effect::watch(
            move || stepped.get(),
            move |_, _, _| {
                self.note.set(None);
                self.last.set(None);
                self.complete.set(false);
                self.again.set(false);
                self.next_frame.call(move || {
                    if !self.pending() && nowhere() {
                        self.focus();
                    }
                });
            },
            false,
        );
        // The cursor is kept with the place.
        Effect::new(move |_| {
            let at = self.at.get();
            let _follow = (self.desk.piece.get(), self.desk.orientation.get());
            let number = self.rows.with(|r| (r.index, r.cells.len()));
            let spot = self.spot();
            if spot.orientation == number.0 && at < number.1 {
                self.desk.spot.set(Some(spot));
            }
        });
        // Fewer touches than before: the drawing or the plan was changed elsewhere.
        let count = Memo::new(move |_| self.rows.with(|r| r.cells.len()));
        Effect::watch(
            move || count.get(),
            move |count, _, _| {
                if self.at.get_untracked() >= *count {
                    self.at.set(count.saturating_sub(1));
                }
            },
            false,
        );
        // Another touch, or another value in it: the field shows what stands there.
        let standing = Memo::new(move |_| {
            let at = self.at.get();
            self.rows.with(|r| {
                (r.number, at, r.cell(at).map(|c| (c.feature, c.touch, c.values.clone())))
            })
        });
        Effect::new(move |before: Option<(usize, usize, u32)>| {
            let (number, at, _) = standing.get();
            let here = (self.desk.piece.get(), at, number);
            // What was refused stays until it is changed, whatever else changes.
            if before == Some(here) && self.refused.with_untracked(Option::is_some) {
                return here;
            }
            self.refused.set(None);
            self.zeroing.set(false);
            self.fill(if self.again.get_untracked() { String::new() } else { self.prefill() });
            // Who goes through a list of choices elsewhere, of pieces say, is not taken out of it.
            if choosing() {
                return here;
            }
            self.focus();
            // Once more when all is drawn: on arrival the field may not be there yet, and what
            // stands in it must be selected, or typing would add to it.
            self.next_frame.call(move || {
                if !self.pending() && !choosing() {
                    self.focus();
                }
            });
            here
        });
        // The feature at hand is the one lit up, and the other way round.
        Effect::new(move |_| {
            let feature = self.at.with(|at| self.rows.with(|r| r.cell(*at).map(|c| c.feature)));
            if self.desk.selected.get_untracked() != feature && feature.is_some() {
                self.desk.selected.set(feature);
            }
        });
    }

    /// Goes to the first touch without a reading: of `feature`, if it is touched here.
    fn arrive(self, feature: Option<usize>) {
        self.again.set(false);
        self.complete.set(false);
        self.from.set_value(None);
        let rows = self.rows.get_untracked();
        let of_feature = feature.and_then(|f| {
            let row = rows.rows.iter().find(|r| r.feature == f)?;
            let mut touches = row.first..row.first + row.cells.len();
            Some(
                touches
                    .find(|at| rows.cell(*at).is_some_and(|c| !c.is_taken()))
                    .unwrap_or(row.first),
            )
        });
        self.at.set(of_feature.or_else(|| rows.empty_from(0)).unwrap_or(0));
    }

    /// The touch at hand.
    pub(super) fn cell(self) -> Option<Cell> {
        self.rows.with_untracked(|r| r.cell(self.at.get_untracked()).cloned())
    }

    /// What the field shows of a touch that was taken: the reading, if there is one only.
    pub(super) fn prefill(self) -> String {
        match self.cell() {
            Some(cell) if cell.values.len() == 1 => cell.text,
            _ => String::new(),
        }
    }

    /// Puts `text` into the field; it does not count as typed.
    fn fill(self, text: String) {
        self.shown.set_value(text.clone());
        self.typed.set(text);
    }

    /// Something is typed that does not stand there already.
    pub(super) fn pending(self) -> bool {
        let typed = self.typed.get_untracked();
        let typed = typed.trim();
        !typed.is_empty() && self.shown.with_value(|shown| shown != typed)
    }

    /// Puts the cursor into the field, with what stands in it selected.
    pub(super) fn focus(self) {
        let Some(field) = self.field.get_untracked() else { return };
        if self.open.get_untracked() {
            return;
        }
        field.set_value(&self.typed.get_untracked());
        let _shown = field.focus();
        field.select();
    }

    /// Takes what is typed. False if it was refused: then it stays where it is.
    fn take(self) -> bool {
        let Some(cell) = self.cell() else { return true };
        let rows = self.rows.get_untracked();
        let typed = self.typed.get_untracked();
        let value = match entry::number(&typed, rows.units.0) {
            Ok(value) => value,
            Err(why) => return self.refuse(why.to_string()),
        };
        if cell.touch == Touch::Size && value.0 <= 0.0 {
            return self.refuse("A size is larger than zero.");
        }
        let again = self.again.get_untracked() && cell.is_taken();
        if again && cell.values.len() >= BOUNDS.repeats {
            return self.refuse(format!(
                "More than {} readings of one touch are not kept.",
                BOUNDS.repeats
            ));
        }
        let desk = self.desk;
        let view = desk.view_untracked();
        let name = rows.touch_name(&view, self.at.get_untracked());
        let (piece, feature) = (view.index, cell.feature);
        let mut values: Vec<Figure> =
            if again { cell.values.iter().map(|v| Figure(*v)).collect() } else { Vec::new() };
        values.push(value);
        let mut dated = None;
        let recorded = view.job.record.len();
        desk.change(format!("reading of {name}"), |job| {
            let Some(number) = job.drawing.features.get(feature).map(|f| f.number.clone()) else {
                return;
            };
            let Some(piece) = job.pieces.get_mut(piece) else { return };
            if piece.date.is_empty() && !piece.is_read() {
                piece.date = clock::today();
                dated = Some(piece.date.clone());
            }
            piece.set_values(rows.number, &number, cell.touch, values.clone());
        });
        if let Some(date) = dated {
            desk.say(
                Tone::Plain,
                format!("The date of this piece is now {date}, with its first reading."),
                vec![],
            );
        }
        self.shown.set_value(typed.trim().to_owned());
        self.last.set(Some(feature));
        self.comment((&cell, values.len() - 1), &name, &rows, recorded);
        true
    }

    /// Says what there is to say of a reading that was just taken where `was` stood; the record was
    /// `recorded` long before.
    fn comment(self, (was, repeat): (&Cell, usize), name: &str, rows: &Rows, recorded: usize) {
        let view = self.desk.view_untracked();
        let asks = view.questions().iter().find(|q| {
            (q.orientation, q.feature, q.touch, q.repeat)
                == (rows.number, was.feature, was.touch, repeat)
        });
        // The same figure once more replaces nothing.
        let why = newest(&view.job, recorded, name);
        let before = why.as_ref().map(|_| {
            format!("{}: {} stood there before; the record keeps it.", capital(name), was.text)
        });
        let says = asks.map(|q| show::question(q, &view.job, &view.planned)).or(before);
        self.note.set(says.map(|says| Note { says, asks: asks.cloned(), why }));
    }

    fn refuse(self, why: impl Into<String>) -> bool {
        self.refused.set(Some(why.into()));
        if let Some(field) = self.field.get_untracked() {
            let _shown = field.focus();
            // The next number replaces what was refused.
            field.select();
        }
        false
    }

    /// Says that a reading stays the field of which was emptied and left.
    fn say_kept(self) {
        if untrack(|| self.emptied()) {
            let view = self.desk.view_untracked();
            let name = self.rows.with_untracked(|r| r.touch_name(&view, self.at.get_untracked()));
            let shown = self.shown.get_value();
            let says = format!(
                "{}: {shown} is kept. Enter in the empty field takes a reading back.",
                capital(&name)
            );
            self.desk.say(Tone::Plain, says, vec![]);
        }
    }

    /// Takes what is typed, if anything, before the cursor goes elsewhere. False if it was refused.
    ///
    /// A reading that stands there is replaced by Enter alone: half a number that was typed over it is
    /// let go of, and said.
    pub(super) fn settle(self) -> bool {
        if self.pending() && self.would_replace() {
            self.let_stand();
            return true;
        }
        !self.pending() || self.take()
    }

    /// What is typed would replace a reading.
    fn would_replace(self) -> bool {
        !self.again.get_untracked() && self.cell().is_some_and(|c| c.is_taken())
    }

    /// Lets go of what is typed over a reading, and says so.
    fn let_stand(self) {
        let view = self.desk.view_untracked();
        let name = self.rows.with_untracked(|r| r.touch_name(&view, self.at.get_untracked()));
        let typed = self.typed.get_untracked();
        let stands = self.cell().map(|c| c.text).unwrap_or_default();
        let says = format!(
            "{}: {stands} still stands. “{}” was typed over it without Enter and not taken.",
            capital(&name),
            typed.trim()
        );
        self.refused.set(None);
        self.fill(self.prefill());
        self.desk.say(Tone::Plain, says, vec![]);
    }

    /// The field of a touch that has a reading was emptied.
    pub(super) fn emptied(self) -> bool {
        let empty = self.typed.with(|typed| typed.trim().is_empty());
        empty && !self.again.get() && self.shown.with_value(|shown| !shown.is_empty())
    }

    /// Enter: takes what is typed, or takes back the reading the field of which was emptied, and
    /// goes to the next touch in order. After the last one it goes to the first without a reading, or
    /// on from the orientation.
    pub(super) fn enter(self) {
        if untrack(|| self.emptied()) {
            self.take_back();
            return;
        }
        let at = self.at.get_untracked();
        let was_full = self.rows.with_untracked(|r| r.is_full());
        if self.pending() {
            if !self.take() {
                return;
            }
            self.from.set_value(Some(at));
        } else if self.complete.get_untracked() {
            self.go_on();
            return;
        } else {
            self.last.set(None);
        }
        self.shut();
        self.again.set(false);
        let (ahead, full) = self.rows.with_untracked(|r| (r.ahead(at), r.is_full()));
        match ahead {
            // The last reading that was wanted may not be the last in order.
            Ahead::Next(next) if was_full || !full => self.at.set(next),
            Ahead::Missing(next) => self.at.set(next),
            Ahead::Next(_) | Ahead::Complete => {
                self.complete.set(true);
                self.fill(self.prefill());
                self.focus();
            }
        }
    }

    /// A further reading of the same touch: takes what is typed and stays.
    pub(super) fn once_more(self) {
        let taken = self.cell().is_some_and(|c| c.is_taken());
        if self.pending() {
            // What is typed over a reading that stands there is a further one.
            self.again.set(taken);
            if !self.take() {
                return;
            }
        } else if !taken {
            let _refused = self.refuse("Type the first reading of this touch.");
            return;
        }
        self.again.set(true);
        self.complete.set(false);
        self.fill(String::new());
        self.focus();
    }

    /// Takes the reading at hand back; of repeats, the last one when a further one is awaited. At a
    /// touch without a reading, the one that led there.
    pub(super) fn take_back(self) {
        let taken = self.cell().is_some_and(|c| c.is_taken());
        let from = self.from.get_value();
        if !taken && let Some(at) = from {
            self.at.set(at);
        }
        self.from.set_value(None);
        let Some(cell) = self.cell().filter(Cell::is_taken) else {
            self.desk.say(Tone::Plain, "There is no reading to take back at this touch.", vec![]);
            return;
        };
        let rows = self.rows.get_untracked();
        let view = self.desk.view_untracked();
        let name = rows.touch_name(&view, self.at.get_untracked());
        let mut values: Vec<Figure> = cell.values.iter().map(|v| Figure(*v)).collect();
        let last = self.again.get_untracked();
        let gone =
            if last { values.pop().into_iter().collect() } else { std::mem::take(&mut values) };
        if values.is_empty() {
            self.again.set(false);
        }
        self.complete.set(false);
        let piece = view.index;
        self.desk.change(format!("reading of {name} taken back"), |job| {
            let Some(number) = job.drawing.features.get(cell.feature).map(|f| f.number.clone())
            else {
                return;
            };
            if let Some(piece) = job.pieces.get_mut(piece) {
                piece.set_values(rows.number, &number, cell.touch, values);
            }
        });
        let what = match (gone.as_slice(), rows.figures) {
            ([one], Some(f)) => {
                let length = one.length(f.unit);
                f.exact(length).plain(length)
            }
            (many, _) => format!("{} readings", many.len()),
        };
        self.last.set(None);
        self.note.set(Some(Note {
            says: format!("{}: {what} taken back; the record keeps it.", capital(&name)),
            asks: None,
            why: newest(&self.desk.job_untracked(), view.job.record.len(), &name),
        }));
    }

    /// Escape: what stands there again.
    pub(super) fn restore(self) {
        self.again.set(false);
        self.refused.set(None);
        self.fill(self.prefill());
        self.focus();
    }

    /// Goes to another touch; what is typed is taken first.
    pub(super) fn step(self, step: Step) {
        if !self.settle() {
            return;
        }
        self.say_kept();
        self.shut();
        self.last.set(None);
        self.again.set(false);
        self.complete.set(false);
        self.from.set_value(None);
        let rows = self.rows.get_untracked();
        let at = self.at.get_untracked();
        let last = rows.cells.len().saturating_sub(1);
        let to = match step {
            Step::Next => (at + 1).min(last),
            Step::Back => at.saturating_sub(1),
            Step::Rows(by) => {
                let Some(cell) = rows.cell(at) else { return };
                let Some(row) = rows.rows.get(cell.row) else { return };
                let to = cell.row.saturating_add_signed(by).min(rows.rows.len().saturating_sub(1));
                rows.rows
                    .get(to)
                    .map_or(at, |r| r.first + (at - row.first).min(r.cells.len().saturating_sub(1)))
            }
        };
        if to == at {
            self.restore();
        }
        self.at.set(to);
    }

    /// Goes to this touch; what is typed is taken first.
    pub(super) fn go_to(self, at: usize) {
        if at == self.at.get_untracked() {
            self.focus();
        } else if self.settle() {
            self.say_kept();
            self.shut();
            self.last.set(None);
            self.again.set(false);
            self.complete.set(false);
            self.from.set_value(None);
            self.at.set(at);
        }
    }

    /// Goes to the first touch of a feature, if it is touched here.
    pub(super) fn go_to_feature(self, feature: usize) {
        let first = self.rows.with_untracked(|r| {
            r.rows.iter().find(|row| row.feature == feature).map(|row| row.first)
        });
        if let Some(first) = first {
            self.go_to(first);
        }
    }

    /// Goes to the touch of a feature, if it is one of this orientation.
    pub(super) fn go_to_touch(self, feature: usize, touch: Touch) {
        let found = self.rows.with_untracked(|r| {
            r.cells.iter().position(|c| c.feature == feature && c.touch == touch)
        });
        if let Some(at) = found {
            self.go_to(at);
        }
    }

    /// The next orientation with touches without a reading: its index.
    pub(super) fn next_orientation(self) -> Option<usize> {
        let view = self.desk.view();
        let count = view.planned.len();
        let here = self.rows.with(|r| r.index);
        (1..count).map(|by| (here + by) % count).find(|index| {
            let (taken, count) = Rows::progress(&view, *index);
            taken < count
        })
    }

    /// Whether the zero of the orientation was read at its end; tracked.
    pub(super) fn is_zero_checked(self) -> bool {
        let view = self.desk.view();
        let number = self.rows.with(|r| r.number);
        view.job.pieces.get(view.index).is_some_and(|p| p.zero_check(number).is_some())
    }

    /// Gives what is typed, or the reading that stands in the field, the other sign.
    pub(super) fn change_sign(self) {
        let typed = self.typed.get_untracked();
        let typed = typed.trim();
        let turned = match typed.strip_prefix('−') {
            Some(rest) => rest.to_owned(),
            None => format!("−{}", typed.strip_prefix('+').unwrap_or(typed)),
        };
        self.refused.set(None);
        self.typed.set(turned);
        if let Some(field) = self.field.get_untracked() {
            field.set_value(&self.typed.get_untracked());
            let _shown = field.focus();
            let end = u32::try_from(self.typed.with_untracked(String::len)).unwrap_or_default();
            let _placed = field.set_selection_range(end, end);
        }
    }

    /// Goes on to the next orientation, or to the findings after the last.
    pub(super) fn go_on(self) {
        match untrack(|| self.next_orientation()) {
            Some(index) => self.turn_to(index),
            None => self.desk.screen.set(Screen::Findings),
        }
    }

    /// Changes to the orientation with this index.
    pub(super) fn turn_to(self, index: usize) {
        let count = self.desk.job_untracked().plan.orientations.len();
        if index < count && self.settle() {
            self.open.set(false);
            // What has the focus may belong to the orientation that is left.
            self.focus();
            self.desk.orientation.set(index);
        }
    }

    /// Changes to a neighbouring orientation.
    pub(super) fn turn_by(self, by: isize) {
        let count = self.desk.job_untracked().plan.orientations.len();
        let to = self.desk.orientation.get_untracked().saturating_add_signed(by);
        self.turn_to(to.min(count.saturating_sub(1)));
    }

    /// Adds an orientation, in a way the part does not stand yet, and opens its set-up.
    pub(super) fn add_orientation(self) {
        if !self.settle() {
            return;
        }
        let old = self.desk.job_untracked();
        if old.plan.orientations.len() >= BOUNDS.orientations {
            let most = BOUNDS.orientations;
            self.desk.say(
                Tone::Wrong,
                format!("A plan holds at most {most} orientations."),
                vec![],
            );
            return;
        }
        let ways = [Side::PlusY, Side::MinusX, Side::PlusX, Side::MinusY];
        let unused = ways
            .into_iter()
            .find(|way| old.plan.orientations.iter().all(|o| o.up_side() != Some(*way)));
        self.desk.change("orientation added", |job| {
            job.add_orientation(unused.unwrap_or(Side::PlusY));
        });
        self.desk.orientation.set(old.plan.orientations.len());
        self.open.set(true);
    }

    /// Removes the orientation at hand. Its readings stay in the job.
    pub(super) fn remove_orientation(self) {
        let rows = self.rows.get_untracked();
        self.abandon();
        self.open.set(false);
        self.desk.change(format!("orientation {} removed", rows.number), |job| {
            job.plan.orientations.retain(|o| o.number != rows.number);
        });
        let kept = rows.taken + rows.unseen;
        let says = match kept {
            0 => format!("Orientation {} was removed. Ctrl Z brings it back.", rows.number),
            n => format!(
                "Orientation {} was removed; its {n} readings are kept and take no part. Ctrl Z brings it back.",
                rows.number
            ),
        };
        self.desk.say(Tone::Plain, says, vec![]);
    }

    /// Closes what was opened beside the readings.
    fn shut(self) {
        for panel in [self.zeroing, self.sweeping] {
            if panel.get_untracked() {
                panel.set(false);
            }
        }
    }

    /// Closes the panel that is open and goes back to the entry. False if none is.
    pub(super) fn escape(self) -> bool {
        let panels = [self.zeroing, self.sweeping, self.open];
        let open = panels.iter().any(|panel| panel.get_untracked());
        if open {
            self.shut();
            self.open.set(false);
            self.next_frame.call(move || self.focus());
        }
        open
    }

    /// Opens or closes the set-up.
    pub(super) fn set_open(self, open: bool) {
        if open != self.open.get_untracked() && self.settle() {
            self.shut();
            self.open.set(open);
            if !open {
                self.focus();
            }
        }
    }

    /// Opens or closes the choice of another zero for the feature at hand.
    pub(super) fn set_zeroing(self, open: bool) {
        let there = self.rows.with_untracked(|r| !r.cells.is_empty());
        if open != self.zeroing.get_untracked() && there && self.settle() {
            self.sweeping.set(false);
            self.zeroing.set(open);
            if !open {
                self.focus();
            }
        }
    }

    /// Has the readings of the feature at hand count from `zero`; `None`: from the zero of the
    /// orientation.
    pub(super) fn count_from(self, zero: Option<Zero>) {
        let Some(cell) = self.cell() else { return };
        let number = self.rows.with_untracked(|r| r.number);
        let view = self.desk.view_untracked();
        let Some(feature) = view.job.drawing.features.get(cell.feature) else { return };
        let name = show::feature_name(feature);
        let recorded = view.job.record.len();
        self.desk.change(format!("zero of {name}"), |job| {
            if let Some(piece) = job.pieces.get_mut(view.index) {
                piece.set_zero(number, &feature.number, zero);
            }
        });
        self.say_recorded(
            recorded,
            &name,
            format!(
                "{} counts from another zero now; the record keeps the one before.",
                capital(&name)
            ),
        );
        self.set_zeroing(false);
    }

    /// Says what was corrected of `of`, where the record is longer than it was, and asks why.
    pub(super) fn say_recorded(self, was: usize, of: &str, says: String) {
        let job = self.desk.job_untracked();
        if let Some(why) = newest(&job, was, of) {
            self.note.set(Some(Note { says, asks: None, why: Some(why) }));
        }
    }

    /// Lets go of what is typed, and says so.
    fn abandon(self) {
        let typed = self.typed.get_untracked();
        if self.pending() {
            self.desk.say(
                Tone::Plain,
                format!("“{}” was typed and not taken.", typed.trim()),
                vec![],
            );
        }
        self.refused.set(None);
        self.again.set(false);
        self.fill(String::new());
    }

    /// The screen is left: what is typed is taken, or said not to be. It never goes into another job.
    pub(super) fn leaving(self) {
        let same_job = self.desk.opened.get_untracked() == self.opened;
        if !self.pending() {
            return;
        }
        if same_job && self.would_replace() {
            return self.let_stand();
        }
        let view = self.desk.view_untracked();
        let name = self.rows.with_untracked(|r| r.touch_name(&view, self.at.get_untracked()));
        let typed = self.typed.get_untracked();
        if same_job && self.take() {
            let says = format!("“{}” was taken as {name}.", typed.trim());
            self.desk.say(Tone::Plain, says, vec![]);
        } else {
            self.abandon();
        }
    }

    /// Keys that work wherever the focus is on this screen.
    pub(super) fn window_key(self, ev: &web_sys::KeyboardEvent) {
        if ev.default_prevented() || ev.ctrl_key() || ev.meta_key() {
            return;
        }
        let key = ev.key();
        if ev.alt_key() {
            match key.as_str() {
                "ArrowLeft" => self.turn_by(-1),
                "ArrowRight" => self.turn_by(1),
                _ => return,
            }
            ev.prevent_default();
            return;
        }
        if key == "Escape" {
            if self.escape() {
                ev.prevent_default();
            }
            return;
        }
        if types(ev) {
            return;
        }
        match key.as_str() {
            "a" | "A" => self.act(),
            "[" => self.turn_by(-1),
            "]" => self.turn_by(1),
            "s" | "S" => self.set_open(!self.open.get_untracked()),
            "z" | "Z" => self.set_zeroing(true),
            "w" | "W" => self.set_sweeping(true),
            "g" | "G" => Gauge::here().request(),
            // A number typed anywhere starts the entry: the field has the focus before the
            // character arrives.
            k if k.len() == 1
                && k.starts_with(|c: char| c.is_ascii_digit() || "+-.,".contains(c)) =>
            {
                if let Some(field) = self.field.get_untracked() {
                    let _shown = field.focus();
                    field.select();
                }
                return;
            }
            _ => return,
        }
        ev.prevent_default();
    }
}

/// Whether the focus is on a list of choices, or where the zero at the end is asked for.
fn choosing() -> bool {
    document().active_element().is_some_and(|e| e.tag_name() == "SELECT" || e.id() == ZERO_AT_END)
}

/// Whether nothing has the focus: what had it is gone.
fn nowhere() -> bool {
    document().active_element().is_none_or(|e| e.tag_name() == "BODY")
}

/// Whether a key goes into a field that takes text.
fn types(ev: &web_sys::KeyboardEvent) -> bool {
    let Some(target) = ev.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok()) else {
        return false;
    };
    matches!(target.tag_name().as_str(), "INPUT" | "TEXTAREA" | "SELECT")
}

/// The newest correction, with what it is of, where the record is longer than it `was`.
pub(super) fn newest(job: &Job, was: usize, of: &str) -> Option<(usize, String)> {
    (job.record.len() > was).then(|| (job.record.len() - 1, of.to_owned()))
}
