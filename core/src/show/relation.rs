//! Relations in words: as they are typed, what was found of them, and why not.

use super::sum::SumLine;
use super::{Figures, against, as_typed, unjudged as position_unjudged};
use crate::callout::{RelationFinding, RelationUnjudged, Verdict};
use crate::job::{Drawing, Job, Relation, RelationKind};
use crate::quantity::{Figure, Length, NOISE, Unit};
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
        RelationUnjudged::NoFigure(why) => why,
    };
    match why {
        Reason::UnknownFeature(number) => format!("feature {number} is not on the drawing"),
        Reason::AtFault(name) => format!("{name} cannot be judged itself"),
        Reason::Twice(name) => format!("{name} stands there twice"),
        Reason::WrongKind(name, what) => format!("{name} is no {what}"),
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
        Reason::NotTied => "nothing ties the readings of its features to each other".to_owned(),
        Reason::NominalMissing(name) => {
            format!("a basic coordinate of {name} is missing on the drawing")
        }
        Reason::Limits => "the lower limit is above the upper one".to_owned(),
        Reason::Tolerance => "the tolerance must be above zero".to_owned(),
        Reason::ModifierWithoutLimits(name) => {
            format!("the modifier needs limits of size of {name}")
        }
        Reason::NoRadius => "the feature lies in its centre: there is no angle".to_owned(),
        Reason::TooFewHoles => "a circle takes three holes at least".to_owned(),
        Reason::OnOneLine => "the points lie on one line".to_owned(),
        Reason::NotOnOneLine => "the points do not lie along one line".to_owned(),
        Reason::AtOnePlace => "the points lie at one place".to_owned(),
        Reason::NoLength(name) => {
            format!("the squareness of {name} is stated over no length")
        }
        Reason::Figures => "nothing can be worked out of its figures".to_owned(),
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

/// The figure of a relation and the limit that it is nearest to, in digits that agree with the verdict.
#[must_use]
pub fn relation_figures(found: &RelationFinding, f: Figures) -> Option<(String, String)> {
    let measured = found.measured?;
    Some(match found.allowed.nearer(measured) {
        Some(limit) => against(measured, limit, f.exact(limit)),
        None => (f.plain(measured), String::new()),
    })
}

/// The sum of a relation, with more decimals than the table.
#[must_use]
pub fn relation_sum(found: &RelationFinding, job: &Job) -> Vec<SumLine> {
    let mut f = Figures::of_results(&job.drawing).finer(1);
    // As many as it takes for the figure not to look equal to its limit.
    if let Some((measured, limit)) =
        found.measured.and_then(|m| Some((m, found.allowed.nearer(m)?)))
    {
        while (measured - limit).abs() > NOISE && f.plain(measured) == f.plain(limit) {
            let finer = f.finer(1);
            if finer == f {
                break;
            }
            f = finer;
        }
    }
    let term = |term: &Term| match term {
        Term::Words(words) => words.clone(),
        Term::Length(length) => f.plain(*length),
        Term::Signed(length) => f.signed(*length),
        Term::Angle(radians) => angle_text(*radians),
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
    let (Some(measured), Some(margin)) = (found.measured, found.margin) else { return lines };
    lines.push(SumLine {
        label: "limits".to_owned(),
        value: String::new(),
        how: range_text(found.allowed, Figures::of_drawing(&job.drawing)),
    });
    let how = match found.allowed.nearer(measured) {
        Some(limit) if found.allowed.upper == Some(limit) => {
            format!("{} − {}", f.plain(limit), f.plain(measured))
        }
        Some(limit) => format!("{} − {}", f.plain(measured), f.plain(limit)),
        None => String::new(),
    };
    lines.push(SumLine { label: "margin".to_owned(), value: f.signed(margin), how });
    lines
}

/// An angle in degrees, to a ten-thousandth: `−12.3450°`.
fn angle_text(radians: f64) -> String {
    let text = format!("{:.4}°", radians.to_degrees());
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
        "Line {}, {} of {}",
        relation.number,
        relation_word(&relation.kind, &job.drawing),
        found.name
    );
    let why = || found.unjudged.as_ref().map(relation_unjudged).unwrap_or_default();
    let mut text = match found.verdict {
        Verdict::Conforms => format!(
            "{what}, conforms, with {} to spare.",
            f.plain(found.margin.unwrap_or_default())
        ),
        Verdict::DoesNotConform => {
            let by = visible(found.margin.unwrap_or_default().abs(), f);
            format!("{what}, does not conform: it is {} by {by}.", beyond(found))
        }
        Verdict::NotProven => {
            format!("{what}, is not proven either way by the decision rule.")
        }
        Verdict::NotMeasured => format!("{what}, is not fully measured: {}.", why()),
        Verdict::CannotBeJudged => format!("{what}, cannot be judged: {}.", why()),
        Verdict::NothingAsked => format!("{what}, is reported; the drawing sets no limit for it."),
    };
    if found.in_question {
        text.push_str(" A reading of it is in question: look at that first.");
    }
    text
}

/// How sure the verdict on a relation is, in a sentence; `None` where the uncertainty is not known.
#[must_use]
pub fn relation_certainty(found: &RelationFinding, job: &Job) -> Option<String> {
    let proof = found.proof?;
    let f = Figures::of_results(&job.drawing).finer(1);
    Some(format!(
        "Uncertainty of the margin ±{} (k = {}), probability that it conforms {}.",
        f.plain(proof.expanded),
        super::factor(proof.coverage),
        super::percent(proof.probability)
    ))
}
