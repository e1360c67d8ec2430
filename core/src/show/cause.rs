//! What kind of error a pattern has, in sentences and figures.

use super::{Figures, feature_name};
use crate::cause::{OneOffset, Words};
use crate::findings::Cause;
use crate::job::Job;
use crate::quantity::Length;

/// What is said of the error of one pattern.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CauseText {
    /// Which pattern: its features and datums.
    pub of: String,
    /// What to do, most useful first.
    pub actions: Vec<String>,
    /// What became of each model, from the shift to the squareness.
    pub steps: Vec<String>,
    /// Whether one offset would suit all pieces.
    pub offset: Option<String>,
    /// Every feature as it would be: name, dx, dy, and whether it would conform, in words.
    pub after: Vec<[String; 4]>,
}

/// The error of a pattern in words.
#[must_use]
pub fn cause_text(cause: &Cause, job: &Job) -> CauseText {
    let f = Figures::of_results(&job.drawing);
    let name = |i: usize| {
        let feature = cause.features.get(i).and_then(|i| job.drawing.features.get(*i));
        feature.map_or_else(String::new, feature_name)
    };
    let length = |mm: f64| f.plain(Length::mm(mm));
    let angle = |degrees: f64| format!("{degrees:.4} degrees");
    let words = Words { length: &length, angle: &angle, name: &name };
    let datums: Vec<String> = cause.datums.iter().map(ToString::to_string).collect();
    let many = match cause.pieces {
        0 | 1 => String::new(),
        n => format!(", mean of {n} pieces"),
    };
    let frame =
        if datums.is_empty() { String::new() } else { format!(" to {}", datums.join(" | ")) };
    let d = &cause.diagnosis;
    let signed = |v: Option<f64>| v.map_or_else(String::new, |v| f.signed(Length::mm(v)));
    let after = d.corrected.holes.iter().enumerate().map(|(i, hole)| {
        let word = match hole.conforms {
            Some(true) => "would conform",
            Some(false) => "would not conform",
            None => "",
        };
        [name(i), signed(hole.deviation[0]), signed(hole.deviation[1]), word.to_owned()]
    });
    CauseText {
        of: match cause.features.len() {
            1 => format!("1 feature{frame}{many}"),
            n => format!("{n} features{frame}{many}"),
        },
        actions: words.actions(d),
        steps: d.steps.iter().map(|s| words.step(s)).collect(),
        offset: one_offset(cause, f),
        after: if d.correction.is_some() { after.collect() } else { Vec::new() },
    }
}

/// Whether one offset saves all pieces; nothing where all conform anyhow. Of a single piece nothing
/// follows for the machine but what the tests above show.
fn one_offset(cause: &Cause, f: Figures) -> Option<String> {
    if cause.pieces < 2 {
        return None;
    }
    let whose = |pieces: usize| match pieces {
        1 => "the piece".to_owned(),
        n => format!("all {n} pieces"),
    };
    let moved = |offset: [f64; 2]| {
        format!("X {}, Y {}", f.signed(Length::mm(offset[0])), f.signed(Length::mm(offset[1])))
    };
    if let OneOffset::Exists(plan) = cause.offset {
        return (plan.now < plan.pieces).then(|| {
            format!(
                "One offset would have brought every hole of {} inside its zone: {}, with a radial \
                 margin of {}.",
                whose(plan.pieces),
                moved(plan.correction.offset),
                f.plain(Length::mm(-plan.beyond))
            )
        });
    }
    if let OneOffset::Exists(plan) = cause.turned {
        return Some(format!(
            "No offset alone, but {} with a rotation of {:.4} degrees {} about the datum would have \
             brought every hole of {} inside its zone.",
            moved(plan.correction.offset),
            plan.correction.turn.abs().to_degrees(),
            if plan.correction.turn < 0.0 { "clockwise" } else { "counter-clockwise" },
            whose(plan.pieces)
        ));
    }
    let OneOffset::None(plan) = cause.offset else { return None };
    Some(format!(
        "No offset brings every hole of {} inside its zone; the best offset leaves {} outside \
         (radius).",
        whose(plan.pieces),
        f.plain(Length::mm(plan.beyond))
    ))
}
