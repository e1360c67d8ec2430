//! What is found of a feature while its readings come in.

use super::station::Station;
use crate::screens::findings::sign_svg;
use leptos::prelude::*;
use quarterturn_core::callout::Verdict;
use quarterturn_core::show::so_far;

/// Size, position and verdict of the feature that was read last, else of the one at hand.
#[component]
pub(super) fn SoFarLine() -> impl IntoView {
    let station = Station::here();
    let found = Memo::new(move |_| {
        let view = station.desk.view();
        let at_hand = station.rows.with(|r| r.cell(station.at.get()).map(|c| c.feature));
        let says = |index: usize| {
            let feature = view.job.drawing.features.get(index)?;
            let found = view.piece.as_ref()?.features.get(index)?;
            let verdict = match found.verdict {
                Verdict::NotMeasured => found.size.verdict,
                verdict => verdict,
            };
            Some((verdict, so_far(found, feature, &view.job.drawing)?))
        };
        [station.last.get(), at_hand].into_iter().flatten().find_map(says)
    });
    view! {
        <p class="bench-found" role="status">
            {move || found.get().map(|(verdict, says)| view! {
                <span class="bench-sign" inner_html=sign_svg(verdict)></span>
                {says}
            })}
        </p>
    }
}
