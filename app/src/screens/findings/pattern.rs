//! The pattern of the selected feature, in place of its zone and sum: as the functional gauge sees
//! it, with its figures and what was found.

use super::detail::Shown;
use super::sign::{sign_svg, tone};
use crate::desk::Desk;
use leptos::prelude::*;
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::{Gauge, PatternOptions, gauge};
use quarterturn_core::show::{DatumText, MemberText, PatternText, pattern_text, percent};

/// Size of the picture, in its own millimetres.
const WIDTH: f64 = 100.0;
const HEIGHT: f64 = 70.0;
/// Its letters, as large as those around it where the screen is small.
const LETTERS: f64 = 3.6;

/// A pattern as it is shown.
#[derive(Clone, PartialEq)]
struct Seen {
    text: PatternText,
    svg: String,
    caption: String,
    selected: Option<usize>,
}

impl Seen {
    fn of(desk: Desk, index: usize) -> Option<Self> {
        let view = desk.view();
        let piece = view.piece.as_ref()?;
        let selected = desk.selected.get();
        let options =
            PatternOptions { width_mm: WIDTH, height_mm: HEIGHT, text_mm: LETTERS, selected };
        let Gauge { marks, caption, .. } = gauge(&view.job, piece, index, &options);
        let text = pattern_text(index, piece, &view.job)?;
        Some(Self { text, svg: svg_marks(&marks), caption, selected })
    }
}

#[component]
pub(super) fn PatternOf(
    /// Its index among the patterns of the piece.
    index: usize,
    /// Its place among those of the selected feature.
    at: usize,
    /// How many the feature has.
    of: usize,
    /// What is shown.
    shown: RwSignal<Shown>,
) -> impl IntoView {
    let desk = Desk::here();
    let seen = Memo::new(move |_| Seen::of(desk, index));
    let more = at + 1 < of;
    move || {
        seen.get().map(|Seen { text, svg, caption, selected }| {
            let sure = text.sure.as_ref().zip(text.coverage.as_ref());
            let sure = sure.map(|((expanded, probability), k)| {
                format!(
                    "Uncertainty of the margin ±{expanded} (k = {k}), probability that it conforms {}.",
                    percent(*probability)
                )
            });
            view! {
                <div class="together">
                    <h2><span class="name">{text.name.clone()}</span></h2>
                    <svg class="gauge" viewBox=format!("0 0 {WIDTH} {HEIGHT}") role="img"
                        aria-label=format!("{} as its gauge sees it", text.name) inner_html=svg></svg>
                    <div class="said">
                        <p class=format!("sentence {}", tone(text.verdict))>
                            <i inner_html=sign_svg(text.verdict)></i>{text.sentence}
                            " "{sure}" "
                            <button type="button" class="link" on:click=move |_| shown.update(|s| *s = s.pattern(of))>
                                {if more { "Its next pattern" } else { "Back to the sum" }}
                            </button>
                        </p>
                        <p class="caption">{format!("Picture: {caption}.")}</p>
                    </div>
                    <div class="sum" tabindex="0" role="region" aria-label="Figures of the pattern">
                        {members(text.members, selected)}
                        {(!text.datums.is_empty()).then(|| datums(text.datums))}
                    </div>
                </div>
            }
        })
    }
}

/// Members: after the shift, against what is allowed.
fn members(list: Vec<MemberText>, selected: Option<usize>) -> impl IntoView {
    let row = move |m: MemberText| {
        let [bx, by] = m.before;
        let [ax, ay] = m.after;
        let said = match (m.missing, m.holds) {
            (true, _) => "missing",
            (false, true) => "▲ holds",
            (false, false) => "",
        };
        view! {
            <tr class:lit=selected == Some(m.feature)>
                <th scope="row">{m.name}</th>
                <td class="num">{bx}</td>
                <td class="num">{by}</td>
                <td class="num">{ax}</td>
                <td class="num">{ay}</td>
                <td class="num">{m.position}</td>
                <td class="num">{m.allowed}</td>
                <td class="num">{m.margin}</td>
                <td class="how">{said}</td>
            </tr>
        }
    };
    figures(["member", "position", "allowed", "margin"], list.into_iter().map(row).collect_view())
}

/// Datum features of size and the room that they leave.
fn datums(list: Vec<DatumText>) -> impl IntoView {
    let row = |d: DatumText| {
        let [bx, by] = d.before;
        let [ax, ay] = d.after;
        let loose = !d.boundary.is_empty();
        let said = match (d.holds, loose) {
            (true, _) => "▲ holds",
            (false, true) => "",
            (false, false) => "regardless of size",
        };
        view! {
            <tr>
                <th scope="row">{d.letter}", "{d.feature}</th>
                <td class="num">{bx}</td>
                <td class="num">{by}</td>
                <td class="num">{ax}</td>
                <td class="num">{ay}</td>
                <td class="num">{d.size}</td>
                <td class="num">{d.boundary}</td>
                <td class="num">{loose.then_some(d.clearance)}</td>
                <td class="how">{said}</td>
            </tr>
        }
    };
    figures(
        ["datum feature", "size", "boundary", "clearance"],
        list.into_iter().map(row).collect_view(),
    )
}

/// A table of what was moved: whose deviations before and after stand between the first and the
/// other heads.
fn figures([whose, rest @ ..]: [&'static str; 4], rows: impl IntoView) -> impl IntoView {
    let moved = ["dx before", "dy before", "dx after", "dy after"];
    view! {
        <table class="paper budget">
            <thead>
                <tr>
                    <th scope="col">{whose}</th>
                    {moved.into_iter().chain(rest).map(|head| view! {
                        <th scope="col" class="num">{head}</th>
                    }).collect_view()}
                    <th scope="col"></th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
    }
}
