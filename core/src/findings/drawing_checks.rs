//! What a drawing and its plan lack or contradict, beyond what each feature says of itself: callouts
//! that name what is not there, places outside the part, dates and serial numbers.

use super::{DrawingProblem, Named, Place, PlanProblem, Problem, ProblemKind};
use crate::job::{
    Boundary, Datum, DatumRef, Drawing, Feature, Job, Kind, Modifier, Position, SizeLimits,
    Together,
};
use crate::quantity::{Axis, Unit};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeMap;

/// How many features are named in one sentence.
const MOST: usize = 3;

/// A nominal size from which a class of ISO 286 on an inch drawing is more likely one in millimetres
/// (common practice, no source).
const LARGE_INCHES: f64 = 3.0;

/// What is wrong or doubtful, those that stop a result first.
pub(super) fn drawing_checks(job: &Job) -> Vec<Problem> {
    let mut problems = not_understood(&job.drawing);
    problems.extend(datums(job));
    problems.extend(relations(job));
    problems.extend(callouts(&job.drawing));
    problems.extend(boundaries(job));
    problems.extend(outside(&job.drawing));
    problems.extend(metric_classes(&job.drawing));
    problems.extend(calibration(job));
    problems.extend(serials(job));
    problems
}

fn stops(place: Place, what: DrawingProblem) -> Problem {
    Problem::stops(place, ProblemKind::Drawing(what))
}

fn warns(place: Place, what: DrawingProblem) -> Problem {
    Problem::warns(place, ProblemKind::Drawing(what))
}

/// What was typed and is kept as it was typed.
fn not_understood(drawing: &Drawing) -> Vec<Problem> {
    let refused = drawing.features.iter().enumerate().flat_map(|(i, f)| {
        f.not_understood.iter().map(move |what| {
            let (feature, what) = (f.name(), what.clone());
            stops(Place::Feature(i), DrawingProblem::NotUnderstood { feature, what })
        })
    });
    let beside = drawing.not_understood.iter().cloned();
    let beside = beside.map(|text| stops(Place::Drawing, DrawingProblem::TextNotUnderstood(text)));
    refused.chain(beside).collect()
}

/// The features for which `holds`, as one problem names them, with the place of the first.
fn those(drawing: &Drawing, holds: impl Fn(&Feature) -> bool) -> Option<(Place, Named)> {
    let found = drawing.features.iter().enumerate().filter(|(_, f)| holds(f));
    named(drawing, &found.map(|(i, _)| i).collect::<Vec<_>>())
}

/// The same of features given by their index.
fn named(drawing: &Drawing, found: &[usize]) -> Option<(Place, Named)> {
    let features = found.iter().take(MOST).filter_map(|i| drawing.features.get(*i));
    let features = features.map(Feature::name).collect();
    Some((
        Place::Feature(*found.first()?),
        Named { features, more: found.len().saturating_sub(MOST) },
    ))
}

/// The lists of datums of a callout, the upper segment's first.
fn lists(position: &Position) -> impl Iterator<Item = &Vec<DatumRef>> {
    std::iter::once(&position.datums).chain(position.lower.iter().map(|s| &s.datums))
}

/// Letters that are named and not defined, and letters defined on what is not there.
fn datums(job: &Job) -> Vec<Problem> {
    let drawing = &job.drawing;
    let defined: FxHashSet<&str> = drawing.datums.iter().map(|d| d.letter.as_str()).collect();
    let mut missing: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, feature) in drawing.features.iter().enumerate() {
        let named = feature.positions().flat_map(lists).flatten().map(|d| d.letter.as_str());
        for letter in named.filter(|letter| !defined.contains(letter)) {
            let features = missing.entry(letter).or_default();
            if features.last() != Some(&i) {
                features.push(i);
            }
        }
    }
    let not_defined = missing.into_iter().filter_map(|(letter, features)| {
        let (place, features) = named(drawing, &features)?;
        let letter = letter.to_owned();
        Some(stops(place, DrawingProblem::DatumNotDefined { letter, features }))
    });
    let mut problems: Vec<Problem> = not_defined.collect();
    let numbers = drawing.by_number();
    for datum in &drawing.datums {
        let letter = datum.letter.clone();
        match &datum.feature {
            Some(number) if !numbers.contains_key(number.as_str()) => {
                let feature = number.clone();
                let what = DrawingProblem::DatumWithoutFeature { letter, feature };
                problems.push(stops(Place::Drawing, what));
            }
            None if datum.pattern.is_none() => {
                // Of two things called A, one may be meant by the other.
                let face = drawing.face(&letter).and_then(|_| numbers.get(letter.as_str()));
                problems.extend(face.map(|face| {
                    warns(Place::Feature(*face), DrawingProblem::DatumBesideFace { letter })
                }));
            }
            _ => {}
        }
    }
    problems
}

