//! Sweeps: the lowest and the highest reading of an indicator led over a face that looks up.

use super::station::Station;
use crate::desk::{Tone, View};
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::bench::faces_up;
use quarterturn_core::entry::{self, EntryError};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_core::show::{as_typed, feature_name, sweeps};

/// The entry of a sweep, while it is open. Nothing is taken until it is said.
#[component]
pub(super) fn Sweeping() -> impl IntoView {
    let station = Station::here();
    let offer =
        Memo::new(move |_| station.sweeping.get().then(|| Offer::at_hand(station)).flatten());
    view! { {move || offer.get().map(|offer| view! { <Entering offer/> })} }
}

#[component]
fn Entering(offer: Offer) -> impl IntoView {
    let station = Station::here();
    let Offer { faces, chosen, unit, orientation, piece } = offer;
    let node: NodeRef<html::Input> = NodeRef::new();
    let at = RwSignal::new(chosen);
    let standing = faces.get(chosen).map(|f| f.readings.clone()).unwrap_or_default();
    let lowest = RwSignal::new(standing.0);
    let highest = RwSignal::new(standing.1);
    let refused = RwSignal::new(None::<String>);
    Effect::new(move |_| {
        if let Some(field) = node.get() {
            let _shown = field.focus();
            field.select();
        }
    });
    let options = faces
        .iter()
        .enumerate()
        .map(|(i, face)| {
            view! { <option value=i.to_string() selected=i == chosen>{face.words.clone()}</option> }
        })
        .collect_view();
    let faces = StoredValue::new(faces);
    let choose = move |ev: web_sys::Event| {
        let Ok(index) = event_target_value(&ev).parse::<usize>() else { return };
        let standing = faces.with_value(|f| f.get(index).map(|f| f.readings.clone()));
        if let Some((low, high)) = standing {
            at.set(index);
            lowest.set(low);
            highest.set(high);
            refused.set(None);
        }
    };
    let take = move || {
        let typed = lowest.with_untracked(|l| highest.with_untracked(|h| readings(l, h, unit)));
        match typed {
            Err(why) => refused.set(Some(why.to_string())),
            Ok(found) => {
                let number =
                    faces.with_value(|f| f.get(at.get_untracked()).map(|f| f.number.clone()));
                if let Some(number) = number {
                    station.take_sweep((piece, orientation), &number, found);
                }
            }
        }
    };
    let keyed = move |ev: web_sys::KeyboardEvent| match ev.key().as_str() {
        "Enter" => {
            ev.prevent_default();
            take();
        }
        "Escape" => {
            ev.prevent_default();
            station.set_sweeping(false);
        }
        _ => {}
    };
    let field = move |id: &'static str, draft: RwSignal<String>, node: NodeRef<html::Input>| {
        view! {
            <input node_ref=node id=id type="text" class="box fig" inputmode="decimal" autocomplete="off"
                prop:value=move || draft.get()
                on:input=move |ev| {
                    refused.set(None);
                    draft.set(event_target_value(&ev));
                }
                on:keydown=keyed/>
        }
    };
    view! {
        <div class="bench-zero bench-sweep" role="group" aria-label="Sweep with the indicator">
            <label for="bench-sweep">"sweep of"</label>
            <select id="bench-sweep" class="box" on:change=choose on:keydown=keyed>{options}</select>
            <label for="bench-lowest">"lowest"</label>
            {field("bench-lowest", lowest, node)}
            <label for="bench-highest">"highest"</label>
            {field("bench-highest", highest, NodeRef::new())}
            <button type="button" class="button main" on:click=move |_| take()>"Take it"</button>
            <button type="button" class="link" on:click=move |_| station.set_sweeping(false)>"Leave it"</button>
        </div>
        <p class="bench-refusal" role="status">{move || refused.get()}</p>
    }
}

/// The sweeps of the orientation at hand, as they were taken.
#[component]
pub(super) fn Swept() -> impl IntoView {
    let station = Station::here();
    let list = Memo::new(move |_| {
        let view = station.desk.view();
        let orientation = view.job.plan.orientations.get(station.rows.with(|r| r.index));
        let both = view.job.pieces.get(view.index).zip(orientation);
        let unit = station.rows.with(|r| r.units.0.word());
        let list = both.map(|(piece, orientation)| sweeps(&view.job, piece, orientation));
        list.unwrap_or_default()
            .into_iter()
            .map(|s| {
                let aside = if s.looks_up { "" } else { "; it does not look up here" };
                format!("Sweep of {}, in {unit}{aside}.", s.words())
            })
            .collect::<Vec<_>>()
    });
    view! {
        <Show when=move || !list.with(Vec::is_empty)>
            <ul class="bench-swept" tabindex="0" aria-label="Sweeps of this orientation">
                {move || list.get().into_iter().map(|says| view! { <li>{says}</li> }).collect_view()}
            </ul>
        </Show>
    }
}

/// The two readings as they were typed; nothing where both fields are empty.
fn readings(
    lowest: &str,
    highest: &str,
    unit: Unit,
) -> Result<Option<(Figure, Figure)>, EntryError> {
    let refuse = |why: &str| Err(EntryError(why.to_owned()));
    match (lowest.trim(), highest.trim()) {
        ("", "") => Ok(None),
        ("", _) | (_, "") => refuse("Write both, the lowest and the highest reading."),
        (lowest, highest) => {
            let (low, high) = (entry::number(lowest, unit)?, entry::number(highest, unit)?);
            if low > high {
                return refuse("The lowest reading is above the highest: exchange them.");
            }
            Ok(Some((low, high)))
        }
    }
}

