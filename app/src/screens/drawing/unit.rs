//! The drawing's unit and decimals. What a change of the unit means is asked for.

use crate::desk::{Action, Desk, Tone};
use crate::widgets::Choice;
use leptos::prelude::*;
use quarterturn_core::job::BOUNDS;
use quarterturn_core::quantity::Unit;

fn of_word(word: &str) -> Unit {
    if word == Unit::Inch.word() { Unit::Inch } else { Unit::Mm }
}

/// Inch or millimetre.
#[component]
pub(super) fn UnitChoice() -> impl IntoView {
    let desk = Desk::here();
    let value = Memo::new(move |_| desk.job().drawing.unit.word().to_owned());
    let choices = Signal::derive(|| {
        [Unit::Inch, Unit::Mm].map(|u| (u.word().to_owned(), u.word().to_owned())).to_vec()
    });
    let take = Callback::new(move |word: String| change(desk, of_word(&word)));
    view! { <Choice class="w2" label="Unit" choices value take/> }
}

fn change(desk: Desk, to: Unit) {
    let job = desk.job_untracked();
    let from = job.drawing.unit;
    if from == to {
        return;
    }
    let what = "the unit of the drawing";
    if !job.drawing.depends_on_unit() {
        desk.change(what, |job| {
            // Nothing is written yet: the decimals go with the unit.
            job.convert_unit(to);
        });
        return;
    }
    let convert = Action::new("Convert the figures", move || {
        desk.change(what, |job| job.convert_unit(to));
    });
    let keep = format!("Keep the figures, they were in {} all along", to.word());
    let declare = Action::new(keep, move || desk.change(what, |job| job.declare_unit(to)));
    desk.say(
        Tone::Ask,
        format!("The drawing's figures are in {}. To have it in {}:", from.word(), to.word()),
        vec![convert, declare],
    );
}

/// How many decimals the drawing writes.
#[component]
pub(super) fn Decimals() -> impl IntoView {
    let desk = Desk::here();
    let value = Memo::new(move |_| desk.job().drawing.decimals.to_string());
    let choices = Signal::derive(|| {
        (0..=BOUNDS.decimals).map(|d| (d.to_string(), d.to_string())).collect::<Vec<_>>()
    });
    let take = Callback::new(move |word: String| {
        if let Ok(decimals) = word.parse() {
            desk.change("the decimals of the drawing", |job| job.drawing.decimals = decimals);
        }
    });
    view! { <Choice class="w1" label="Decimals" choices value take/> }
}
