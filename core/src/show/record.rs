//! The record of corrections in sentences.

use super::{Figures, feature_name};
use crate::job::{Correction, Job, Observed, Zero};
use crate::quantity::Figure;

/// The corrections of a piece, oldest first, each in a sentence.
///
/// A piece that was given another serial number since keeps its corrections: those of no piece at
/// hand are listed with every piece, under the number they were made under. Those of an instrument's
/// trial are, too.
#[must_use]
pub fn corrections(job: &Job, piece: usize) -> Vec<String> {
    let Some(piece) = job.pieces.get(piece) else { return Vec::new() };
    let other = |name: &str| !job.pieces.iter().any(|p| p.serial == name);
    job.record
        .iter()
        .filter(|c| c.piece == piece.serial || !c.instrument.is_empty() || other(&c.piece))
        .map(|c| {
            let text = correction(job, c);
            if c.piece == piece.serial || !c.instrument.is_empty() {
                text
            } else {
                format!("then piece {}: {text}", c.piece)
            }
        })
        .collect()
}

/// What was corrected, from what to what, when, by whom and why.
fn correction(job: &Job, c: &Correction) -> String {
    let f = figures(job, c);
    let list = |values: &[Figure]| {
        values
            .iter()
            .map(|v| {
                let length = v.length(f.unit);
                f.exact(length).signed(length)
            })
            .collect::<Vec<_>>()
            .join(", ")
    };
    let now =
        if c.now.is_empty() { "taken back".to_owned() } else { format!("now {}", list(&c.now)) };
    let of_feature = || job.feature(&c.feature).map_or_else(|| c.feature.clone(), feature_name);
    let what = match c.touch {
        Observed::ZeroAtEnd => format!("orientation {}, {}", c.orientation, c.touch.word()),
        Observed::ProbeDown | Observed::ProbeUp => format!("{}, {}", c.instrument, c.touch.word()),
        Observed::Touch(_) | Observed::Sweep => {
            format!("{}, orientation {}, {}", of_feature(), c.orientation, c.touch.word())
        }
    };
    let mut text = format!("{what}: was {}, {now}; {} UTC", list(&c.was), c.when);
    if let Some(change) = &c.zero {
        text.push_str(&format!(
            ", counted from {} and now from {}",
            zero_name(change.was.as_ref()),
            zero_name(change.now.as_ref())
        ));
    }
    if !c.who.is_empty() {
        text.push_str(&format!(", {}", c.who));
    }
    if !c.why.is_empty() {
        text.push_str(&format!(": {}", c.why));
    }
    text
}

/// How the figures of an entry are written. An orientation or an instrument that is no longer there
/// leaves the drawing's unit.
fn figures(job: &Job, c: &Correction) -> Figures {
    let instrument = job.plan.instruments.iter().find(|i| i.called() == c.instrument);
    match (c.instrument.is_empty(), instrument, job.orientation(c.orientation)) {
        (false, Some(instrument), _) => Figures::of_instrument(instrument),
        (true, _, Some(orientation)) => Figures::of_readings(job, orientation),
        _ => Figures::of_drawing(&job.drawing),
    }
}

/// What a reading counts from, as the record names it.
fn zero_name(zero: Option<&Zero>) -> String {
    match zero {
        None => "the zero of the orientation".to_owned(),
        Some(Zero::Plate) => "the plate".to_owned(),
        Some(Zero::Feature(number)) => number.clone(),
    }
}
