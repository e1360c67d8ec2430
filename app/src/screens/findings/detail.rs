//! The selected feature: its zone, and the sum as one would write it on paper.

use super::sign::{sign_svg, tone};
use super::table::split;
use crate::desk::Desk;
use leptos::prelude::*;
use quarterturn_core::callout::Verdict;
use quarterturn_core::findings::Ready;
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::zone_lettered;
use quarterturn_core::show::{
    BudgetText, Figures, SumLine, budget_sum, budget_text, certainty, feature_name, requirement,
    sentence, size_text, sum,
};

/// Side of the zone's picture, in its own millimetres.
const SIDE: f64 = 60.0;
/// Its letters, as large as those around it where the screen is small.
const LETTERS: f64 = 3.4;

/// Everything that is said of the selected feature.
#[derive(Clone, PartialEq)]
struct Detail {
    name: String,
    asked: Vec<String>,
    zone: Option<String>,
    lines: Vec<SumLine>,
    sentence: String,
    verdict: Verdict,
    places: usize,
    /// How sure its verdict is, where that is known.
    sure: Option<String>,
    /// A position is asked for, whose uncertainty has a budget.
    budgeted: bool,
}

impl Detail {
    fn of(desk: Desk) -> Option<Self> {
        let index = desk.selected.get()?;
        let view = desk.view();
        let job = &view.job;
        let feature = job.drawing.features.get(index)?;
        let finding = view.piece.as_ref()?.features.get(index)?;
        let size = feature.size.map(|s| {
            format!("size {}", size_text(s, job.drawing.unit, job.drawing.decimals.into()))
        });
        let position = Some(requirement(feature, &job.drawing)).filter(|r| !r.is_empty());
        let lines = sum(finding, feature, job);
        let places = lines.iter().map(|l| split(&l.value).1.chars().count()).max().unwrap_or(0);
        Some(Self {
            name: feature_name(feature),
            asked: [size, position].into_iter().flatten().collect(),
            zone: finding
                .position
                .is_some()
                .then(|| svg_marks(&zone_lettered(job, index, finding, SIDE, LETTERS))),
            lines,
            sentence: sentence(finding, feature, job),
            verdict: finding.verdict,
            places,
            sure: certainty(finding, job),
            budgeted: finding.position.as_ref().is_some_and(|p| p.proof.is_some()),
        })
    }
}

#[component]
pub(super) fn DetailOf(
    /// The budget is shown in place of the sum.
    asked_for: RwSignal<bool>,
) -> impl IntoView {
    let desk = Desk::here();
    let detail = Memo::new(move |_| Detail::of(desk));
    view! {
        <section class="detail" aria-label="The selected feature">
            {move || match detail.get() {
                None => view! {
                    <p class="none">"Select a feature in the table or the picture to follow its sum."</p>
                }.into_any(),
                Some(d) => view! {
                    <h2><span class="name">{d.name.clone()}</span>
                        {d.asked.into_iter().map(|a| view! { <span class="asked">{a}</span> }).collect_view()}
                    </h2>
                    {d.zone.map(|svg| view! {
                        <svg class="zone" viewBox=format!("0 0 {SIDE} {SIDE}") role="img"
                            aria-label=format!("Zone of {}", d.name) inner_html=svg></svg>
                    })}
                    {if asked_for.get() && d.budgeted {
                        view! { <Budget/> }.into_any()
                    } else {
                        view! {
                            <div class="sum" tabindex="0" role="region" aria-label="The sum">
                                <table class="paper" style:--places=format!("{}ch", d.places)>
                                    <tbody>
                                        {d.lines.into_iter().map(line).collect_view()}
                                    </tbody>
                                </table>
                            </div>
                        }
                        .into_any()
                    }}
                    <p class=format!("sentence {}", tone(d.verdict))>
                        <i inner_html=sign_svg(d.verdict)></i>{d.sentence}
                        " "
                        {d.sure.map(|sure| view! {
                            {sure}" "
                            {d.budgeted.then(|| view! {
                                <button type="button" class="link" aria-pressed=move || asked_for.get().to_string()
                                    on:click=move |_| asked_for.update(|open| *open = !*open)>
                                    {move || if asked_for.get() { "Back to the sum" } else { "Where its uncertainty comes from" }}
                                </button>
                            })}
                        })}
                    </p>
                }.into_any(),
            }}
        </section>
    }
}

/// The uncertainty budget of the selected feature.
#[component]
fn Budget() -> impl IntoView {
    let desk = Desk::here();
    let budget = Memo::new(move |_| {
        let view = desk.view();
        let figures = Figures::of_results(&view.job.drawing).finer(2);
        let found = desk.selected.get().and_then(|f| Ready::of(&view.job).budget(view.index, f))?;
        let lines: Vec<BudgetText> = found.lines.iter().map(|l| budget_text(l, figures)).collect();
        Some((lines, budget_sum(&found, figures)))
    });
    view! {
        <div class="sum" tabindex="0" role="region" aria-label="Uncertainty budget of the position">
            <table class="paper budget">
                <thead>
                    <tr>
                        <th scope="col">"source"</th>
                        <th scope="col">"distribution"</th>
                        <th scope="col" class="num">"divisor"</th>
                        <th scope="col" class="num">"u of it"</th>
                        <th scope="col" class="num">"u in the position"</th>
                        <th scope="col" class="num">"share"</th>
                    </tr>
                </thead>
                <tbody>
                    {move || budget.get().into_iter().flat_map(|(lines, _)| lines).map(|l| view! {
                        <tr>
                            <th scope="row">
                                {l.name}
                                {l.degrees.map(|degrees| format!(", {degrees} degrees of freedom"))}
                            </th>
                            <td class="how">{l.distribution}</td>
                            <td class="num">{l.divisor}</td>
                            <td class="num">{l.of_touch}</td>
                            <td class="num">{l.standard}</td>
                            <td class="num">{l.share}</td>
                        </tr>
                    }).collect_view()}
                </tbody>
            </table>
            <p class="help">{move || budget.get().map(|(_, sum)| sum)}</p>
        </div>
    }
}

fn line(line: SumLine) -> impl IntoView {
    let (whole, rest) = split(&line.value);
    view! {
        <tr>
            <th scope="row">{line.label}</th>
            <td class="num">{whole}<span class="places">{rest}</span></td>
            <td class="how">{line.how}</td>
        </tr>
    }
}