/// Relations that name features that are not there.
fn relations(job: &Job) -> Vec<Problem> {
    let numbers = job.drawing.by_number();
    let asked = job.drawing.relations.iter().filter(|r| !r.kind.takes_words());
    let missing = asked.filter_map(|relation| {
        let mut gone: Vec<String> = relation
            .kind
            .features()
            .into_iter()
            .filter(|number| !numbers.contains_key(*number))
            .map(ToOwned::to_owned)
            .collect();
        gone.sort_unstable();
        gone.dedup();
        (!gone.is_empty()).then(|| {
            let relation = relation.number.clone();
            stops(
                Place::Drawing,
                DrawingProblem::RelationWithoutFeature { relation, features: gone },
            )
        })
    });
    missing.collect()
}

/// Callouts that lack something or contradict themselves.
fn callouts(drawing: &Drawing) -> Vec<Problem> {
    let unit = drawing.unit;
    let modified =
        |f: &Feature| f.size.is_none() && f.positions().any(|p| p.modifier != Modifier::None);
    // Zones combined with each other, or with other callouts, locate without any datum.
    let alone = |p: &Position| {
        p.datums.is_empty() && matches!(p.together, Together::Default | Together::Separate)
    };
    let undated = |f: &Feature| f.positions().any(alone);
    let looser = |f: &Feature| {
        f.positions().any(|p| {
            let own = std::iter::once(p.tolerance).chain(p.lower.iter().map(|s| s.tolerance));
            let figures: Vec<_> = own.map(|t| t.length(unit)).collect();
            figures.windows(2).any(|pair| matches!(pair, [upper, lower] if !lower.at_most(*upper)))
        })
    };
    let modified = those(drawing, modified)
        .map(|(place, named)| stops(place, DrawingProblem::ModifierWithoutLimits(named)));
    let undated = those(drawing, undated)
        .map(|(place, named)| warns(place, DrawingProblem::PositionWithoutDatums(named)));
    let looser = those(drawing, looser)
        .map(|(place, named)| warns(place, DrawingProblem::LowerSegmentLooser(named)));
    modified.into_iter().chain(undated).chain(looser).collect()
}

/// Datum features at their boundary that no tolerance of their own and no stated boundary belongs to.
fn boundaries(job: &Job) -> Vec<Problem> {
    let drawing = &job.drawing;
    let named = drawing.features.iter().flat_map(Feature::positions).flat_map(lists).flatten();
    let mut letters: Vec<&str> =
        named.filter(|d| d.boundary != Boundary::Regardless).map(|d| d.letter.as_str()).collect();
    letters.sort_unstable();
    letters.dedup();
    let numbers = drawing.by_number();
    let alone = |letter: &str| {
        let is_it = |d: &&Datum| d.letter == letter && d.boundary.is_none();
        let datum = drawing.datums.iter().find(is_it)?;
        let index = *numbers.get(datum.feature.as_deref()?)?;
        let feature = drawing.features.get(index)?;
        (feature.kind.is_sized() && feature.callouts.is_empty()).then(|| {
            let (letter, feature) = (letter.to_owned(), feature.name());
            warns(
                Place::Feature(index),
                DrawingProblem::BoundaryWithoutTolerance { letter, feature },
            )
        })
    };
    letters.into_iter().filter_map(alone).collect()
}

