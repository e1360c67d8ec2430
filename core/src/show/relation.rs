//! Relations in words: as they are typed, what was found of them, and why not.

use super::arithmetic::{Decimals, follows};
use super::drawing_problem::typed_text;
use super::sum::SumLine;
use super::{Figures, against, as_typed, unjudged as position_unjudged};
use crate::callout::{Bound, RelationFinding, RelationUnjudged, RequirementFinding, Verdict};
use crate::job::{Drawing, Job, Relation, RelationKind};
use crate::notation::compared;
use crate::quantity::{Figure, Length, Unit};
use crate::relation::{HeightsOver, Reason, Term, range_text};

/// Returns a relation as it is typed ([`crate::entry::relation`]):
/// `distance 3 4 along x 40.000 ±0.100`.
#[must_use]
pub fn relation_text(kind: &RelationKind, drawing: &Drawing) -> String {
    kind.text(drawing)
}

/// Returns the word for a relation: `bolt circle`.
#[must_use]
pub fn relation_word(kind: &RelationKind, drawing: &Drawing) -> &'static str {
    kind.word(drawing)
}

/// Returns heights as they are typed ([`crate::entry::grid`]): a row for each place.
#[must_use]
pub fn grid_text(points: &[[Figure; 3]], unit: Unit, over: HeightsOver) -> String {
    // Along an edge one figure says where, unless it was given by two.
    let by_one = over == HeightsOver::Edge && points.iter().all(|[_, y, _]| y.0 == 0.0);
    let row = |point: &[Figure; 3]| {
        let [x, y, height] = point.map(|f| as_typed(f, unit));
        if by_one { [x, height].join("\t") } else { [x, y, height].join("\t") }
    };
    points.iter().map(row).collect::<Vec<_>>().join("\n")
}

/// Returns why a relation was not judged, in words.
#[must_use]
pub fn relation_unjudged(why: &RelationUnjudged) -> String {
    let why = match why {
        RelationUnjudged::Frame { frame } => return position_unjudged(frame),
        RelationUnjudged::NotUnderstood { not_understood } => {
            let typed = typed_text(not_understood);
            return format!("its requirement as typed is not understood: {typed}");
        }
        RelationUnjudged::NoFigure(why) => why,
    };
    match why {
        Reason::UnknownFeature(number) => format!("feature {number} is not on the drawing"),
        Reason::AtFault(name) => format!("{name} cannot be judged itself"),
        Reason::Twice(name) => format!("{name} is repeated"),
        Reason::WrongKind(name, what) => format!("{name} is not a {what}"),
        Reason::NoPlace(name, axis) => {
            format!("{name} has no place along {}", axis.letter())
        }
        Reason::Across(a, b) => format!("{a} and {b} lie across different axes"),
        Reason::NotMeasured(what) => match what.as_slice() {
            [one] => format!("{one} not measured"),
            [first, second] => format!("{first} and {second} not measured"),
            [first, rest @ ..] => format!("{first} and {} more not measured", rest.len()),
            [] => "not measured".to_owned(),
        },
        Reason::NotTied => "no common reference links the readings of its features".to_owned(),
        Reason::NominalMissing(name) => {
            format!("a basic coordinate of {name} is missing on the drawing")
        }
        Reason::Limits => "the lower limit is above the upper one".to_owned(),
        Reason::Tolerance => "the tolerance must be above zero".to_owned(),
        Reason::ModifierWithoutLimits(name) => {
            format!("the modifier needs limits of size of {name}")
        }
        Reason::NoRadius => "the feature is at the centre: no angle is defined".to_owned(),
        Reason::TooFewHoles => "a circle needs at least three holes".to_owned(),
        Reason::OnOneLine => "the points lie on one line".to_owned(),
        Reason::NotOnOneLine => "the points do not lie along one line".to_owned(),
        Reason::AtOnePlace => "the points coincide".to_owned(),
        Reason::NoLength(name) => {
            format!("the squareness of {name} is stated without a length")
        }
        Reason::Figures => "its figures give no result".to_owned(),
    }
}

/// The short reason that stands beside the verdict in a table; empty where the verdict says all.
#[must_use]
pub fn relation_reason(found: &RelationFinding, drawing: &Drawing) -> String {
    let f = Figures::of_results(drawing);
    let why = match (&found.unjudged, found.verdict, found.margin) {
        (Some(why), _, _) => relation_unjudged(why),
        (None, Verdict::DoesNotConform, Some(margin)) => {
            format!("{} by {}", beyond(found), visible(margin.abs(), f))
        }
        (None, Verdict::NotProven, Some(margin)) => match found.proof {
            Some(proof) => format!(
                "margin {} against an uncertainty of ±{}",
                f.signed(margin),
                visible(proof.expanded, f)
            ),
            None => "its uncertainty is not known".to_owned(),
        },
        _ => String::new(),
    };
    match (found.in_question, why.is_empty()) {
        (true, true) => "a reading is in question".to_owned(),
        (true, false) => format!("a reading is in question; {why}"),
        (false, _) => why,
    }
}