/// What can be swept in the orientation at hand.
#[derive(Clone, Debug, PartialEq)]
struct Offer {
    faces: Vec<Face>,
    /// Which of them is meant first: the one at hand, or one that was not swept yet.
    chosen: usize,
    unit: Unit,
    /// Number of the orientation.
    orientation: u32,
    /// Index of the piece.
    piece: usize,
}

/// A face that looks up.
#[derive(Clone, Debug, PartialEq)]
struct Face {
    number: String,
    words: String,
    /// Lowest and highest as they stand there; empty where it was not swept.
    readings: (String, String),
}

impl Offer {
    fn at_hand(station: Station) -> Option<Self> {
        let view = station.desk.view_untracked();
        let at_hand = station.cell().map(|c| c.feature);
        let offer = Self::of(&view, station.rows.with_untracked(|r| r.index), at_hand)?;
        (!offer.faces.is_empty()).then_some(offer)
    }

    fn of(view: &View, index: usize, at_hand: Option<usize>) -> Option<Self> {
        let job = &view.job;
        let orientation = job.plan.orientations.get(index)?;
        let piece = job.pieces.get(view.index)?;
        let unit = job.reading_unit(orientation);
        let up = faces_up(job, orientation);
        let faces: Vec<Face> = up
            .iter()
            .filter_map(|i| job.drawing.features.get(*i))
            .map(|f| {
                let swept = piece.sweep(orientation.number, &f.number);
                let readings = swept.map_or_else(Default::default, |s| {
                    (as_typed(s.lowest, unit), as_typed(s.highest, unit))
                });
                Face { number: f.number.clone(), words: feature_name(f), readings }
            })
            .collect();
        let chosen = up
            .iter()
            .position(|i| Some(*i) == at_hand)
            .or_else(|| faces.iter().position(|f| f.readings.0.is_empty()))
            .unwrap_or(0);
        Some(Self { faces, chosen, unit, orientation: orientation.number, piece: view.index })
    }
}

impl Station {
    /// Opens or closes the entry of a sweep.
    pub(super) fn set_sweeping(self, open: bool) {
        if open == self.sweeping.get_untracked() || !self.settle() {
            return;
        }
        if open && Offer::at_hand(self).is_none() {
            self.desk.say(
                Tone::Plain,
                "No face of the drawing looks up in this orientation: there is nothing to sweep.",
                vec![],
            );
            return;
        }
        self.zeroing.set(false);
        self.sweeping.set(open);
        if !open {
            self.focus();
        }
    }

    /// Takes a sweep, or takes it back.
    fn take_sweep(
        self,
        (piece, orientation): (usize, u32),
        number: &str,
        found: Option<(Figure, Figure)>,
    ) {
        let recorded = self.desk.job_untracked().record.len();
        self.desk.change(format!("sweep of {number}"), |job| {
            if let Some(piece) = job.pieces.get_mut(piece) {
                if piece.date.is_empty() && !piece.is_read() && found.is_some() {
                    piece.date = crate::clock::today();
                }
                piece.set_sweep(orientation, number, found);
            }
        });
        let says = format!("Sweep of {number}: the record keeps what stood there before.");
        self.say_recorded(recorded, &format!("sweep of {number}"), says);
        self.set_sweeping(false);
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{job, view};
    use super::*;
    use quarterturn_core::job::{Feature, Kind};
    use quarterturn_core::quantity::Side;

    #[test]
    fn faces_that_look_up_are_offered_the_one_at_hand_first() {
        let mut job = job();
        assert_eq!(Offer::of(&view(&job), 0, None).map(|o| o.faces), Some(vec![]));
        for number in ["S", "T"] {
            job.drawing.features.push(Feature {
                number: number.to_owned(),
                kind: Kind::Face,
                looks: Some(Side::PlusY),
                y: Some(Figure(3.0)),
                ..Feature::default()
            });
        }
        job.pieces[0].set_sweep(1, "S", Some((Figure(-0.0002), Figure(0.0004))));
        let t = job.drawing.features.len() - 1;
        let offer = Offer::of(&view(&job), 0, None).unwrap();
        let names: Vec<&str> = offer.faces.iter().map(|f| f.words.as_str()).collect();
        assert_eq!((names, offer.chosen), (vec!["face S", "face T"], 1));
        assert_eq!(offer.faces[0].readings, ("−.0002".to_owned(), ".0004".to_owned()));
        assert_eq!(Offer::of(&view(&job), 0, Some(t - 1)).unwrap().chosen, 0);
        assert_eq!(Offer::of(&view(&job), 0, Some(t)).unwrap().chosen, 1);
        assert_eq!(Offer::of(&view(&job), 1, None).unwrap().faces, vec![]);
    }

    #[test]
    fn both_readings_are_written_in_their_order_or_none() {
        let of = |low, high| readings(low, high, Unit::Mm);
        assert_eq!(of("−0,002", "0.004"), Ok(Some((Figure(-0.002), Figure(0.004)))));
        assert_eq!(of(" ", ""), Ok(None));
        assert_eq!(of("1", "1"), Ok(Some((Figure(1.0), Figure(1.0)))));
        for (low, high) in [("1", ""), ("", "1"), ("2", "1"), ("x", "1")] {
            assert!(of(low, high).is_err_and(|e| e.to_string().ends_with('.')), "{low} {high}");
        }
    }
}
