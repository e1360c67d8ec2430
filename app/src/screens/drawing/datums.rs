//! The datum letters: what each of them stands on.

use super::kept::kept;
use crate::desk::Desk;
use crate::widgets::Field;
use leptos::prelude::*;
use quarterturn_core::entry::{self, Carrier, EntryError, carrier_text};
use quarterturn_core::job::{BOUNDS, Datum, DrawingPlace};
use quarterturn_core::show::Figures;

fn letter(typed: &str) -> Result<String, EntryError> {
    match entry::datums(typed)?.as_slice() {
        [one] => Ok(one.letter.clone()),
        _ => Err(EntryError("One letter, as in the feature control frame.".to_owned())),
    }
}

/// The next letter that is free: I, O and Q are not used for datums (ASME Y14.5-2018, 6.3.1).
fn free(datums: &[Datum]) -> String {
    ('A'..='Z')
        .filter(|c| !matches!(c, 'I' | 'O' | 'Q'))
        .map(String::from)
        .find(|l| datums.iter().all(|d| d.letter != *l))
        .unwrap_or_default()
}

/// The table of datums.
#[component]
pub(super) fn Datums() -> impl IntoView {
    let desk = Desk::here();
    let count = Memo::new(move |_| desk.job().drawing.datums.len());
    let add = move |_| {
        desk.change("a datum more", |job| {
            let datum = job.drawing.new_datum(&free(&job.drawing.datums));
            job.drawing.datums.push(datum);
        });
    };
    view! {
        <table class="figures entries">
            <caption class="away">"Datums"</caption>
            <thead>
                <tr>
                    <th scope="col" class="letter">"letter"</th>
                    <th scope="col" class="carrier">"feature that carries it"</th>
                    <th scope="col" class="boundary">"boundary, if stated"</th>
                    <th scope="col">"in words, for the sheet"</th>
                    <th scope="col"><span class="away">"remove"</span></th>
                </tr>
            </thead>
            <tbody>
                {move || (0..count.get()).map(|i| view! { <Row index=i/> }).collect_view()}
            </tbody>
        </table>
        <p class="acts"><button type="button" class="button" on:click=add>"Add a datum"</button></p>
        <p class="help">
            "A datum without a feature is the face that lies against the angle plate and is not seen in this view: the primary one, mostly. A face in the table of features that has the letter for its number carries it at once. Any face can carry a letter, and so can a hole or a boss: write its number. Several of them can carry it together: “circle 1 2 3 4” is the centre of the circle through their axes, “fit 1 2 3 4” moves and turns the whole pattern to where it fits best. A datum feature of size can be named at its boundary, as in A | B(M) | C(M): the boundary follows from its limits and its own tolerance, unless the drawing states it."
        </p>
    }
}

#[component]
fn Row(index: usize) -> impl IntoView {
    let desk = Desk::here();
    let of = move |get: fn(&Datum) -> String| {
        Memo::new(move |_| desk.job().drawing.datums.get(index).map(get).unwrap_or_default())
    };
    let name = of(|d| d.letter.clone());
    // What was refused in the same field is corrected with the change.
    let change = move |what: &'static str,
                       place: Option<fn(String) -> DrawingPlace>,
                       put: &dyn Fn(&mut Datum)| {
        desk.change(what, |job| {
            if let Some(datum) = job.drawing.datums.get_mut(index) {
                put(datum);
            }
            if let Some(place) = place {
                job.drawing.set_refused(&place(name.get_untracked()), None);
            }
        });
    };
    let take_letter = Callback::new(move |typed: String| {
        let new = letter(&typed)?;
        let taken = desk
            .job_untracked()
            .drawing
            .datums
            .iter()
            .enumerate()
            .any(|(i, d)| i != index && d.letter == new);
        if taken {
            return Err(EntryError(format!("{new} is there already.")));
        }
        let carrier = desk.job_untracked().drawing.new_datum(&new).feature;
        desk.change("a datum's letter", |job| {
            let old = DrawingPlace::DatumLetter(name.get_untracked());
            job.drawing.set_refused(&old, None);
            job.drawing.rename_datum(index, &new);
            // The face of that name carries it, unless something else does.
            let datum = job.drawing.datums.get_mut(index);
            if let Some(datum) = datum.filter(|d| d.carriers().next().is_none()) {
                datum.feature = carrier;
            }
        });
        Ok(())
    });
    let take_feature = Callback::new(move |typed: String| {
        let Carrier { feature, pattern } = entry::carrier(&typed, &desk.job_untracked().drawing)?;
        change("a datum's feature", Some(DrawingPlace::DatumFeature), &|d| {
            (d.feature, d.pattern) = (feature.clone(), pattern.clone());
        });
        Ok(())
    });
    let take_boundary = Callback::new(move |typed: String| {
        let unit = desk.job_untracked().drawing.unit;
        let boundary = match typed.trim() {
            "" => None,
            typed => Some(entry::number(typed, unit)?),
        };
        if boundary.is_some_and(|b| b.0 <= 0.0) {
            return Err(EntryError("A boundary is a size above zero.".to_owned()));
        }
        change("a datum's boundary", Some(DrawingPlace::DatumBoundary), &|d| d.boundary = boundary);
        Ok(())
    });
    let boundary = Memo::new(move |_| {
        let job = desk.job();
        let stated = job.drawing.datums.get(index).and_then(|d| d.boundary);
        stated.map_or_else(String::new, |b| {
            let length = b.length(job.drawing.unit);
            Figures::of_drawing(&job.drawing).exact(length).plain(length)
        })
    });
    let take_what = Callback::new(move |typed: String| {
        let what: String = typed.trim().chars().take(BOUNDS.text_chars).collect();
        change("a datum's words", None, &|d| d.what.clone_from(&what));
        Ok(())
    });
    let remove = move |_| {
        desk.change("a datum less", |job| job.drawing.remove_datum(index));
    };
    let kept = move |place: fn(String) -> DrawingPlace| Some(kept(desk, move || place(name.get())));
    view! {
        <tr>
            <th scope="row"><Field bare=true label="Letter" value=name take=take_letter kept=kept(DrawingPlace::DatumLetter)/></th>
            <td>
                <Field bare=true hint="not in this view" label=format!("Feature that carries datum {}", index + 1)
                    value=of(carrier_text) take=take_feature kept=kept(DrawingPlace::DatumFeature)/>
            </td>
            <td>
                <Field bare=true hint="from its limits" label=format!("Stated boundary of datum {}", index + 1)
                    value=boundary take=take_boundary kept=kept(DrawingPlace::DatumBoundary)/>
            </td>
            <td><Field bare=true label=format!("Words for datum {}", index + 1) value=of(|d| d.what.clone()) take=take_what/></td>
            <td>
                <button type="button" class="link" aria-label=move || format!("Remove datum {}", name.get()) on:click=remove>
                    "Remove"
                </button>
            </td>
        </tr>
    }
}
