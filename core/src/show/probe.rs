//! A trial of the probe constant in sentences.

use super::{Figures, as_typed};
use crate::bench::{Mean, ProbeDoubt, ProbeFound};
use crate::job::{Instrument, ProbeTrial, ProbeWay};
use crate::quantity::{Figure, Length};

/// The trial of an instrument with every reading as it was taken, and the constant that it gives.
/// Nothing where there is no trial.
#[must_use]
pub fn probe_trial(instrument: &Instrument) -> Option<String> {
    let trial = instrument.probe_found.as_ref()?;
    let f = Figures::of_instrument(instrument);
    let unit = f.unit.word();
    let found = ProbeFound::of(instrument);
    let side = |values: &[Figure], mean: Option<Mean>| {
        if values.is_empty() {
            return "none".to_owned();
        }
        let list: Vec<String> = values
            .iter()
            .map(|v| {
                let length = v.length(f.unit);
                f.exact(length).signed(length)
            })
            .collect();
        let summary = mean.filter(|m| m.n > 1).map_or_else(String::new, |m| {
            let s = m.deviation.map(|s| f.finer(1).plain(s)).unwrap_or_default();
            format!(" (mean {}, s {s}, n {})", f.finer(1).plain(m.mean), m.n)
        });
        format!("{}{summary}", list.join(", "))
    };
    let mut text = format!(
        "Probe constant of {}, {}: from above {}; from below {}.",
        name(instrument),
        way(trial, instrument),
        side(&trial.down, found.map(|t| t.down)),
        side(&trial.up, found.map(|t| t.up)),
    );
    match found {
        None => text.push_str(" The trial is not complete."),
        Some(found) => {
            let equation = match trial.way {
                ProbeWay::Plane => "K = above − below",
                ProbeWay::Gap(_) => "K = gap − (below − above)",
                ProbeWay::Thickness(_) => "K = above − below − thickness",
            };
            text.push_str(&format!(
                " {equation} = {} {unit}, {}.",
                f.finer(1).plain(found.constant),
                certainty(&found, f)
            ));
        }
    }
    Some(text)
}

/// What is wrong with it, in sentences that say what to do.
#[must_use]
pub fn probe_doubts(instrument: &Instrument) -> Vec<String> {
    let Some(found) = ProbeFound::of(instrument) else { return Vec::new() };
    let f = Figures::of_instrument(instrument).finer(1);
    let called = instrument.called();
    let doubts = found.doubts(instrument).into_iter();
    doubts.map(|d| doubt(&called, found.constant, d, f)).collect()
}

/// What is doubtful about a constant that was found, in a sentence that says what to do.
pub(super) fn doubt(gauge: &str, constant: Length, doubt: ProbeDoubt, f: Figures) -> String {
    let name = if gauge.is_empty() { "the gauge" } else { gauge };
    let k = f.plain(constant);
    match doubt {
        ProbeDoubt::Nothing => format!(
            "The trial of {name} leaves a probe constant of {k}, practically zero: the gauge seems \
             to apply it itself. Check how the gauge is set; nothing was changed."
        ),
        ProbeDoubt::Negative => format!(
            "The probe constant found for {name} is {k}, which is negative: the touches from above \
             and from below seem to be interchanged, or the gap or thickness is wrong. Check the \
             trial; nothing was changed."
        ),
        ProbeDoubt::Opposite { stated } => format!(
            "The trial of {name} gives the probe constant {k}, exactly the opposite of the {} that \
             is stated: one of them has the wrong sign. Check both; nothing was changed.",
            f.plain(stated)
        ),
        ProbeDoubt::Differs { stated } if stated.to_mm() == 0.0 => format!(
            "The trial of {name} leaves a probe constant of {k}, though the gauge is said to apply \
             it itself. Check how the gauge is set, or let the constant be applied here."
        ),
        ProbeDoubt::Differs { stated } => format!(
            "The trial of {name} gives the probe constant {k}, and {} is stated. Repeat the \
                 trial, or take the constant that was found.",
            f.plain(stated)
        ),
        ProbeDoubt::Unsure => format!(
            "The uncertainty of the probe constant found for {name} is not known. Repeat the \
             touches of the trial, or enter the repeatability of the gauge."
        ),
    }
}

/// The gauge, where it has a name.
fn name(instrument: &Instrument) -> String {
    match instrument.called() {
        name if name.is_empty() => "the gauge".to_owned(),
        name => name,
    }
}

fn way(trial: &ProbeTrial, instrument: &Instrument) -> String {
    let unit = instrument.unit;
    let known = |what: &str, figure: Figure| {
        let standard = trial.known_standard.map_or_else(
            || "taken as exact".to_owned(),
            |u| format!("standard uncertainty {}", as_typed(u, unit)),
        );
        format!("from a known {what} of {} {} ({standard})", as_typed(figure, unit), unit.word())
    };
    match trial.way {
        ProbeWay::Plane => "from both sides of one plane".to_owned(),
        ProbeWay::Gap(gap) => known("gap", gap),
        ProbeWay::Thickness(thickness) => known("thickness", thickness),
    }
}

fn certainty(found: &ProbeFound, f: Figures) -> String {
    let Some((u, scatter)) = found.standard.zip(found.scatter) else {
        return "its uncertainty not known".to_owned();
    };
    let from = match scatter.degrees {
        Some(degrees) => format!("from these touches, {degrees:.0} degrees of freedom"),
        None => "as stated for the gauge".to_owned(),
    };
    format!(
        "standard uncertainty {} (one touch {}, {from})",
        f.finer(2).plain(u),
        f.finer(1).plain(scatter.deviation)
    )
}