/// Features with a basic coordinate outside the outline.
fn outside(drawing: &Drawing) -> Option<Problem> {
    let unit = drawing.unit;
    let outline = drawing.outline?;
    let [left, bottom, right, top] =
        [outline.left, outline.bottom, outline.right, outline.top].map(|f| f.length(unit));
    let beyond = |f: &Feature| {
        let off = |axis: Axis, from, to| {
            // Of a face only the coordinate along its normal says anything.
            let counts = f.kind != Kind::Face || f.plane_axis() == Some(axis);
            let at = f.basic(axis, unit).filter(|_| counts);
            at.is_some_and(|at| !at.at_least(from) || !at.at_most(to))
        };
        off(Axis::X, left, right) || off(Axis::Y, bottom, top)
    };
    let (place, named) = those(drawing, beyond)?;
    Some(warns(place, DrawingProblem::OutsideOutline(named)))
}

/// A class as in 10 H7 where the size counts in inches.
fn metric_classes(drawing: &Drawing) -> Option<Problem> {
    let doubtful = |f: &Feature| {
        let class = match f.size {
            Some(SizeLimits::Class { nominal, .. }) => Some(nominal.0),
            _ => None,
        };
        class.is_some_and(|n| n >= LARGE_INCHES && n.fract() == 0.0)
    };
    let (place, named) = those(drawing, doubtful).filter(|_| drawing.unit == Unit::Inch)?;
    Some(warns(place, DrawingProblem::ClassInInches(named)))
}

/// A date as it is written, `2027-03-31`, or a month of a year; nothing else is compared.
fn dated(text: &str) -> Option<&str> {
    let text = text.trim();
    let digit = |i: usize, c: u8| if matches!(i, 4 | 7) { c == b'-' } else { c.is_ascii_digit() };
    let whole = matches!(text.len(), 7 | 10);
    (whole && text.bytes().enumerate().all(|(i, c)| digit(i, c))).then_some(text)
}

/// Gauges that were used after their calibration was due. Both dates are those of the job.
fn calibration(job: &Job) -> Vec<Problem> {
    let used: FxHashSet<usize> = job.plan.orientations.iter().map(|o| o.instrument).collect();
    let gauges = job.plan.instruments.iter().enumerate().filter(|(i, _)| used.contains(i));
    let overdue = gauges.filter_map(|(index, gauge)| {
        let due = dated(&gauge.calibration_due)?;
        // As much of the later date as the other one says: due in a month, due at its end.
        let late = |date: &str| date.get(..due.len()).is_some_and(|begin| begin > due);
        let pieces = job.pieces.iter().enumerate();
        let (piece, date) = pieces
            .filter_map(|(i, p)| Some((i, dated(&p.date).filter(|date| date.len() == 10)?)))
            .find(|(_, date)| late(date))?;
        let gauge = match gauge.name.as_str() {
            "" => format!("Instrument {}", index + 1),
            name => name.to_owned(),
        };
        let what = PlanProblem::CalibrationOverdue {
            gauge,
            due: due.to_owned(),
            measured: date.to_owned(),
        };
        Some(Problem::warns(Place::Piece(piece), ProblemKind::Plan(what)))
    });
    overdue.collect()
}

/// Pieces that cannot be told apart.
fn serials(job: &Job) -> Vec<Problem> {
    let mut first: FxHashMap<&str, usize> = FxHashMap::default();
    let mut problems = Vec::new();
    let mut said: FxHashSet<&str> = FxHashSet::default();
    for (index, piece) in job.pieces.iter().enumerate() {
        let serial = piece.serial.trim();
        if first.insert(serial, index).is_some() && said.insert(serial) {
            let what = PlanProblem::SerialTwice(serial.to_owned());
            problems.push(Problem::warns(Place::Piece(index), ProblemKind::Plan(what)));
        }
    }
    problems
}
