//! What is between the plate and the part.

use super::setup::change;
use super::stand::Planning;
use super::station::Station;
use crate::widgets::{Check, NumberField};
use leptos::prelude::*;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{Blocks, Job, Orientation};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_core::show::Figures;

/// The height of the blocks, or that nobody knows it.
#[component]
pub(super) fn BlockHeight(
    planning: Memo<Planning>,
    orientation: Memo<Option<Orientation>>,
    unit: Signal<Unit>,
) -> impl IntoView {
    let station = Station::here();
    let value = Signal::derive(move || {
        planning
            .with(|p| orientation.with(|o| o.as_ref().map(|o| blocks(&p.0, o)).unwrap_or_default()))
    });
    let unknown = Signal::derive(move || {
        orientation
            .with(|o| o.as_ref().is_some_and(|o| matches!(o.rest.blocks, Blocks::Unknown(_))))
    });
    let take = move |figure: Option<Figure>| {
        let figure = figure.unwrap_or_default();
        if figure.0 < 0.0 {
            return Err(EntryError("Blocks have no negative height.".to_owned()));
        }
        change(station, "height of the blocks", |_, o| o.rest.blocks = Blocks::High(figure));
        Ok(())
    };
    let know = move |unknown: bool| {
        change(station, "whether the height of the blocks is known", |_, o| {
            o.rest.blocks = if unknown { Blocks::UNKNOWN } else { Blocks::default() };
        });
    };
    view! {
        <div>
            <NumberField label="height of blocks under it" value unit take/>
            <Check label="of a height that is not known" value=unknown take=know/>
        </div>
    }
}

/// Height of the blocks, as it is written.
fn blocks(job: &Job, orientation: &Orientation) -> String {
    let figures = Figures::of_readings(job, orientation);
    orientation.rest.blocks.height().map_or_else(String::new, |height| {
        let length = height.length(figures.unit);
        figures.exact(length).plain(length)
    })
}
