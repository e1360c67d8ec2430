//! The selected feature: its zone, and the sum as one would write it on paper.

use super::sign::{sign_svg, tone};
use super::table::split;
use crate::desk::Desk;
use leptos::prelude::*;
use quarterturn_core::callout::Verdict;
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::zone_lettered;
use quarterturn_core::show::{SumLine, feature_name, proof, requirement, sentence, size_text, sum};

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
        let mut lines = sum(finding, feature, job);
        // The margin ends the sum; how sure it is stands above it.
        let end = lines.len().saturating_sub(1);
        lines.splice(end..end, proof(finding, job));
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
        })
    }
}

#[component]
pub(super) fn DetailOf() -> impl IntoView {
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
                    <div class="sum" tabindex="0" role="region" aria-label="The sum">
                        <table class="paper" style:--places=format!("{}ch", d.places)>
                            <tbody>
                                {d.lines.into_iter().map(line).collect_view()}
                            </tbody>
                        </table>
                    </div>
                    <p class=format!("sentence {}", tone(d.verdict))>
                        <i inner_html=sign_svg(d.verdict)></i>{d.sentence}
                    </p>
                }.into_any(),
            }}
        </section>
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
