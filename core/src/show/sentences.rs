//! What was found, in sentences.

use super::drawing_problem::typed_text;
use super::{Figures, against, capital, feature_name, field_word, segment_name, tally_says};
use crate::callout::{
    Bonus, Bound, NoBonus, PositionFinding, Proof, Salvage, SizeFinding, Unjudged, Verdict,
};
use crate::findings::{Coordinate, Fault, FeatureFinding, PieceFinding};
use crate::job::{Drawing, Feature, Job, Kind, NotUnderstood};
use crate::notation::joined;
use crate::quantity::{Length, NOISE};

/// The verdict in words; empty where nothing is asked.
#[must_use]
pub const fn verdict_words(verdict: Verdict) -> &'static str {
    verdict.words()
}

/// `Piece 0021: 6 of 8 conform`.
#[must_use]
pub fn headline(piece: &PieceFinding) -> String {
    let t = piece.tally;
    if t.asked == 0 {
        return format!("Piece {}: the drawing asks for nothing yet", piece.serial);
    }
    format!("Piece {}: {}", piece.serial, tally_says(&t))
}

/// A size rounded to the safe side, so that working to the figure shown is enough (up for a hole
/// that is opened, down for a boss that is reduced), with as many decimals as it takes not to
/// pass `limit`; and what is then left to that limit.
fn safe_size(size: Length, limit: Length, kind: Kind, f: Figures) -> (String, Length) {
    let mut f = f;
    loop {
        let mut step = Length::of(1.0, f.unit);
        for _ in 0..f.decimals {
            step = step * 0.1;
        }
        let steps = size.to_mm() / step.to_mm();
        // A size that is a whole number of steps but for noise stays what it is.
        let rounded =
            if kind.is_internal() { (steps - 1e-6).ceil() } else { (steps + 1e-6).floor() };
        let shown = step * rounded;
        let left = if kind.is_internal() { limit - shown } else { shown - limit };
        let finer = f.finer(1);
        if left.at_least(Length::ZERO) || finer == f {
            return (f.plain(shown), left.max(Length::ZERO));
        }
        f = finer;
    }
}

/// The limit of size that a change of size runs towards.
fn limit_of(size: Length, margin: Length, kind: Kind) -> Length {
    if kind.is_internal() { size + margin } else { size - margin }
}

/// The short reason that stands under a verdict in the table; empty where the verdict says all.
#[must_use]
pub fn reason(finding: &FeatureFinding, drawing: &Drawing) -> String {
    let question = finding.in_question.then_some("a reading is in question");
    let contradicted = finding.contradicted.then_some("readings contradict each other");
    let why = bare_reason(finding, drawing);
    let all = question.into_iter().chain(contradicted).map(str::to_owned);
    let all: Vec<String> = all.chain((!why.is_empty()).then_some(why)).collect();
    all.join("; ")
}

/// What makes it impossible to judge a feature as a whole, in words.
#[must_use]
pub fn fault_words(fault: &Fault) -> String {
    match fault {
        Fault::Number => "its number is missing or given twice".to_owned(),
        Fault::Limits => "its limits of size are the wrong way round or not positive".to_owned(),
        Fault::Touches => {
            "its touches contradict each other: the highest point does not lie above the lowest"
                .to_owned()
        }
        Fault::NotUnderstood(NotUnderstood { field, typed }) => {
            format!("its {} as typed is not understood: {}", field_word(*field), typed_text(typed))
        }
    }
}

