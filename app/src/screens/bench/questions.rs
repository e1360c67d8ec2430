//! The readings that are asked about, each with what can be done about it.

use super::remarks::remarks;
use super::station::{Note, Station, newest};
use leptos::prelude::*;
use quarterturn_core::bench::{Offer, Question, offer};
use quarterturn_core::findings::Remedy;
use quarterturn_core::show::{self, capital, offer_words, remedy_words};

/// A question with what can be done about it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Asked {
    /// The question.
    pub(super) question: Question,
    /// What can be done.
    pub(super) offer: Offer,
    /// The same as the words of its button.
    words: String,
    /// The question as a sentence.
    pub(super) says: String,
}

impl Asked {
    fn of(station: Station, question: &Question) -> Option<Self> {
        let view = station.desk.view();
        let piece = view.job.pieces.get(view.index)?;
        let planned = view.planned.iter().find(|p| p.number == question.orientation)?;
        let offer = offer(&view.job, piece, &planned.expected, question);
        Some(Self {
            words: offer_words(offer, question, &view.job.drawing),
            offer,
            says: show::question(question, &view.job, &view.planned),
            question: question.clone(),
        })
    }
}

/// The questions of the orientation at hand; tracked. The first is the one that the key acts on: that
/// of the reading just taken, else that of the touch at hand.
pub(super) fn asked(station: Station) -> Vec<Asked> {
    let view = station.desk.view();
    let number = station.rows.with(|r| r.number);
    let here = station.rows.with(|r| r.cell(station.at.get()).map(|c| (c.feature, c.touch)));
    let noted = station.note.with(|n| n.as_ref().and_then(|n| n.asks.clone()));
    let mut list: Vec<Asked> = view
        .questions()
        .iter()
        .filter(|q| q.orientation == number)
        .filter_map(|q| Asked::of(station, q))
        .collect();
    list.sort_by_key(|a| {
        let q = &a.question;
        (noted.as_ref() != Some(q), here != Some((q.feature, q.touch)))
    });
    list
}

impl Station {
    /// Acts on the first question of the orientation at hand or, where there is none, does what can be
    /// done about what its readings have in common.
    pub(super) fn act(self) {
        if let Some(first) = untrack(|| asked(self)).first() {
            self.act_on(first);
        } else if let Some(remedy) = untrack(|| remarks(self)).into_iter().find_map(|r| r.remedy) {
            self.remedy(remedy);
        }
    }

    /// Does what is offered about a question. What stood there goes into the record.
    pub(super) fn act_on(self, asked: &Asked) {
        if !self.settle() {
            return;
        }
        let (question, view) = (&asked.question, self.desk.view_untracked());
        if !asked.offer.changes() {
            self.go_to_touch(question.feature, question.touch);
            return;
        }
        let Some(feature) = view.job.drawing.features.get(question.feature) else { return };
        let name = show::feature_name(feature);
        let recorded = view.job.record.len();
        self.desk.change(format!("{name}: {}", lower(&asked.words)), |job| {
            asked.offer.apply(job, view.index, question);
        });
        self.last.set(Some(question.feature));
        self.note.set(Some(Note {
            says: format!(
                "{}: done as asked ({}); the record keeps what was read. Ctrl Z takes it back.",
                capital(&name),
                lower(&asked.words)
            ),
            asks: None,
            why: newest(&self.desk.job_untracked(), recorded, &name),
        }));
    }

    /// Does what can be done about readings of a whole orientation. It goes into the record.
    pub(super) fn remedy(self, remedy: Remedy) {
        if !self.settle() {
            return;
        }
        let words = lower(&remedy_words(&remedy));
        self.desk.change(words.clone(), |job| remedy.apply(job));
        self.note.set(Some(Note {
            says: format!("Done as asked ({words}); no reading was changed. Ctrl Z takes it back."),
            asks: None,
            why: None,
        }));
    }
}

/// Words in the middle of a sentence.
fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |c| c.to_lowercase().chain(letters).collect())
}

/// The questions of the orientation at hand that are not said beside the entry already.
#[component]
pub(super) fn Questions() -> impl IntoView {
    let station = Station::here();
    let list = Memo::new(move |_| {
        let said = station.note.with(|n| n.as_ref().map(|n| n.says.clone()));
        let all = asked(station).into_iter().enumerate();
        all.filter(|(_, a)| Some(&a.says) != said.as_ref()).collect::<Vec<_>>()
    });
    let key = |(nth, asked): &(usize, Asked)| (*nth == 0, asked.says.clone(), asked.words.clone());
    view! {
        <Show when=move || !list.with(Vec::is_empty)>
            <ul class="bench-asked" aria-label="Readings that are asked about">
                <For each=move || list.get() key=key let:item>
                    {
                        let (nth, asked) = item;
                        let (feature, touch) = (asked.question.feature, asked.question.touch);
                        let says = capital(&asked.says);
                        view! {
                            <li>
                                <span class="bench-mark" aria-hidden="true">"?"</span>
                                <button type="button" class="link" on:click=move |_| station.go_to_touch(feature, touch)>
                                    {says}
                                </button>
                                " "
                                <Act asked keyed=nth == 0/>
                            </li>
                        }
                    }
                </For>
            </ul>
        </Show>
    }
}

/// The button that acts on a question; `keyed`: the key acts on this one.
#[component]
pub(super) fn Act(asked: Asked, keyed: bool) -> impl IntoView {
    let station = Station::here();
    let words = asked.words.clone();
    view! {
        <button type="button" class="button bench-act" on:click=move |_| station.act_on(&asked)>
            {words}
            {keyed.then(|| view! { " " <kbd>"A"</kbd> })}
        </button>
    }
}
