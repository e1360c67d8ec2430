//! What is known of the piece at hand in the orientation at hand, beside its readings: the edge that
//! carries it, the zero at the end, temperatures.

use super::station::Station;
use crate::widgets::{BareField, Field, NumberField};
use leptos::prelude::*;
use quarterturn_core::entry::{self, EntryError};
use quarterturn_core::job::{BOUNDS, Orientation, Piece, Squareness};
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::{LEAN_SIZE, lean, lean_says, lean_words};
use quarterturn_core::quantity::{Figure, Side, Unit};
use quarterturn_core::show::as_typed;

/// The piece at hand. A handle that can be copied.
#[derive(Clone, Copy)]
pub(super) struct AtHand(Station);

impl AtHand {
    pub(super) fn here() -> Self {
        Self(Station::here())
    }

    /// What the piece says; tracked.
    pub(super) fn get<T>(self, get: impl FnOnce(&Piece) -> T) -> Option<T> {
        let view = self.0.desk.view();
        view.job.pieces.get(view.index).map(get)
    }

    pub(super) fn change(self, what: &str, put: impl FnOnce(&mut Piece)) {
        let index = self.0.desk.view_untracked().index;
        self.0.desk.change(what, |job| {
            if let Some(piece) = job.pieces.get_mut(index) {
                put(piece);
            }
        });
    }

    /// Takes what the zero of the orientation at hand reads at its end, or takes it back.
    pub(super) fn zero_at_end(self, figure: Option<Figure>) {
        let number = self.number_untracked();
        let recorded = self.0.desk.job_untracked().record.len();
        self.change("zero at the end", |p| p.set_zero_check(number, figure));
        let says = "Zero at the end: the record keeps what stood there before.".to_owned();
        self.0.say_recorded(recorded, "zero at the end", says);
    }

    /// Number of the orientation at hand; tracked.
    fn number(self) -> u32 {
        self.0.rows.with(|r| r.number)
    }

    fn number_untracked(self) -> u32 {
        self.0.rows.with_untracked(|r| r.number)
    }
}

/// The fields.
#[component]
pub(super) fn OnThisPiece(
    orientation: Memo<Option<Orientation>>,
    unit: Signal<Unit>,
) -> impl IntoView {
    let piece = AtHand::here();
    let there = Memo::new(move |_| piece.get(|_| ()).is_some());
    // The first orientation gives the axes: its edge is square to itself.
    let edge = Memo::new(move |_| {
        let first = piece.0.desk.orientation.get() == 0;
        let down = orientation.with(|o| o.as_ref().and_then(Orientation::up_side))?.opposite();
        let known = piece.get(|p| p.squareness_of(piece.number()).is_some()) == Some(true);
        (!first || known).then_some(down)
    });
    let end = Memo::new(move |_| {
        let figure = piece.get(|p| p.zero_check(piece.number())).flatten();
        figure.map_or_else(String::new, |f| as_typed(f, unit.get()))
    });
    let take_end = Callback::new(move |figure: Option<Figure>| {
        piece.zero_at_end(figure);
        Ok(())
    });
    let gauge = Signal::derive(move || piece.get(|p| p.gauge_celsius).flatten());
    let take_gauge = Callback::new(move |celsius: Option<f64>| {
        piece.change("temperature of the gauge", |p| p.gauge_celsius = celsius);
    });
    let noted = Memo::new(move |_| piece.get(|p| p.temperature.clone()).unwrap_or_default());
    let take_noted = Callback::new(move |text: String| {
        let text = text.trim().to_owned();
        if text.chars().count() > BOUNDS.text_chars {
            return Err(EntryError(format!("A text may have {} characters.", BOUNDS.text_chars)));
        }
        piece.change("temperature on the sheet", |p| p.temperature = text);
        Ok(())
    });
    view! {
        <Show when=move || there.get()>
            <fieldset class="bench-known">
                <legend>"On this piece"</legend>
                {move || edge.get().map(|edge| view! { <Square piece edge/> })}
                <div class="bench-fields">
                    <NumberField label="zero at the end read" value=end unit take=take_end/>
                    <BareField label="gauge, if other, °C" read=entry::celsius value=gauge take=take_gauge/>
                    <Field label="temperature, on the sheet" value=noted take=take_noted/>
                </div>
            </fieldset>
        </Show>
    }
}