fn bare_reason(finding: &FeatureFinding, drawing: &Drawing) -> String {
    let at_fault = finding.verdict == Verdict::CannotBeJudged;
    if let Some(fault) = finding.fault.as_ref().filter(|_| at_fault) {
        return fault_words(fault);
    }
    let f = Figures::of_results(drawing);
    let size = &finding.size;
    if finding.verdict == Verdict::NotProven {
        return unproven(finding, f);
    }
    let out = size.verdict == Verdict::DoesNotConform;
    if let Some(by) = size.above.filter(|_| out) {
        return format!("size above its limit by {}", visible(by, f));
    }
    if let Some(by) = size.below.filter(|_| out) {
        let mut text = format!("size below its limit by {}", visible(by, f));
        if let Some(words) = finding.salvage.and_then(|s| salvage_words(s, finding.kind, f)) {
            text.push_str("; rework: ");
            text.push_str(&words);
        }
        return text;
    }
    let Some(p) = finding.deciding() else {
        return missing_words(finding);
    };
    let segment = segment_name(finding, p);
    let of_segment = |words: String| match (segment.is_empty(), words.is_empty()) {
        (false, false) => format!("{segment}: {words}"),
        // Whose figures these are.
        (false, true) => segment.clone(),
        _ => words,
    };
    if let Some(why) = &p.unjudged {
        return of_segment(unjudged(why));
    }
    match p.verdict {
        Verdict::DoesNotConform => {
            let shifted = if p.shifted.is_some() { ", datum shift applied" } else { "" };
            let by = p.margin.unwrap_or_default().abs();
            let mut text = of_segment(format!("outside its zone by {}", visible(by, f)));
            if let Some(words) = finding.salvage.and_then(|s| salvage_words(s, finding.kind, f)) {
                text.push_str("; rework: ");
                text.push_str(&words);
            }
            text + shifted
        }
        Verdict::NotMeasured => missing_words(finding),
        _ if finding.verdict == Verdict::NotMeasured => missing_words(finding),
        Verdict::Conforms => of_segment(how_it_conforms(p)),
        _ => String::new(),
    }
}

/// Bonus and shift as far as a position conforms by them; that it was shifted in any case.
fn how_it_conforms(p: &PositionFinding) -> String {
    match (p.by_bonus, p.by_shift(), p.shifted) {
        (true, true, _) => "with bonus and datum shift",
        (false, true, _) => "with datum shift",
        (true, false, Some(_)) => "with bonus; datum shift applied",
        (false, false, Some(_)) => "datum shift applied",
        (true, false, None) => "with bonus",
        (false, false, None) => "",
    }
    .to_owned()
}

/// The same in as few words as a narrow column has room for; of what does not conform only that
/// it was shifted.
#[must_use]
pub(super) fn shift_words(p: &PositionFinding) -> &'static str {
    match (p.by_bonus, p.by_shift(), p.shifted) {
        (true, true, _) => "bonus and datum shift",
        (false, true, _) => "with datum shift",
        (true, false, Some(_)) => "with bonus; shifted",
        (false, false, Some(_)) => "shifted",
        (true, false, None) => "with bonus",
        (false, false, None) => "",
    }
}

/// Which requirements are not proven, and why: on which side of which limit they lie.
fn unproven(finding: &FeatureFinding, f: Figures) -> String {
    let position = finding.deciding().filter(|p| p.verdict == Verdict::NotProven);
    let size = Some(&finding.size).filter(|s| s.verdict == Verdict::NotProven);
    let parts = [
        position.map(|p| ("position", "zone", p.margin, p.proof)),
        size.map(|s| ("size", limit_words(s), s.margin, s.proof)),
    ];
    let words = |(what, limit, margin, proof): (&str, &str, Option<Length>, Option<Proof>)| {
        let (Some(margin), Some(proof)) = (margin, proof) else {
            return format!("{what}: its uncertainty is not known");
        };
        // A guard band is small: one decimal more, and so many that it does not look like its edge.
        let (by, expanded) = against(margin.abs(), proof.expanded, f.finer(1));
        let place = if margin.abs() <= NOISE {
            format!("at its {limit}")
        } else {
            format!("{by} {} its {limit}", side_words(margin))
        };
        format!("{what} in the guard band, {place}, U = {expanded}")
    };
    parts.into_iter().flatten().map(words).collect::<Vec<_>>().join("; ")
}

/// The limit that the margin of a size counts to.
fn limit_words(size: &SizeFinding) -> &'static str {
    match size.nearer() {
        Some(Bound::Upper) => "upper limit",
        Some(Bound::Lower) => "lower limit",
        None => "limit",
    }
}

pub(super) const fn side_words(margin: Length) -> &'static str {
    if margin.to_mm() < 0.0 { "outside" } else { "inside" }
}

/// Where a size lies that is not proven to conform: `inside its upper limit`.
#[must_use]
pub(super) fn guard_side(size: &SizeFinding) -> String {
    let side = size.margin.map_or("near", side_words);
    format!("{side} its {}", limit_words(size))
}

fn salvage_words(salvage: Salvage, kind: Kind, f: Figures) -> Option<String> {
    match salvage {
        Salvage::Possible { size, margin, guard } => {
            let (shown, _) = safe_size(size, limit_of(size, margin, kind), kind, f);
            let verb = if kind.is_internal() { "open" } else { "reduce" };
            let kept = if guard.is_some() { ", guard bands kept" } else { "" };
            Some(format!("{verb} to {shown}{kept}"))
        }
        Salvage::Impossible { .. } => None,
    }
}

