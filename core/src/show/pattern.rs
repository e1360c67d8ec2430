//! A pattern that was judged with one common shift, in words and as figures.

use super::sentences::visible;
use super::sum::sense;
use super::{Figures, against, factor, feature_name, segment_name, unjudged};
use crate::callout::{Unjudged, Verdict};
use crate::findings::{PatternFinding, PieceFinding, Rework};
use crate::job::{Drawing, Job};
use crate::notation::{compared, joined};
use crate::quantity::Length;

/// A pattern as it is written: for the screen and for the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct PatternText {
    /// `Pattern of holes 1 to 4 at A | B(M) | C(M)`.
    pub name: String,
    /// What was moved: `X −0.0042, Y −0.0024, turned 0.0038° counter-clockwise`; empty where the
    /// pattern was not judged.
    pub moved: String,
    /// The smallest margin with its sign; empty where there is none.
    pub margin: String,
    /// Its expanded uncertainty and the probability that the pattern conforms, where known.
    pub sure: Option<(String, f64)>,
    /// The coverage factor of that uncertainty: `2`.
    pub coverage: Option<String>,
    /// The verdict over the pattern.
    pub verdict: Verdict,
    /// What was found, in a sentence.
    pub sentence: String,
    /// Its datum features of size.
    pub datums: Vec<DatumText>,
    /// Its members.
    pub members: Vec<MemberText>,
}

/// A datum feature of size of a pattern, as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DatumText {
    /// Datum letter, with the sign of its boundary: `B(M)`.
    pub letter: String,
    /// `hole 5`.
    pub feature: String,
    /// Size of its boundary; empty regardless of size.
    pub boundary: String,
    /// Its size that counts; empty regardless of size.
    pub size: String,
    /// Room between the two; empty regardless of size.
    pub clearance: String,
    /// Its deviation before the shift, along x and y; empty where it does not count.
    pub before: [String; 2],
    /// Its deviation after the shift.
    pub after: [String; 2],
    /// It holds the pattern.
    pub holds: bool,
}

/// A member of a pattern, as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MemberText {
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// `hole 2`, with the segment where it has several.
    pub name: String,
    /// Deviation before the shift, along x and y; empty where it was not measured.
    pub before: [String; 2],
    /// Deviation after the shift.
    pub after: [String; 2],
    /// Position after the shift.
    pub position: String,
    /// Tolerance and bonus.
    pub allowed: String,
    /// What is left.
    pub margin: String,
    /// It holds the pattern.
    pub holds: bool,
    /// It was not measured, or cannot be judged.
    pub missing: bool,
}

/// The pattern with this index among those of a piece; `None` where there is none.
#[must_use]
pub fn pattern_text(index: usize, piece: &PieceFinding, job: &Job) -> Option<PatternText> {
    let pattern = piece.patterns.get(index)?;
    let f = Figures::of_results(&job.drawing).finer(1);
    Some(PatternText {
        name: pattern_name(pattern, &job.drawing),
        moved: moved(pattern, job),
        margin: pattern.margin.map_or_else(String::new, |m| f.signed(m)),
        sure: pattern.proof.map(|p| (f.plain(p.expanded), p.probability)),
        coverage: pattern.proof.map(|p| factor(p.coverage)),
        verdict: pattern.verdict,
        sentence: pattern_sentence(pattern, job),
        datums: datums(pattern, job, f),
        members: members(index, pattern, piece, job, f),
    })
}

/// `Pattern of holes 1 to 4 at A | B(M) | C(M)`; `Lower segment of holes 1 to 4 at A`.
#[must_use]
pub fn pattern_name(pattern: &PatternFinding, drawing: &Drawing) -> String {
    let what = if pattern.lower { "Lower segment" } else { "Pattern" };
    let letters: Vec<String> = pattern.datums.iter().map(ToString::to_string).collect();
    let at = if letters.is_empty() {
        " without datums".to_owned()
    } else {
        format!(" at {}", letters.join(" | "))
    };
    format!("{what} of {}{at}", members_text(&pattern.members, drawing))
}

