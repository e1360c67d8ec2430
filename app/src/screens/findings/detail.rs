//! The selected feature: its zone, and the sum as one would write it on paper; in their place the
//! pattern that it belongs to.

use super::at::At;
use super::pattern::PatternOf;
use super::sign::{sign_svg, tone};
use super::table::split;
use crate::desk::Desk;
use leptos::prelude::*;
use quarterturn_core::callout::Verdict;
use quarterturn_core::findings::Ready;
use quarterturn_core::mark::svg_marks;
use quarterturn_core::picture::zone_lettered;
use quarterturn_core::show::{
    BudgetText, Figures, SumLine, budget_sum, budget_text, certainty, feature_name,
    relation_certainty, relation_sentence, relation_sum, relation_text, requirement, sentence,
    size_text, sum,
};

/// Side of the zone's picture, in its own millimetres.
const SIDE: f64 = 60.0;
/// Its letters, as large as those around it where the screen is small.
const LETTERS: f64 = 3.4;

/// What is shown of the selected feature.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Shown {
    /// Its zone and its sum.
    #[default]
    Sum,
    /// Its zone and where its uncertainty comes from.
    Budget,
    /// The pattern with this place among those that it belongs to.
    Pattern(usize),
    /// What kind of error the patterns have, and what to do about it.
    Cause,
}

impl Shown {
    /// How many patterns the selected feature belongs to.
    pub(super) fn patterns(desk: Desk) -> usize {
        let Some(index) = desk.selected.get_untracked() else { return 0 };
        desk.view_untracked().piece.as_ref().map_or(0, |p| p.patterns_of(index).len())
    }

    /// After the key for the budget.
    pub(super) const fn budget(self) -> Self {
        match self {
            Self::Budget => Self::Sum,
            Self::Sum | Self::Pattern(_) | Self::Cause => Self::Budget,
        }
    }

    /// After the key for the pattern: one after the other, and back to the sum.
    pub(super) const fn pattern(self, count: usize) -> Self {
        match self {
            Self::Pattern(at) if at + 1 < count => Self::Pattern(at + 1),
            Self::Pattern(_) => Self::Sum,
            Self::Sum | Self::Budget | Self::Cause if count > 0 => Self::Pattern(0),
            Self::Sum | Self::Budget | Self::Cause => self,
        }
    }

    /// After the key for the kind of error.
    pub(super) const fn cause(self) -> Self {
        match self {
            Self::Cause => Self::Sum,
            Self::Sum | Self::Budget | Self::Pattern(_) => Self::Cause,
        }
    }
}

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
    /// Its uncertainty is known, and has a budget.
    budgeted: bool,
    /// Indices of the patterns that it belongs to.
    patterns: Vec<usize>,
}

impl Detail {
    fn of(desk: Desk, at: At) -> Option<Self> {
        if let Some(index) = at.line() {
            return Self::of_relation(desk, index);
        }
        let index = desk.selected.get()?;
        let view = desk.view();
        let job = &view.job;
        let feature = job.drawing.features.get(index)?;
        let piece = view.piece.as_ref()?;
        let finding = piece.features.get(index)?;
        let size = feature.size.map(|s| {
            format!("size {}", size_text(s, job.drawing.unit, job.drawing.decimals.into()))
        });
        let position = Some(requirement(feature, &job.drawing)).filter(|r| !r.is_empty());
        let lines = sum(finding, feature, job, &piece.patterns);
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
            patterns: piece.patterns_of(index),
        })
    }

    /// The same of a relation.
    fn of_relation(desk: Desk, index: usize) -> Option<Self> {
        let view = desk.view();
        let job = &view.job;
        let relation = job.drawing.relations.get(index)?;
        let finding = view.piece.as_ref()?.relations.get(index)?;
        let lines = relation_sum(finding, job);
        let places = lines.iter().map(|l| split(&l.value).1.chars().count()).max().unwrap_or(0);
        Some(Self {
            name: format!("line {}", relation.number),
            asked: vec![relation_text(&relation.kind, &job.drawing)],
            zone: None,
            lines,
            sentence: relation_sentence(finding, relation, job),
            verdict: finding.verdict,
            places,
            sure: relation_certainty(finding, job),
            budgeted: finding.proof.is_some(),
            patterns: Vec::new(),
        })
    }
}

