//! The sum as one would write it on paper: every figure that led to a verdict, one under another.

use super::requirement::limits_text;
use super::{Figures, factor};
use crate::callout::{Bonus, NoBonus, Zone};
use crate::findings::{Coordinate, FeatureFinding};
use crate::job::{Drawing, Feature, Job, Modifier};
use crate::quantity::{Length, NOISE};

/// One line of the sum.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SumLine {
    /// What it is: `position`.
    pub label: String,
    /// The figure: `.01146`.
    pub value: String,
    /// How it comes about: `2 × .00573`.
    pub how: String,
}

fn line(label: impl Into<String>, value: String, how: impl Into<String>) -> SumLine {
    SumLine { label: label.into(), value, how: how.into() }
}

/// The decimals of a sum: one more than the table, and a second one where that writes the
/// measured figures as they are (the mean of two touches ends in half a step of the gauge), so
/// that a calculator gives the same.
fn decimals(finding: &FeatureFinding, drawing: &Drawing) -> Figures {
    let f = Figures::of_results(drawing).finer(1);
    let measured = [finding.x.at(), finding.y.at()];
    let sizes = finding.size.seen.iter().map(|s| s.size);
    let exact = |f: Figures| {
        measured.iter().flatten().copied().chain(sizes.clone()).all(|l| f.exact(l) == f)
    };
    let mut f = if !exact(f) && exact(f.finer(1)) { f.finer(1) } else { f };
    // And as many as it takes for a position not to look equal to what is allowed.
    if let Some((position, allowed)) =
        finding.position.as_ref().and_then(|p| Some((p.position?, p.allowed)))
    {
        while (position - allowed).abs() > NOISE && f.plain(position) == f.plain(allowed) {
            let finer = f.finer(1);
            if finer == f {
                break;
            }
            f = finer;
        }
    }
    f
}

/// The sum of one feature, with more decimals than the table.
#[must_use]
pub fn sum(finding: &FeatureFinding, feature: &Feature, job: &Job) -> Vec<SumLine> {
    let drawing = &job.drawing;
    let f = decimals(finding, drawing);
    let mut lines = Vec::new();
    coordinates(finding, feature, drawing, f, &mut lines);
    sizes(finding, drawing, f, &mut lines);
    position(finding, f, &mut lines);
    lines
}

/// How sure the verdict is, in a sentence: of the position, or of the size where no position is
/// asked; `None` where the uncertainty is not known.
#[must_use]
pub fn certainty(finding: &FeatureFinding, job: &Job) -> Option<String> {
    let f = Figures::of_results(&job.drawing).finer(1);
    let of_position = finding.position.as_ref().and_then(|p| p.proof);
    let proof = of_position.or(finding.size.proof)?;
    let what = if of_position.is_some() { "the margin" } else { "the size" };
    Some(format!(
        "Uncertainty of {what} ±{} (k = {}), probability that it conforms {}.",
        f.plain(proof.expanded),
        factor(proof.coverage),
        percent(proof.probability)
    ))
}

/// A probability as it is worth saying: never certain, never nothing.
#[must_use]
pub fn percent(p: f64) -> String {
    match p * 100.0 {
        p if p > 99.9 => "> 99.9 %".to_owned(),
        p if p < 0.1 => "< 0.1 %".to_owned(),
        p => format!("{p:.1} %"),
    }
}

fn coordinates(
    finding: &FeatureFinding,
    feature: &Feature,
    drawing: &Drawing,
    f: Figures,
    lines: &mut Vec<SumLine>,
) {
    for (name, found, basic) in [("x", finding.x, feature.x), ("y", finding.y, feature.y)] {
        match (found, basic) {
            (Coordinate::Measured { at, deviation: Some(d) }, Some(basic)) => {
                let basic = basic.length(drawing.unit);
                lines.push(line(name, f.plain(at), "measured"));
                lines.push(line(
                    format!("d{name}"),
                    f.signed(d),
                    format!("{} − {}", f.plain(at), f.plain(basic)),
                ));
            }
            (Coordinate::Measured { at, .. }, _) => lines.push(line(name, f.plain(at), "measured")),
            (Coordinate::NotMeasured, _) => lines.push(line(name, String::new(), "not measured")),
            (Coordinate::NotRequired, _) => {}
        }
    }
}

fn sizes(finding: &FeatureFinding, drawing: &Drawing, f: Figures, lines: &mut Vec<SumLine>) {
    let size = &finding.size;
    for seen in &size.seen {
        lines.push(line("size", f.plain(seen.size), format!("orientation {}", seen.orientation)));
    }
    if let Some(counts) = size.counts {
        let lmc = finding.position.as_ref().is_some_and(|p| p.modifier == Modifier::Lmc);
        let smaller = finding.kind.is_internal() != lmc;
        let how = match size.seen.len() {
            0 | 1 => "",
            2 if smaller => "smaller of two",
            2 => "larger of two",
            _ if smaller => "smallest",
            _ => "largest",
        };
        if !how.is_empty() {
            lines.push(line("size that counts", f.plain(counts), how));
        }
    }
    if let Some(limits) = size.limits {
        lines.push(line(
            "limits",
            String::new(),
            limits_text(limits, Figures::of_drawing(drawing)),
        ));
    }
}

fn position(finding: &FeatureFinding, f: Figures, lines: &mut Vec<SumLine>) {
    let Some(p) = &finding.position else { return };
    if let (Some(radius), Some(position)) = (p.radius, p.position) {
        match p.zone {
            Zone::Round => {
                let d = |c: Coordinate| f.plain(c.deviation().unwrap_or_default().abs());
                lines.push(line(
                    "radius",
                    f.finer(1).plain(radius),
                    format!("√({}² + {}²)", d(finding.x), d(finding.y)),
                ));
                lines.push(line(
                    "position",
                    f.plain(position),
                    format!("2 × {}", f.finer(1).plain(radius)),
                ));
            }
            Zone::Planes(axis) => {
                lines.push(line(
                    "position",
                    f.plain(position),
                    format!("2 × {} across, along {}", f.plain(radius), axis.letter()),
                ));
            }
        }
    }
    lines.push(line(
        "tolerance",
        f.plain(p.tolerance),
        if p.zone == Zone::Round { "diameter" } else { "width" },
    ));
    match p.bonus {
        Bonus::NotAsked => {}
        Bonus::Earned { bonus, size, from } => {
            let (large, small): (Length, Length) = (size.max(from), size.min(from));
            let which = if p.modifier == Modifier::Lmc { "LMC" } else { "MMC" };
            let departure = large - small;
            let how = if (departure - bonus).abs() <= NOISE {
                format!("{} − {} from {which}", f.plain(large), f.plain(small))
            } else if bonus > Length::ZERO {
                "never more than the size tolerance".to_owned()
            } else {
                format!("none: size beyond {which}, not proven")
            };
            lines.push(line("bonus", f.plain(bonus), how));
        }
        Bonus::None(NoBonus::SizeOut) => {
            lines.push(line("bonus", f.plain(Length::ZERO), "none: size out of limits"))
        }
        Bonus::None(NoBonus::SizeNotMeasured) => {
            lines.push(line("bonus", String::new(), "size not measured"))
        }
    }
    if p.modifier != Modifier::None {
        lines.push(line(
            "allowed",
            f.plain(p.allowed),
            format!("{} + {}", f.plain(p.tolerance), f.plain(p.bonus.length())),
        ));
    }
    if let (Some(margin), Some(position)) = (p.margin, p.position) {
        lines.push(line(
            "margin",
            f.signed(margin),
            format!("{} − {}", f.plain(p.allowed), f.plain(position)),
        ));
    }
}