/// What was found of a pattern, in a sentence: how it was moved, what is left and what holds it,
/// or why there is no such thing.
#[must_use]
pub fn pattern_sentence(pattern: &PatternFinding, job: &Job) -> String {
    let drawing = &job.drawing;
    let f = Figures::of_results(drawing);
    let name = pattern_name(pattern, drawing);
    if let Some(why) = &pattern.unjudged {
        return match why {
            Unjudged::GaugeDoesNotFit(by) => {
                let how = match pattern.verdict {
                    Verdict::DoesNotConform => "does not conform",
                    _ => "is not proven either way",
                };
                format!("{name} {how}: {}, by {}.", unjudged(why), visible(*by, f))
            }
            _ => format!("{name} is not judged: {}.", unjudged(why)),
        };
    }
    let missing = members_text(&pattern.missing, drawing);
    let are = if pattern.missing.len() == 1 { "is" } else { "are" };
    let Some(margin) = pattern.margin else {
        return format!("{name}: {missing} {are} missing, and nothing of it is measured.");
    };
    let holding = holding(pattern, drawing);
    let moved = moved(pattern, job);
    let spare = format!("margin {}", spare(margin, f));
    let lacking = format!("short by {}", visible(margin.abs(), f));
    let (failing, complete) = (margin < Length::ZERO, pattern.missing.is_empty());
    match (complete, pattern.verdict) {
        (false, Verdict::DoesNotConform) => format!(
            "{name}: no common shift makes all that is measured conform, whatever {missing} may be: \
             {lacking}; {holding}."
        ),
        (false, _) if failing => {
            format!("{name}: {missing} {are} missing; the others are {lacking}; {holding}.")
        }
        (false, _) => {
            format!("{name}: {missing} {are} missing; {moved}, the others have {spare}; {holding}.")
        }
        (true, Verdict::NotProven) => {
            let against = pattern.proof.map_or_else(
                || "its uncertainty is not known".to_owned(),
                |p| format!("an uncertainty of ±{}", visible(p.expanded, f)),
            );
            format!("{name}: {moved}; margin {} against {against}; {holding}.", f.signed(margin))
        }
        (true, Verdict::NotMeasured) => {
            format!(
                "{name}: {lacking}, and a size that could add to it is not measured; {holding}."
            )
        }
        (true, Verdict::DoesNotConform) if failing => {
            format!(
                "{name}: no common shift makes all features conform: {lacking}; {holding}.{}",
                rework_sentence(pattern, drawing)
            )
        }
        (true, Verdict::DoesNotConform) => {
            format!("{name} is not accepted by the decision rule: {moved}; {spare}; {holding}.")
        }
        (true, _) if failing => {
            format!("{name} is accepted by the decision rule: {moved}; {lacking}; {holding}.")
        }
        (true, _) => format!("{name}: {moved}; {spare}; {holding}."),
    }
}

/// Which features to rework, in a sentence that begins with a space; empty where none is known.
#[must_use]
pub(super) fn rework_sentence(pattern: &PatternFinding, drawing: &Drawing) -> String {
    match &pattern.rework {
        Some(Rework::Features { features, .. }) => {
            let named: Vec<usize> = features.iter().map(|(i, _)| *i).collect();
            let others = if pattern.members.len() > named.len() + pattern.missing.len() {
                ": the others then conform with one shift"
            } else {
                ""
            };
            format!(" Fewest features to rework: {}{others}.", members_text(&named, drawing))
        }
        Some(Rework::AtLeast(n)) => format!(" At least {n} features must be reworked."),
        None => String::new(),
    }
}

/// A margin that never looks like nothing while there is some.
fn spare(margin: Length, f: Figures) -> String {
    against(margin, Length::ZERO, f).0
}

/// `limited by hole 2 and datum B`.
fn holding(pattern: &PatternFinding, drawing: &Drawing) -> String {
    let mut things = Vec::new();
    if !pattern.holding.is_empty() {
        things.push(members_text(&pattern.holding, drawing));
    }
    let letters: Vec<&str> =
        pattern.rooms.iter().filter(|r| r.holds).map(|r| r.letter.as_str()).collect();
    match letters.as_slice() {
        [] => {}
        [one] => things.push(format!("datum {one}")),
        many => things.push(format!("datums {}", joined(many))),
    }
    format!("limited by {}", joined(&things))
}

