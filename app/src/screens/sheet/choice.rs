//! What goes into the document: which pieces, how much of each, on which paper.

use leptos::prelude::*;
use quarterturn_core::job::Paper;
use quarterturn_core::sheet::{Extent, Which};

/// Which sheet is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shown {
    Piece,
    EveryPiece,
    Blank,
}

impl Shown {
    pub(super) const ALL: [Self; 3] = [Self::Piece, Self::EveryPiece, Self::Blank];

    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Piece => "This piece",
            Self::EveryPiece => "Every piece",
            Self::Blank => "Blank, for the bench",
        }
    }

    pub(super) const fn which(self, piece: usize) -> Which {
        match self {
            Self::Piece => Which::Piece(piece),
            Self::EveryPiece => Which::EveryPiece,
            Self::Blank => Which::Blank(piece),
        }
    }
}

pub(super) const EXTENTS: [Extent; 2] = [Extent::Short, Extent::Full];

pub(super) const fn extent_words(extent: Extent) -> &'static str {
    match extent {
        Extent::Short => "Short form",
        Extent::Full => "Full record",
    }
}

pub(super) const PAPERS: [Paper; 2] = [Paper::A4, Paper::Letter];

pub(super) const fn paper_words(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "A4",
        Paper::Letter => "Letter",
    }
}

/// One of several, as radio buttons beside their legend.
#[component]
pub(super) fn OneOf<T>(
    /// What is chosen.
    legend: &'static str,
    /// The group's name in the page.
    name: &'static str,
    /// What there is to choose from.
    all: &'static [T],
    /// In words.
    words: fn(T) -> &'static str,
    /// What is chosen now.
    #[prop(into)]
    chosen: Signal<T>,
    /// Takes another choice.
    #[prop(into)]
    choose: Callback<T>,
    /// There is nothing to choose.
    #[prop(into, optional)]
    off: Signal<bool>,
) -> impl IntoView
where
    T: Copy + PartialEq + Send + Sync + 'static,
{
    let one = move |value: T| {
        view! {
            <label>
                <input type="radio" name=name prop:checked=move || chosen.get() == value
                    on:change=move |_| choose.run(value)/>
                {words(value)}
            </label>
        }
    };
    view! {
        <fieldset class="choice" disabled=off>
            <legend>{legend}</legend>
            {all.iter().copied().map(one).collect_view()}
        </fieldset>
    }
}