#[component]
pub(super) fn DetailOf(
    at: At,
    /// What is shown in place of the sum.
    shown: RwSignal<Shown>,
) -> impl IntoView {
    let desk = Desk::here();
    let detail = Memo::new(move |_| Detail::of(desk, at));
    let pattern = Memo::new(move |_| match shown.get() {
        Shown::Pattern(nth) => detail.with(|d| Some((nth, *d.as_ref()?.patterns.get(nth)?))),
        Shown::Sum | Shown::Budget | Shown::Cause => None,
    });
    view! {
        <section class="detail" class:whole=move || pattern.get().is_some() aria-label="What is selected">
            {move || match detail.get() {
                None => view! {
                    <p class="none">"Select a feature in the table or the picture to follow its sum."</p>
                }.into_any(),
                Some(d) => match pattern.get() {
                    Some((nth, index)) => view! {
                        <PatternOf index at=nth of=d.patterns.len() shown/>
                    }.into_any(),
                    None => of_selected(at, d, shown).into_any(),
                },
            }}
        </section>
    }
}

/// The zone and the sum, or where the uncertainty comes from.
fn of_selected(at: At, d: Detail, shown: RwSignal<Shown>) -> impl IntoView {
    // The budget needs the room of the zone.
    let budget = shown.get() == Shown::Budget && d.budgeted;
    view! {
        <h2><span class="name">{d.name.clone()}</span>
            {d.asked.into_iter().map(|a| view! { <span class="asked">{a}</span> }).collect_view()}
        </h2>
        {d.zone.filter(|_| !budget).map(|svg| view! {
            <svg class="zone" viewBox=format!("0 0 {SIDE} {SIDE}") role="img"
                aria-label=format!("Zone of {}", d.name) inner_html=svg></svg>
        })}
        {if budget {
            view! { <Budget at/> }.into_any()
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
                    <button type="button" class="link" aria-pressed=move || (shown.get() == Shown::Budget).to_string()
                        on:click=move |_| shown.update(|s| *s = s.budget())>
                        {move || if shown.get() == Shown::Budget { "Back to the sum" } else { "Where its uncertainty comes from" }}
                    </button>
                })}
            })}
            {(!d.patterns.is_empty()).then(|| view! {
                " "
                <button type="button" class="link" on:click=move |_| shown.set(Shown::Pattern(0))>
                    "Its pattern"
                </button>
            })}
        </p>
    }
}

/// The uncertainty budget of what is selected: of a feature's position, or of a line.
#[component]
fn Budget(at: At) -> impl IntoView {
    let desk = Desk::here();
    let budget = Memo::new(move |_| {
        let view = desk.view();
        let figures = Figures::of_results(&view.job.drawing).finer(2);
        let ready = Ready::of(&view.job);
        let found = match at.line() {
            Some(line) => ready.relation_budget(view.index, line),
            None => desk.selected.get().and_then(|feature| ready.budget(view.index, feature)),
        }?;
        let lines: Vec<BudgetText> = found.lines.iter().map(|l| budget_text(l, figures)).collect();
        Some((lines, budget_sum(&found, figures)))
    });
    view! {
        <div class="sum" tabindex="0" role="region" aria-label="Uncertainty budget">
            <table class="paper budget">
                <thead>
                    <tr>
                        <th scope="col">"source"</th>
                        <th scope="col">"distribution"</th>
                        <th scope="col" class="num">"divisor"</th>
                        <th scope="col" class="num">"standard uncertainty"</th>
                        <th scope="col" class="num">"u in the result"</th>
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
    if line.is_head() {
        return view! {
            <tr class="head"><th scope="rowgroup" colspan="3">{line.label}</th></tr>
        }
        .into_any();
    }
    let (whole, rest) = split(&line.value);
    view! {
        <tr>
            <th scope="row">{line.label}</th>
            <td class="num">{whole}<span class="places">{rest}</span></td>
            <td class="how">{line.how}</td>
        </tr>
    }
    .into_any()
}

#[cfg(test)]
mod tests {
    use super::Shown;

    #[test]
    fn the_key_goes_through_all_patterns_and_back() {
        let mut shown = Shown::Budget;
        let mut seen = Vec::new();
        for _ in 0..4 {
            shown = shown.pattern(2);
            seen.push(shown);
        }
        let (first, second) = (Shown::Pattern(0), Shown::Pattern(1));
        assert_eq!(seen, [first, second, Shown::Sum, first]);
        assert_eq!(Shown::Sum.pattern(0), Shown::Sum);
        assert_eq!(first.budget(), Shown::Budget);
    }
}
