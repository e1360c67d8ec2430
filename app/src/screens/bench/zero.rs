//! What the readings of one feature count from, where it is not the zero of the orientation.

use super::station::Station;
use leptos::html;
use leptos::prelude::*;
use quarterturn_core::bench::other_zeros;
use quarterturn_core::job::{Job, Orientation, Zero};
use quarterturn_core::picture::zero_words;
use quarterturn_core::show::{capital, feature_name};

/// The choice of another zero, while it is open. Nothing is taken until it is said, since every
/// change of a reading that stands there goes into the record.
#[component]
pub(super) fn CountsFrom() -> impl IntoView {
    let station = Station::here();
    // What is offered when it is opened: it is shut before anything else happens.
    let offer =
        Memo::new(move |_| station.zeroing.get().then(|| Offer::at_hand(station)).flatten());
    view! { {move || offer.get().map(|offer| view! { <Choosing offer/> })} }
}

#[component]
fn Choosing(offer: Offer) -> impl IntoView {
    let station = Station::here();
    let node: NodeRef<html::Select> = NodeRef::new();
    Effect::new(move |_| {
        if let Some(select) = node.get() {
            let _shown = select.focus();
        }
    });
    let Offer { name, zeros, chosen } = offer;
    let options = zeros
        .iter()
        .enumerate()
        .map(|(i, (_, words))| {
            view! { <option value=i.to_string() selected=i == chosen>{words.clone()}</option> }
        })
        .collect_view();
    let zeros = StoredValue::new(zeros);
    let take = move || {
        let chosen = node.get_untracked().and_then(|s| s.value().parse::<usize>().ok());
        let zero =
            zeros.with_value(|z| chosen.and_then(|i| z.get(i).map(|(zero, _)| zero.clone())));
        match zero {
            Some(zero) => station.count_from(zero),
            None => station.set_zeroing(false),
        }
    };
    let keyed = move |ev: web_sys::KeyboardEvent| match ev.key().as_str() {
        "Enter" => {
            ev.prevent_default();
            take();
        }
        "Escape" => {
            ev.prevent_default();
            station.set_zeroing(false);
        }
        _ => {}
    };
    view! {
        <div class="bench-zero">
            <label for="bench-zero">{format!("{name} counts from")}</label>
            <select id="bench-zero" class="box" node_ref=node on:keydown=keyed>{options}</select>
            <button type="button" class="button main" on:click=move |_| take()>"Count from it"</button>
            <button type="button" class="link" on:click=move |_| station.set_zeroing(false)>"Leave it"</button>
        </div>
    }
}

/// What the readings of the feature at hand can count from.
#[derive(Clone, PartialEq)]
struct Offer {
    /// The feature, in words.
    name: String,
    /// The zeros with their words; nothing stands for that of the orientation.
    zeros: Vec<(Option<Zero>, String)>,
    /// Which of them it counts from now.
    chosen: usize,
}

impl Offer {
    fn at_hand(station: Station) -> Option<Self> {
        let view = station.desk.view_untracked();
        let cell = station.cell()?;
        let job = &view.job;
        let orientation = job.plan.orientations.get(station.rows.with_untracked(|r| r.index))?;
        let piece = job.pieces.get(view.index)?;
        let feature = job.drawing.features.get(cell.feature)?;
        let usual = format!("{}, the zero of this orientation", zero_words(job, orientation));
        let mut zeros = vec![(None, usual)];
        zeros.extend(
            other_zeros(job, piece, orientation, &feature.number)
                .into_iter()
                .map(|zero| (Some(zero.clone()), words(job, orientation, zero))),
        );
        let own = piece
            .reading(orientation.number, &feature.number)
            .and_then(|r| r.own_zero(orientation))
            .cloned();
        let chosen = match zeros.iter().position(|(zero, _)| *zero == own) {
            Some(at) => at,
            None => {
                // It was read when it was chosen.
                let words = own.clone().map(|zero| words(job, orientation, zero));
                zeros.push((own, format!("{}, not fully read here", words.unwrap_or_default())));
                zeros.len() - 1
            }
        };
        Some(Self { name: capital(&feature_name(feature)), zeros, chosen })
    }
}

fn words(job: &Job, orientation: &Orientation, zero: Zero) -> String {
    zero_words(job, &Orientation { zero, ..orientation.clone() })
}
