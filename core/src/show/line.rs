//! Lines between features in words: as they are typed, what was found of them, and why not.

use super::sum::SumLine;
use super::{Figures, against, as_typed, unjudged as position_unjudged};
use crate::callout::Verdict;
use crate::callout::line::{LineFinding, LineUnjudged, Term};
use crate::entry::must_quote;
use crate::job::{Along, Asks, Drawing, Job, Kind, Line, LineLimits, Modifier, Range, SizeLimits};
use crate::quantity::{Figure, Length, NOISE, Unit};

/// A line as it is typed ([`crate::entry::line`]): `distance 3 4 along x 40.000 ±0.100`.
#[must_use]
pub fn line_text(asks: &Asks, drawing: &Drawing) -> String {
    let f = Figures::of_drawing(drawing);
    let figure = |figure: Figure| {
        let length = figure.length(f.unit);
        f.exact(length).plain(length)
    };
    let named = |number: &String| quoted(number);
    let or_origin =
        |number: &Option<String>| number.as_ref().map_or_else(|| "origin".to_owned(), named);
    match asks {
        Asks::Distance(d) => {
            let limits = line_limits_text(d.limits, f);
            let (from, to) = (or_origin(&d.from), named(&d.to));
            match d.along {
                Along::Straight => format!("centres {from} {to} {limits}"),
                Along::X => format!("distance {from} {to} along x {limits}"),
                Along::Y => format!("distance {from} {to} along y {limits}"),
            }
        }
        Asks::Wall(w) => {
            let [a, b] = &w.between;
            let limits = line_limits_text(w.limits, f);
            format!("{} {} {} {limits}", wall_word(asks, drawing), named(a), named(b))
        }
        Asks::Coaxiality(c) => {
            let modifier = match c.modifier {
                Modifier::None => "",
                Modifier::Mmc => " M",
                Modifier::Lmc => " L",
            };
            format!("coaxial {} {} {}{modifier}", named(&c.of), named(&c.to), figure(c.tolerance))
        }
        Asks::Perpendicularity(p) => {
            format!("square {} {} {}", named(&p.of), named(&p.to), figure(p.tolerance))
        }
        Asks::Parallelism(p) => {
            let to = p.to.as_ref().map_or_else(String::new, |to| format!(" {}", named(to)));
            format!("parallel {}{to} {}", named(&p.of), figure(p.tolerance))
        }
        Asks::Flatness(f) => format!("flat {} {}", named(&f.of), figure(f.tolerance)),
        Asks::BoltCircle(c) => {
            let of: Vec<String> = c.of.iter().map(named).collect();
            format!("circle {} {}", of.join(" "), line_limits_text(c.diameter, f))
        }
        Asks::PolarPosition(p) => format!(
            "polar {} {} {} {}",
            named(&p.of),
            or_origin(&p.centre),
            figure(p.radial),
            figure(p.around)
        ),
    }
}

/// The word that a line begins with.
#[must_use]
pub fn line_word(asks: &Asks, drawing: &Drawing) -> &'static str {
    match asks {
        Asks::Distance(_) => "distance",
        Asks::Wall(_) => wall_word(asks, drawing),
        Asks::Coaxiality(_) => "coaxiality",
        Asks::Perpendicularity(_) => "perpendicularity",
        Asks::Parallelism(_) => "parallelism",
        Asks::Flatness(_) => "flatness",
        Asks::BoltCircle(_) => "bolt circle",
        Asks::PolarPosition(_) => "polar place",
    }
}

/// A wall to a face is the distance from its edge.
fn wall_word(asks: &Asks, drawing: &Drawing) -> &'static str {
    let is_face = |number: &&str| {
        let mut features = drawing.features.iter();
        features.any(|f| f.number == **number && f.kind == Kind::Face)
    };
    if asks.features().iter().any(is_face) { "edge" } else { "wall" }
}

fn quoted(number: &str) -> String {
    if must_quote(number) {
        format!("\"{}\"", number.replace('"', "\"\""))
    } else {
        number.to_owned()
    }
}

/// Limits of a line as they are typed: `40.000 ±0.100`, `2.500 to 3.500`, `min 2.500`.
#[must_use]
pub fn line_limits_text(limits: LineLimits, figures: Figures) -> String {
    let exact = |length: Length| figures.exact(length).plain(length);
    match limits {
        LineLimits::Within(SizeLimits::Limits { lower, upper }) => {
            let (lower, upper) = (lower.length(figures.unit), upper.length(figures.unit));
            let f = figures.exact(lower).exact(upper);
            format!("{} to {}", f.plain(lower), f.plain(upper))
        }
        LineLimits::Within(limits) => super::size_text(limits, figures.unit, figures.decimals),
        LineLimits::AtLeast(least) => format!("min {}", exact(least.length(figures.unit))),
        LineLimits::AtMost(most) => format!("max {}", exact(most.length(figures.unit))),
    }
}

