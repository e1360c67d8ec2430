//! Which lines of the table are shown.

use super::row::Rows;
use leptos::prelude::*;
use quarterturn_core::callout::Verdict;

/// Which lines are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Filter {
    /// All.
    #[default]
    All,
    /// Those that do not conform.
    Fails,
    /// Those without a verdict yet.
    Open,
}

impl Filter {
    const ALL: [Self; 3] = [Self::All, Self::Fails, Self::Open];

    const fn words(self) -> &'static str {
        match self {
            Self::All => "all",
            Self::Fails => "only what does not conform",
            Self::Open => "only what is open",
        }
    }

    /// What to say where no line is left.
    pub(super) const fn nothing(self) -> &'static str {
        match self {
            Self::All => "",
            Self::Fails => "Nothing that was judged fails to conform.",
            Self::Open => "Nothing is open: every feature asked for has its verdict.",
        }
    }

    /// Whether a line with this verdict is shown.
    pub(super) const fn lets(self, verdict: Verdict) -> bool {
        match self {
            Self::All => true,
            Self::Fails => matches!(verdict, Verdict::DoesNotConform),
            Self::Open => matches!(
                verdict,
                Verdict::NotProven | Verdict::NotMeasured | Verdict::CannotBeJudged
            ),
        }
    }

    /// The next one, for the key.
    pub(super) const fn next(self) -> Self {
        match self {
            Self::All => Self::Fails,
            Self::Fails => Self::Open,
            Self::Open => Self::All,
        }
    }
}

/// The choice between them, each with how many lines it leaves.
#[component]
pub(super) fn Filters(rows: Memo<Rows>, filter: RwSignal<Filter>) -> impl IntoView {
    let choice = move |which: Filter| {
        let count = Memo::new(move |_| {
            rows.with(|r| r.list.iter().filter(|row| which.lets(row.verdict)).count())
        });
        view! {
            <button type="button" aria-pressed=move || (filter.get() == which).to_string()
                on:click=move |_| filter.set(which)>
                {which.words()}" "<span class="count">{count}</span>
            </button>
        }
    };
    view! {
        <div class="filters" role="group" aria-label="Which features are listed">
            {Filter::ALL.map(choice)}
        </div>
    }
}