/// Enough decimals that an excess is not shown as nothing.
pub(super) fn visible(length: Length, f: Figures) -> String {
    against(length, Length::ZERO, f).0
}

fn missing_words(finding: &FeatureFinding) -> String {
    let mut missing = Vec::new();
    if finding.x == Coordinate::NotMeasured {
        missing.push("x");
    }
    if finding.y == Coordinate::NotMeasured {
        missing.push("y");
    }
    let needs_size = finding.size.verdict == Verdict::NotMeasured
        || finding.positions().any(|p| {
            p.verdict == Verdict::NotMeasured && p.bonus == Bonus::None(NoBonus::SizeNotMeasured)
        });
    if needs_size {
        missing.push("size");
    }
    let pattern = finding.deciding().is_some_and(|p| p.shifted.is_some());
    match (missing.len(), finding.verdict) {
        (0, Verdict::NotMeasured) if pattern => "the pattern is not fully measured".to_owned(),
        (0, _) | (_, Verdict::Conforms | Verdict::NothingAsked) => String::new(),
        _ => format!("{} not measured", joined(&missing)),
    }
}

/// Why a position was not judged, in words.
#[must_use]
pub fn unjudged(why: &Unjudged) -> String {
    match why {
        Unjudged::ModifierWithoutLimits => "the modifier requires limits of size".to_owned(),
        Unjudged::OfFace => "a face has no axis to position".to_owned(),
        Unjudged::UnknownDatum(letter) => format!("datum {letter} is not on the drawing"),
        Unjudged::DatumNotMeasured(letter) => format!("datum {letter} was not measured"),
        Unjudged::EdgeEndsMissing(letter) => format!(
            "edge {letter} is out of square and its ends are not on the drawing: enter the outline"
        ),
        Unjudged::DatumTooNear(letter) => {
            format!("datum {letter} is too close to the origin to constrain rotation")
        }
        Unjudged::DatumPattern(letter) => {
            format!("datum {letter} needs round features that are on the drawing")
        }
        Unjudged::DatumShapeless(letter) => {
            format!(
                "the features of datum {letter} lie on one line or at one place and define no datum"
            )
        }
        Unjudged::DatumNominalMissing(letter, axis) => {
            format!("basic {} of datum {letter} is missing", axis.letter())
        }
        Unjudged::NominalMissing(axis) => format!("basic {} is missing", axis.letter()),
        Unjudged::Tolerance => "the tolerance must be above zero".to_owned(),
        Unjudged::AlongThePlane => {
            "a slot or tab is located across its width only, and the callout names the other axis"
                .to_owned()
        }
        Unjudged::BoundaryWithoutLimits(letter) => {
            format!("the boundary of datum {letter} needs its limits of size")
        }
        Unjudged::BoundaryOfFace(letter) => {
            format!("datum {letter} has no size and so no material boundary")
        }
        Unjudged::SlotAlone(letter) => format!(
            "datum {letter}, a slot or tab, is first at its boundary: how far it constrains rotation \
             depends on its length, which is not measured"
        ),
        Unjudged::BoundaryBelow(letter) => {
            format!("datum {letter} is at its boundary in a lower segment")
        }
        Unjudged::BoundaryOfLeast(letter) => format!(
            "the tolerance of datum {letter} itself applies at the other material condition: state \
             its boundary"
        ),
        Unjudged::Figures => "its figures cannot be fitted".to_owned(),
        Unjudged::GaugeDoesNotFit(_) => {
            "the datum features cannot all be inside their boundaries at once".to_owned()
        }
    }
}