/// Limits as they are held against: `39.900 – 40.100`, `≥ 2.500`, `≤ 0.100`.
#[must_use]
pub fn range_text(range: Range, figures: Figures) -> String {
    let exact = |f: Figures, l: Option<Length>| l.map_or(f, |l| f.exact(l));
    let f = exact(exact(figures, range.lower), range.upper);
    match (range.lower, range.upper) {
        (Some(lower), Some(upper)) => format!("{} – {}", f.plain(lower), f.plain(upper)),
        (Some(lower), None) => format!("≥ {}", f.plain(lower)),
        (None, Some(upper)) => format!("≤ {}", f.plain(upper)),
        (None, None) => String::new(),
    }
}

/// Heights over a face as they are typed ([`crate::entry::grid`]): a row for each place.
#[must_use]
pub fn grid_text(points: &[[Figure; 3]], unit: Unit) -> String {
    let row = |point: &[Figure; 3]| point.map(|f| as_typed(f, unit)).join("\t");
    points.iter().map(row).collect::<Vec<_>>().join("\n")
}

/// Why a line was not judged, in words.
#[must_use]
pub fn line_unjudged(why: &LineUnjudged) -> String {
    match why {
        LineUnjudged::UnknownFeature(number) => format!("feature {number} is not on the drawing"),
        LineUnjudged::AtFault(name) => format!("{name} cannot be judged itself"),
        LineUnjudged::Twice(name) => format!("{name} stands there twice"),
        LineUnjudged::WrongKind(name, what) => format!("{name} is no {what}"),
        LineUnjudged::NoPlace(name, axis) => {
            format!("{name} has no place along {}", axis.letter())
        }
        LineUnjudged::Across(a, b) => format!("{a} and {b} lie across different axes"),
        LineUnjudged::NotMeasured(what) => match what.as_slice() {
            [one] => format!("{one} not measured"),
            [first, second] => format!("{first} and {second} not measured"),
            [first, rest @ ..] => format!("{first} and {} more not measured", rest.len()),
            [] => "not measured".to_owned(),
        },
        LineUnjudged::Frame(why) => position_unjudged(why),
        LineUnjudged::NominalMissing(name) => {
            format!("a basic coordinate of {name} is missing on the drawing")
        }
        LineUnjudged::Limits => "the lower limit is above the upper one".to_owned(),
        LineUnjudged::Tolerance => "the tolerance must be above zero".to_owned(),
        LineUnjudged::ModifierWithoutLimits(name) => {
            format!("the modifier needs limits of size of {name}")
        }
        LineUnjudged::NoRadius => "the feature lies in its centre: there is no angle".to_owned(),
        LineUnjudged::TooFewHoles => "a circle takes three holes at least".to_owned(),
        LineUnjudged::OnOneLine => "the points lie on one line".to_owned(),
        LineUnjudged::NoLength(name) => {
            format!("the squareness of {name} is stated over no length")
        }
        LineUnjudged::Figures => "nothing can be worked out of its figures".to_owned(),
    }
}

/// The short reason that stands beside the verdict in a table; empty where the verdict says all.
#[must_use]
pub fn line_reason(found: &LineFinding, drawing: &Drawing) -> String {
    let f = Figures::of_results(drawing);
    let why = match (&found.unjudged, found.verdict, found.margin) {
        (Some(why), _, _) => line_unjudged(why),
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
fn beyond(found: &LineFinding) -> &'static str {
    match (found.measured, found.allowed.lower) {
        (Some(measured), Some(lower)) if measured < lower => "below its limit",
        _ => "above its limit",
    }
}

/// Enough decimals that an excess is not shown as nothing.
fn visible(length: Length, f: Figures) -> String {
    against(length, Length::ZERO, f).0
}

/// The figure of a line and the limit that it is nearest to, in digits that agree with the verdict.
#[must_use]
pub fn line_figures(found: &LineFinding, f: Figures) -> Option<(String, String)> {
    let measured = found.measured?;
    Some(match found.allowed.nearer(measured) {
        Some(limit) => against(measured, limit, f.exact(limit)),
        None => (f.plain(measured), String::new()),
    })
}

/// The sum of a line, with more decimals than the table.
#[must_use]
pub fn line_sum(found: &LineFinding, job: &Job) -> Vec<SumLine> {
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
        .parts
        .iter()
        .map(|part| SumLine {
            label: part.label.clone(),
            value: part.figure.as_ref().map(term).unwrap_or_default(),
            how: part.how.iter().map(term).collect(),
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

/// The sentence in which the sum of a line ends.
#[must_use]
pub fn line_sentence(found: &LineFinding, line: &Line, job: &Job) -> String {
    let f = Figures::of_results(&job.drawing);
    let what =
        format!("Line {}, {} of {}", line.number, line_word(&line.asks, &job.drawing), found.name);
    let why = || found.unjudged.as_ref().map(line_unjudged).unwrap_or_default();
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

/// How sure the verdict on a line is, in a sentence; `None` where the uncertainty is not known.
#[must_use]
pub fn line_certainty(found: &LineFinding, job: &Job) -> Option<String> {
    let proof = found.proof?;
    let f = Figures::of_results(&job.drawing).finer(1);
    Some(format!(
        "Uncertainty of the margin ±{} (k = {}), probability that it conforms {}.",
        f.plain(proof.expanded),
        super::factor(proof.coverage),
        super::percent(proof.probability)
    ))
}
