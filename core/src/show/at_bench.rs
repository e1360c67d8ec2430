//! What is said at the bench while readings are taken.

use super::sentences::reason;
use super::{Figures, against, capital, feature_name, segment_name};
use crate::bench::{Offer, Question};
use crate::callout::{Bound, SizeFinding, Verdict};
use crate::findings::{Fault, FeatureFinding, Remedy};
use crate::job::{Drawing, Feature};
use crate::quantity::{Length, Side};

/// What an offer about a reading does, as the words of its button.
#[must_use]
pub fn offer_words(offer: Offer, question: &Question, drawing: &Drawing) -> String {
    let name = |index: usize| drawing.features.get(index).map(feature_name).unwrap_or_default();
    match offer {
        Offer::Negate => "Write it with the other sign".to_owned(),
        Offer::Write(figure) => {
            let length = figure.length(question.figures.unit);
            format!("Write {}", question.figures.exact(length).plain(length))
        }
        Offer::Exchange(_) => "Exchange lowest and highest point".to_owned(),
        Offer::Give { feature, touch } => {
            format!("Give it to {}, {}", name(feature), touch.word())
        }
        Offer::ExchangeFeatures { feature } => {
            format!("Exchange the readings with {}", name(feature))
        }
        Offer::Stand(up) => stood_words(up),
        Offer::Again => "Take it again".to_owned(),
    }
}

/// That the part stood otherwise than stated.
fn stood_words(up: Side) -> String {
    format!("It stood with {} up", up.label())
}

/// What an offer about a piece's readings does, as the words of its button.
#[must_use]
pub fn remedy_words(remedy: &Remedy) -> String {
    match remedy {
        Remedy::Stand { up, .. } => stood_words(*up),
        Remedy::ApplyFound { .. } => "Apply the probe constant of the trial".to_owned(),
        Remedy::TurnConstant { .. } => "Turn the sign of the probe constant".to_owned(),
        Remedy::AppliedByGauge { .. } => "The gauge applies the probe constant".to_owned(),
    }
}

/// What is known of a feature so far: its size as soon as one orientation gives it, its position as
/// soon as both coordinates are measured, each with its verdict, and the reason of the whole. `None`
/// before that.
#[must_use]
pub fn so_far(finding: &FeatureFinding, feature: &Feature, drawing: &Drawing) -> Option<String> {
    let f = Figures::of_results(drawing);
    let judged = |words: String, verdict: Verdict| match verdict {
        Verdict::NothingAsked | Verdict::NotMeasured => words,
        verdict => format!("{words}, {}", verdict.words()),
    };
    // Touches that contradict each other give figures that mean nothing.
    let contrary = finding.fault == Some(Fault::Touches);
    let size = size_so_far(&finding.size, f)
        .filter(|_| !contrary)
        .map(|shown| judged(format!("size {shown}"), finding.size.verdict));
    let position = finding.deciding().filter(|_| !contrary).and_then(|p| {
        let what = match segment_name(finding, p) {
            segment if segment.is_empty() => "position".to_owned(),
            segment => format!("position ({segment})"),
        };
        let (found, allowed) = against(p.position?, p.allowed, f);
        let bonus = match p.bonus.length() {
            none if none <= Length::ZERO => String::new(),
            bonus => format!(" with bonus {}", f.plain(bonus)),
        };
        Some(judged(format!("{what} {found}, allowed {allowed}{bonus}"), p.verdict))
    });
    let mut parts: Vec<String> = size.into_iter().chain(position).collect();
    if parts.is_empty() && !contrary {
        return None;
    }
    parts.extend(match finding.verdict {
        Verdict::NotMeasured => finding.in_question.then(|| "a reading is in question".to_owned()),
        _ => Some(reason(finding, drawing)).filter(|why| !why.is_empty()),
    });
    Some(format!("{}: {}.", capital(&feature_name(feature)), parts.join("; ")))
}

/// The size that decides, with as many decimals as keep it apart from the limit that it is nearer to:
/// the one outside its limits, else the one that counts.
fn size_so_far(size: &SizeFinding, f: Figures) -> Option<String> {
    let limits = size.limits;
    let (decides, limit) = match (limits, size.above, size.below) {
        (Some(l), Some(by), _) => (l.upper + by, Some(l.upper)),
        (Some(l), None, Some(by)) => (l.lower - by, Some(l.lower)),
        _ => {
            let nearer = limits.zip(size.nearer()).map(|(l, bound)| match bound {
                Bound::Upper => l.upper,
                Bound::Lower => l.lower,
            });
            (size.counts?, nearer)
        }
    };
    Some(limit.map_or_else(|| f.plain(decides), |limit| against(decides, limit, f).0))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::evaluate;
    use crate::job::{Job, Touch};
    use crate::quantity::Figure;
    use crate::testing::notebook;

    fn said(job: &Job, number: &str) -> Option<String> {
        let at = job.drawing.features.iter().position(|f| f.number == number).unwrap();
        let found = evaluate(job);
        so_far(&found.pieces[0].features[at], &job.drawing.features[at], &job.drawing)
    }

    /// Hole 1, by hand: .93680 − .56055 = .37625; y .748675 and x .75185 against .7500:
    /// 2 √(.001325² + .00185²) = .00455; .010 and .37625 − .3750 = .01125.
    #[test]
    fn the_size_is_judged_after_one_orientation_and_the_position_after_two() {
        let full = notebook();
        let mut job = full.clone();
        job.pieces[0].readings.retain(|r| r.orientation == 1);
        assert_eq!(said(&job, "1").unwrap(), "Hole 1: size .3763, conforms.");
        assert_eq!(
            said(&full, "1").unwrap(),
            "Hole 1: size .3763, conforms; position .0046, allowed .0113 with bonus .0013, conforms."
        );
        job.pieces[0].readings.clear();
        assert_eq!(said(&job, "1"), None);
    }

    #[test]
    fn the_size_that_is_outside_its_limits_is_the_one_that_is_said() {
        let mut job = notebook();
        // .3800 in one orientation, .3764 in the other one, which has more material.
        job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(0.94055)]);
        let said = said(&job, "1").unwrap();
        assert!(said.starts_with("Hole 1: size .3800, does not conform; "), "{said}");
    }

    #[test]
    fn points_the_wrong_way_round_have_no_size_that_is_said() {
        let mut job = notebook();
        job.pieces[0].readings.retain(|r| r.orientation == 1);
        job.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(0.93680)]);
        job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(0.56055)]);
        let said = said(&job, "1").unwrap();
        assert!(said.contains("contradict each other") && !said.contains("size"), "{said}");
    }
}