/// The sentence in which the sum ends.
#[must_use]
pub fn sentence(finding: &FeatureFinding, feature: &Feature, job: &Job) -> String {
    let f = Figures::of_results(&job.drawing);
    let name = capital(&feature_name(feature));
    let size = &finding.size;
    let outside = match (size.above, size.below) {
        _ if size.verdict != Verdict::DoesNotConform => None,
        (Some(by), _) => Some(format!("its size is above the upper limit by {}", visible(by, f))),
        (None, Some(by)) => {
            Some(format!("its size is below the lower limit by {}", visible(by, f)))
        }
        (None, None) => None,
    };
    let within = |p: &PositionFinding| match segment_name(finding, p) {
        segment if segment.is_empty() => segment,
        segment => format!(" ({segment})"),
    };
    let mut text = match finding.verdict {
        Verdict::NothingAsked => match (finding.x.at(), finding.y.at(), size.counts) {
            (None, None, None) => {
                return format!("The drawing asks for nothing of {}.", feature_name(feature));
            }
            _ => return format!("{name}: for reference only; the drawing sets no limit."),
        },
        Verdict::CannotBeJudged => {
            let why = finding
                .fault
                .as_ref()
                .map(fault_words)
                .or_else(|| finding.deciding().and_then(|p| p.unjudged.as_ref()).map(unjudged));
            format!("{name} cannot be judged: {}.", why.unwrap_or_default())
        }
        Verdict::NotMeasured => {
            let unframed = finding.position.as_ref().and_then(|p| p.unjudged.as_ref());
            let missing = match (missing_words(finding), unframed) {
                (words, Some(why)) if words.is_empty() => unjudged(why),
                (words, _) => words,
            };
            format!("{name} is not fully measured: {missing}.")
        }
        Verdict::NotProven => format!(
            "{name} is not proven either way by the decision rule: {}.",
            unproven(finding, f)
        ),
        Verdict::Conforms => match finding.deciding() {
            Some(p) => {
                let margin = p.margin.unwrap_or_default();
                let how = how_it_conforms(p);
                let how = match how {
                    how if how.is_empty() => how,
                    how if how.starts_with("with") => format!(" {how}"),
                    how => format!(", {how}"),
                };
                format!("{name} conforms{how}; margin {}{}.", f.plain(margin), within(p))
            }
            None => format!(
                "{name} conforms; margin to the nearer limit {}.",
                f.plain(size.margin.unwrap_or_default())
            ),
        },
        Verdict::DoesNotConform => {
            let position = finding.deciding().filter(|p| p.verdict == Verdict::DoesNotConform);
            let position = position.and_then(|p| {
                let shifted = if p.shifted.is_some() { " at the best datum shift" } else { "" };
                let by = visible(p.margin?.abs(), f);
                Some(format!("its position is outside the zone{} by {by}{shifted}", within(p)))
            });
            let why: Vec<String> = [outside, position].into_iter().flatten().collect();
            let mut text = format!("{name} does not conform: {}.", why.join(", and "));
            if size.verdict == Verdict::DoesNotConform
                && finding.deciding().is_some_and(|p| p.verdict == Verdict::Conforms)
            {
                text.push_str(" Its position is inside the zone without any bonus.");
            }
            let open = unproven(finding, f);
            if !open.is_empty() {
                text.push_str(&format!(" Not proven either way: {open}."));
            }
            text
        }
    };
    if finding.in_question {
        text.push_str(" A reading of it is in question: look at that first.");
    }
    if finding.contradicted {
        text.push_str(
            " Its readings contradict each other: the verdict is subject to that, and its uncertainty was \
             raised for it.",
        );
    }
    if let Some(salvage) = finding.salvage {
        text.push(' ');
        text.push_str(&salvage_sentence(salvage, finding.kind, f));
    }
    text
}

fn salvage_sentence(salvage: Salvage, kind: Kind, f: Figures) -> String {
    let verb = if kind.is_internal() { "opened" } else { "reduced" };
    match salvage {
        Salvage::Possible { size, margin, guard } => {
            let (shown, left) = safe_size(size, limit_of(size, margin, kind), kind, f);
            let left = f.exact(left).plain(left);
            match guard {
                None => format!(
                    "Rework: {verb} to {shown} it would conform, {left} from its limit of size, provided that \
                     its axis does not move."
                ),
                Some(guard) => format!(
                    "Rework: {verb} to {shown} it would conform with its guard bands kept ({} from the zone, {} \
                     from the limits of size), {left} to spare, provided that its axis does not move and its \
                     uncertainty stays as it is.",
                    visible(guard.of_position, f),
                    visible(guard.of_size, f)
                ),
            }
        }
        Salvage::Impossible { size, beyond, guard } => format!(
            "Cannot be reworked by size: {}the size would have to be {}, {} beyond its limit{}.",
            if guard.is_some() { "to keep the guard bands " } else { "" },
            f.plain(size),
            visible(beyond, f),
            if guard.is_some() { " less the guard band" } else { "" }
        ),
    }
}
