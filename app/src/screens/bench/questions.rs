//! The readings that are asked about, each with what can be done about it.

use super::station::{Note, Station, capital, newest};
use leptos::prelude::*;
use quarterturn_core::bench::{Offer, Question, offer};
use quarterturn_core::show::{self, offer_words};

/// A question with what can be done about it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Asked {
    /// The question.
    pub(super) question: Question,
    /// What can be done.
    pub(super) offer: Offer,
    /// The question as a sentence.
    pub(super) says: String,
}

impl Asked {
    fn of(station: Station, question: &Question) -> Option<Self> {
        let view = station.desk.view();
        let piece = view.job.pieces.get(view.index)?;
        let feature = view.job.drawing.features.get(question.feature)?;
        let reading = piece.reading(question.orientation, &feature.number)?;
        let planned = view.planned.iter().find(|p| p.number == question.orientation)?;
        Some(Self {
            offer: offer(&view.job, &planned.expected, reading, question),
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
    /// Acts on the first question of the orientation at hand.
    pub(super) fn act(self) {
        if let Some(first) = untrack(|| asked(self)).first() {
            self.act_on(first);
        }
    }

    /// Does what is offered about a question. What stood there goes into the record.
    pub(super) fn act_on(self, asked: &Asked) {
        if !self.settle() {
            return;
        }
        let (question, view) = (&asked.question, self.desk.view_untracked());
        let feature = view.job.drawing.features.get(question.feature);
        let piece = view.job.pieces.get(view.index);
        let Some((feature, piece)) = feature.zip(piece) else { return };
        let Some(reading) = piece.reading(question.orientation, &feature.number) else { return };
        let new = asked.offer.readings(reading, question);
        if new.is_empty() {
            self.go_to_touch(question.feature, question.touch);
            return;
        }
        let name = show::feature_name(feature);
        let (recorded, words) = (view.job.record.len(), offer_words(asked.offer));
        self.desk.change(format!("{name}: {}", words.to_lowercase()), |job| {
            let Some(piece) = job.pieces.get_mut(view.index) else { return };
            for (touch, values) in new {
                piece.set_values(question.orientation, &feature.number, touch, values);
            }
        });
        self.last.set(Some(question.feature));
        self.note.set(Some(Note {
            says: format!(
                "{}: done as asked ({}); the record keeps what was read. Ctrl Z takes it back.",
                capital(&name),
                words.to_lowercase()
            ),
            asks: None,
            why: newest(&self.desk.job_untracked(), recorded, &name),
        }));
    }
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
    let key = |(nth, asked): &(usize, Asked)| (*nth == 0, asked.says.clone(), asked.offer_key());
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

impl Asked {
    /// Tells offers apart.
    const fn offer_key(&self) -> &'static str {
        offer_words(self.offer)
    }
}

/// The button that acts on a question; `keyed`: the key acts on this one.
#[component]
pub(super) fn Act(asked: Asked, keyed: bool) -> impl IntoView {
    let station = Station::here();
    let words = offer_words(asked.offer);
    view! {
        <button type="button" class="button bench-act" on:click=move |_| station.act_on(&asked)>
            {words}
            {keyed.then(|| view! { " " <kbd>"A"</kbd> })}
        </button>
    }
}
