//! The sign that stands beside the words of a verdict, as text to be put into the page.

use quarterturn_core::callout::Verdict;
use quarterturn_core::mark::svg_marks;
use std::sync::OnceLock;

/// Side of a sign's picture.
const SIDE: f64 = 4.0;

/// The sign drawn; it is hidden from those who hear the words beside it.
pub(crate) fn sign_svg(verdict: Verdict) -> &'static str {
    static DRAWN: OnceLock<Vec<(Verdict, String)>> = OnceLock::new();
    let drawn = DRAWN.get_or_init(|| {
        let all = [
            Verdict::Conforms,
            Verdict::DoesNotConform,
            Verdict::NotMeasured,
            Verdict::NotProven,
            Verdict::CannotBeJudged,
        ];
        let draw = |verdict: Verdict| {
            let mark = verdict.sign()?.draw((SIDE / 2.0, SIDE / 2.0), SIDE * 0.94);
            let body = svg_marks(&[mark]);
            let open =
                format!("<svg class=\"sign\" viewBox=\"0 0 {SIDE} {SIDE}\" aria-hidden=\"true\">");
            Some((verdict, format!("{open}{body}</svg>")))
        };
        all.into_iter().filter_map(draw).collect()
    });
    drawn.iter().find(|(v, _)| *v == verdict).map_or("", |(_, svg)| svg)
}

/// The class that colours the words of a verdict.
pub(super) const fn tone(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Conforms => "conforms",
        Verdict::DoesNotConform => "fails",
        Verdict::NotProven | Verdict::NotMeasured | Verdict::CannotBeJudged => "open",
        Verdict::NothingAsked => "nothing",
    }
}