/// How far the edge that carries the part is out of square, and which way.
#[component]
fn Square(piece: AtHand, edge: Side) -> impl IntoView {
    let desk = piece.0.desk;
    let unit = Signal::derive(move || desk.job().drawing.unit);
    let known = Memo::new(move |_| piece.get(|p| p.squareness_of(piece.number())).flatten());
    let show = move |get: fn(Squareness) -> Option<Figure>| {
        Signal::derive(move || {
            known.get().and_then(get).map_or_else(String::new, |f| as_typed(f, unit.get()))
        })
    };
    let put = move |what: &'static str, new: Option<Squareness>| {
        let number = piece.number_untracked();
        piece.change(what, |p| p.set_squareness(number, new));
    };
    let take_deviation = Callback::new(move |figure: Option<Figure>| {
        let was = known.get_untracked().unwrap_or_default();
        let orientation = piece.number_untracked();
        let new = figure.map(|farther_out| Squareness { orientation, farther_out, ..was });
        put("squareness of the edge", new);
        Ok(())
    });
    let take_over = Callback::new(move |figure: Option<Figure>| {
        if figure.is_some_and(|f| f.0 <= 0.0) {
            return Err(EntryError("A length is larger than zero.".to_owned()));
        }
        match (known.get_untracked(), figure) {
            (None, None) => Ok(()),
            (None, Some(_)) => Err(EntryError("Write the deviation first.".to_owned())),
            (Some(s), over) => {
                let over = over.unwrap_or_default();
                put("length of the squareness", Some(Squareness { over, ..s }));
                Ok(())
            }
        }
    });
    let take_standard = Callback::new(move |figure: Option<Figure>| {
        if figure.is_some_and(|f| f.0 < 0.0) {
            return Err(EntryError("An uncertainty is not negative.".to_owned()));
        }
        match (known.get_untracked(), figure) {
            (None, None) => Ok(()),
            (None, Some(_)) => Err(EntryError("Write the deviation first.".to_owned())),
            (Some(s), standard) => {
                put("uncertainty of the squareness", Some(Squareness { standard, ..s }));
                Ok(())
            }
        }
    });
    let (width, height) = LEAN_SIZE;
    let says = move || match known.get() {
        None => String::new(),
        Some(s) if s.radians().is_none() => {
            " It counts once the length is written beside it.".to_owned()
        }
        Some(s) => lean_says(edge, s).map(|w| format!(" As written, {w}.")).unwrap_or_default(),
    };
    view! {
        <div class="bench-square" role="group" aria-label=format!("Squareness of the {} edge", edge.edge())>
            <svg viewBox=format!("0 0 {width} {height}") aria-hidden="true">
                <g inner_html=svg_marks(&lean(edge))></g>
            </svg>
            <div>
                <div class="bench-fields">
                    <NumberField label=format!("{} edge out of square by", edge.edge()) value=show(|s| Some(s.farther_out))
                        unit take=take_deviation/>
                    <NumberField label="over a length of" value=show(|s| Some(s.over).filter(|l| l.0 > 0.0))
                        unit take=take_over/>
                    <NumberField label="standard uncertainty of it" value=show(|s| s.standard)
                        unit take=take_standard/>
                </div>
                <p>
                    {format!("Against the edge of the first orientation, in the view of the drawing: {}. In ", lean_words(edge))}
                    {move || unit.get().word()} ". Without an uncertainty it counts as exact."
                    <span role="status">{says}</span>
                </p>
            </div>
        </div>
    }
}