/// `moved by X −0.0042, Y −0.0024 and turned 0.0038 degrees counter-clockwise`; with decimals
/// enough for the farthest feature of the pattern.
fn moved(pattern: &PatternFinding, job: &Job) -> String {
    if pattern.margin.is_none() {
        return String::new();
    }
    let f = Figures::of_results(&job.drawing).finer(1);
    let [x, y] = pattern.shift.map(|s| f.signed(s));
    let turn = turn_text(pattern, job, f);
    let turned = turn.map_or_else(String::new, |t| format!(" and turned {t}"));
    format!("moved by X {x}, Y {y}{turned}")
}

/// `0.0038 degrees counter-clockwise`; `None` where the pattern was not turned.
fn turn_text(pattern: &PatternFinding, job: &Job, f: Figures) -> Option<String> {
    let turn = pattern.turned()?;
    let features = pattern.members.iter().copied().chain(pattern.rooms.iter().map(|r| r.feature));
    let reach = features
        .filter_map(|i| Some(job.drawing.features.get(i)?.basic_point(job.drawing.unit)))
        .map(|p| p.x.abs().max(p.y.abs()))
        .fold(Length::ZERO, Length::max);
    let step = 10_f64;
    let mut decimals = 3;
    // Half of the last decimal of the angle, at that distance, against half of one of a length.
    let mut half = 0.0005_f64;
    let mut least = Length::of(0.5, f.unit);
    for _ in 0..f.decimals {
        least = least * 0.1;
    }
    while decimals < 9 && (reach * half.to_radians()) > least {
        decimals += 1;
        half /= step;
    }
    let degrees = turn.to_degrees().abs();
    Some(format!("{degrees:.decimals$} degrees {}", sense(turn)))
}