/// On which side of its limits a figure is.
fn beyond(found: &RelationFinding) -> &'static str {
    match (found.measured, found.allowed.lower) {
        (Some(measured), Some(lower)) if measured < lower => "below its limit",
        _ => "above its limit",
    }
}

/// Enough decimals that an excess is not shown as nothing.
fn visible(length: Length, f: Figures) -> String {
    against(length, Length::ZERO, f).0
}

/// Further decimals that are tried for every step of a sum to follow from its figures as they are written.
const MORE: usize = 4;

/// The sum of a relation, with more decimals than the table, and as many as it takes for each step to
/// follow from its figures.
#[must_use]
pub fn relation_sum(found: &RelationFinding, job: &Job) -> Vec<SumLine> {
    let f = Figures::of_results(&job.drawing).finer(1);
    // As many decimals as it takes for the margin to follow from limit and figure as they are written.
    let end = found.measured.zip(found.limit()).zip(found.margin);
    let end =
        |f: Figures| end.map(|((measured, limit), margin)| compared(measured, limit, margin, f));
    let f = end(f).map_or(f, |end| end.figures);
    let gaps = (1..=2).flat_map(|gap| (0..=MORE).map(move |more| (gap, more)));
    let candidates = gaps.flat_map(|(gap, more)| (0..=MORE).map(move |angle| (gap, more, angle)));
    let candidates = candidates.map(|(gap, more, angle)| {
        let f = f.finer(more);
        (f, Decimals::of(&found.steps, f, gap, 4 + angle))
    });
    let adds_up = |(f, decimals): &(Figures, Decimals)| {
        let same = end(*f).is_none_or(|end| end.figures == *f);
        same && found.steps.iter().all(|s| follows(s, decimals))
    };
    let (f, decimals) = std::iter::once((f, Decimals::uniform(f, 4)))
        .chain(candidates)
        .find(adds_up)
        .unwrap_or_else(|| (f, Decimals::of(&found.steps, f, 1, 4)));
    let end = end(f);
    let term = |term: &Term| match term {
        Term::Words(words) => words.clone(),
        Term::Length(length) => decimals.lengths(*length).plain(*length),
        Term::Signed(length) => decimals.lengths(*length).signed(*length),
        Term::Angle(radians) => angle_text(*radians, decimals.angles()),
    };
    let mut lines: Vec<SumLine> = found
        .steps
        .iter()
        .map(|step| SumLine {
            label: step.label.clone(),
            value: step.figure.as_ref().map(term).unwrap_or_default(),
            how: step.how.iter().map(term).collect(),
        })
        .collect();
    let Some(end) = end else { return lines };
    lines.push(SumLine {
        label: "limits".to_owned(),
        value: String::new(),
        how: range_text(found.allowed, Figures::of_drawing(&job.drawing)),
    });
    let how = match found.bound() {
        Some(Bound::Upper) => format!("{} − {}", end.limit, end.value),
        _ => format!("{} − {}", end.value, end.limit),
    };
    lines.push(SumLine { label: "margin".to_owned(), value: end.margin, how });
    lines
}

/// An angle in degrees: `−12.3450°`.
fn angle_text(radians: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}°", radians.to_degrees());
    match text.strip_prefix('-') {
        Some(rest) if rest.trim_end_matches('°').parse::<f64>().is_ok_and(|v| v == 0.0) => {
            rest.to_owned()
        }
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// The sentence in which the sum of a relation ends.
#[must_use]
pub fn relation_sentence(found: &RelationFinding, relation: &Relation, job: &Job) -> String {
    let f = Figures::of_results(&job.drawing);
    let what = format!(
        "Relation {}, {} of {}",
        relation.number,
        relation_word(&relation.kind, &job.drawing),
        found.name
    );
    let why = || found.unjudged.as_ref().map(relation_unjudged).unwrap_or_default();
    let mut text = match found.verdict {
        Verdict::Conforms => {
            format!("{what}, conforms; margin {}.", f.plain(found.margin.unwrap_or_default()))
        }
        Verdict::DoesNotConform => {
            let by = visible(found.margin.unwrap_or_default().abs(), f);
            format!("{what}, does not conform: it is {} by {by}.", beyond(found))
        }
        Verdict::NotProven => {
            format!("{what}, is not proven either way by the decision rule.")
        }
        Verdict::NotMeasured => format!("{what}, is not fully measured: {}.", why()),
        Verdict::CannotBeJudged => format!("{what}, cannot be judged: {}.", why()),
        Verdict::NothingAsked => format!("{what}: for reference only; the drawing sets no limit."),
    };
    if found.in_question {
        text.push_str(" A reading of it is in question: look at that first.");
    }
    text
}