/// `holes 1 to 4`, `holes 1, 3 and 5`, `holes 1 to 4 and slot 7`.
pub(super) fn members_text(members: &[usize], drawing: &Drawing) -> String {
    let mut kinds: Vec<(&'static str, Vec<&str>)> = Vec::new();
    let mut sorted = members.to_vec();
    sorted.sort_unstable();
    for feature in sorted.iter().filter_map(|i| drawing.features.get(*i)) {
        let (word, number) = (feature.kind.word(), feature.number.as_str());
        match kinds.iter_mut().find(|(w, _)| *w == word) {
            // Two segments of one feature are one feature here.
            Some((_, numbers)) if numbers.contains(&number) => {}
            Some((_, numbers)) => numbers.push(number),
            None => kinds.push((word, vec![number])),
        }
    }
    let texts: Vec<String> = kinds
        .into_iter()
        .map(|(word, numbers)| match numbers.as_slice() {
            [one] => format!("{word} {one}"),
            many => format!("{} {}", plural(word), joined(&runs(many))),
        })
        .collect();
    joined(&texts)
}

fn plural(word: &str) -> String {
    if word.ends_with("ss") { format!("{word}es") } else { format!("{word}s") }
}

/// Numbers that follow each other, three at least, as `1 to 4`.
fn runs(numbers: &[&str]) -> Vec<String> {
    let mut runs: Vec<Vec<&str>> = Vec::new();
    for number in numbers {
        let value: Option<u64> = number.parse().ok();
        let follows = runs.last().and_then(|r| r.last()?.parse::<u64>().ok()?.checked_add(1));
        match runs.last_mut() {
            Some(run) if value.is_some() && follows == value => run.push(number),
            _ => runs.push(vec![number]),
        }
    }
    let mut texts = Vec::new();
    for run in runs {
        match run.as_slice() {
            [first, .., last] if run.len() > 2 => texts.push(format!("{first} to {last}")),
            short => texts.extend(short.iter().map(|n| (*n).to_owned())),
        }
    }
    texts
}

fn datums(pattern: &PatternFinding, job: &Job, f: Figures) -> Vec<DatumText> {
    let texts = pattern.rooms.iter().map(|room| {
        let limit = |pick: fn(&(Length, Length)) -> Length| {
            room.limit.as_ref().map_or_else(String::new, |l| f.plain(pick(l)))
        };
        // Between planes only what lies across them counts.
        let counts = room.across.map_or([true; 2], |e| e.map(|e| e.abs() > 1e-9));
        let along = |d: [Length; 2]| {
            let mut texts = d.map(|d| f.signed(d));
            for (text, _) in texts.iter_mut().zip(counts).filter(|(_, counts)| !counts) {
                text.clear();
            }
            texts
        };
        let named = pattern.datums.iter().find(|d| d.letter == room.letter);
        DatumText {
            letter: named.map_or_else(|| room.letter.clone(), ToString::to_string),
            feature: job.drawing.features.get(room.feature).map_or_else(String::new, feature_name),
            boundary: limit(|l| l.0),
            size: limit(|l| l.1),
            clearance: room.limit.map_or_else(String::new, |_| f.plain(room.clearance)),
            before: along(room.before),
            // After is worked out only where the pattern was fitted.
            after: if pattern.margin.is_some() { along(room.after) } else { Default::default() },
            holds: room.holds,
        }
    });
    texts.collect()
}

fn members(
    index: usize,
    pattern: &PatternFinding,
    piece: &PieceFinding,
    job: &Job,
    f: Figures,
) -> Vec<MemberText> {
    let mut once = pattern.members.clone();
    once.sort_unstable();
    once.dedup();
    let mut texts = Vec::new();
    for feature in once {
        let (Some(finding), Some(one)) =
            (piece.features.get(feature), job.drawing.features.get(feature))
        else {
            continue;
        };
        let missing = pattern.missing.contains(&feature);
        let ours = pattern.segments(index, finding);
        for p in &ours {
            let segment = if ours.len() > 1 { segment_name(finding, p) } else { String::new() };
            let gap = if segment.is_empty() { "" } else { ", " };
            let signed =
                |d: [Option<Length>; 2]| d.map(|d| d.map_or_else(String::new, |d| f.signed(d)));
            let shifted = p.shifted.is_some();
            let figures = p.position.zip(p.margin).filter(|_| shifted);
            let figures =
                figures.map(|(position, margin)| compared(position, p.allowed, margin, f));
            let (position, allowed, margin) = match figures {
                Some(all) => (all.value, all.limit, all.margin),
                None => (String::new(), f.plain(p.allowed), String::new()),
            };
            texts.push(MemberText {
                feature,
                name: format!("{}{gap}{segment}", feature_name(one)),
                before: signed(p.before()),
                after: if shifted { signed(p.deviation) } else { Default::default() },
                position,
                allowed,
                margin,
                holds: pattern.is_held_by(feature, p),
                missing,
            });
        }
    }
    texts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Feature, Kind};
    use crate::quantity::Unit;

    #[test]
    fn members_are_named_as_one_would_say_it() {
        let mut drawing = Job::empty(Unit::Mm).drawing;
        drawing.features = ["1", "2", "3", "4", "6", "7", "P1"]
            .into_iter()
            .map(|n| Feature { number: n.to_owned(), ..Feature::default() })
            .collect();
        drawing.features.push(Feature {
            number: "9".to_owned(),
            kind: Kind::Boss,
            ..Feature::default()
        });
        let text = |list: &[usize]| members_text(list, &drawing);
        assert_eq!(text(&[0, 1, 2, 3]), "holes 1 to 4");
        assert_eq!(text(&[0, 1]), "holes 1 and 2");
        assert_eq!(text(&[0, 2, 4]), "holes 1, 3 and 6");
        assert_eq!(text(&[0, 1, 2, 4, 5, 6]), "holes 1 to 3, 6, 7 and P1");
        assert_eq!(text(&[0, 1, 2, 3, 7]), "holes 1 to 4 and boss 9");
        assert_eq!(text(&[3, 1, 0, 2]), "holes 1 to 4");
        assert_eq!(text(&[2, 2]), "hole 3");
        assert_eq!(text(&[]), "");
    }
}
