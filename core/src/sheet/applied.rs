//! What was applied to the readings of one orientation before they became results, and what was
//! not: temperature, squareness, the zero at the end, zeros of single readings, an angle found, a
//! probe constant found.

use crate::bench::TemperatureCorrection;
use crate::findings::PieceFinding;
use crate::job::{Job, Orientation, Piece, Slope, Zero};
use crate::picture::lean_says;
use crate::quantity::Side;
use crate::show::{Figures, as_typed, probe_trial};

/// So many readings with a zero of their own are named; all are marked in the table.
const MOST: usize = 12;

/// Sentences for the sheet, in the order in which things are applied.
pub(super) fn applied(
    job: &Job,
    orientation: &Orientation,
    piece: &Piece,
    finding: &PieceFinding,
) -> Vec<String> {
    [
        Some(
            "Sizes are those that are judged. The coordinate is as read, from the basic coordinate \
             of its zero, before all orientations are adjusted together."
                .to_owned(),
        ),
        Some(temperature(job, piece)),
        squareness(job, orientation, piece),
        angle(orientation, finding),
        Some(at_the_end(job, orientation, piece)),
        own_zeros(orientation, piece),
        trial(job, orientation),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What a reading counts from.
pub(super) fn zero_name(zero: &Zero) -> &str {
    match zero {
        Zero::Plate => "the plate",
        Zero::Feature(number) => number,
    }
}

/// A number that is no length, as people write it.
fn bare(value: f64) -> String {
    value.to_string().replace('-', "−")
}

fn temperature(job: &Job, piece: &Piece) -> String {
    let Some(w) = TemperatureCorrection::of(job, piece) else {
        let why = match piece.part_celsius {
            Some(_) => ": the coefficients of part and gauge are not both given.",
            None if piece.gauge_celsius.is_some() => ": the temperature of the part is not given.",
            None => ".",
        };
        return format!("Not corrected for temperature{why}");
    };
    let material = |expansion| {
        let material = job.plan.material_expanding(expansion);
        material.map_or_else(String::new, |m| match m.source.as_ref() {
            "" => format!(" ({})", m.name),
            source => format!(" ({}: {source})", m.name),
        })
    };
    let of = |what: &str, celsius: f64, expansion: f64| {
        format!(
            "{what} at {} °C, {} millionths per K{}",
            bare(celsius),
            bare(expansion),
            material(expansion)
        )
    };
    let parts = (w.factor() - 1.0) * 1e6;
    format!(
        "Brought to 20 °C: {}; {}; in all {} millionths of each length.",
        of("part", w.part_celsius, w.part_expansion),
        of("scale", w.gauge_celsius, w.gauge_expansion),
        format!("{parts:+.1}").replace('-', "−")
    )
}

fn squareness(job: &Job, orientation: &Orientation, piece: &Piece) -> Option<String> {
    let first = job.plan.orientations.first().map(|o| o.number) == Some(orientation.number);
    let edge = orientation.up_side().map(Side::opposite);
    let Some(known) = piece.squareness_of(orientation.number) else {
        let bounded = job.plan.conditions.squareness.and_then(Slope::radians).is_some();
        let unknown = if bounded { "; its uncertainty is included" } else { "" };
        return (!first && !orientation.find_angle && edge.is_some()).then(|| {
            format!("The edge was taken as square to that of the first orientation{unknown}.")
        });
    };
    let unit = job.drawing.unit;
    let figures = Figures::of_drawing(&job.drawing);
    let deviation = known.farther_out.length(unit);
    let name = edge.map_or("edge that carries the part", Side::edge);
    let mut text = format!("The {name}");
    if edge.is_some() {
        text.push_str(" edge");
    }
    text.push_str(&format!(" is out of square by {}", figures.exact(deviation).signed(deviation)));
    match (edge, known.radians()) {
        (_, None) => text.push_str(", not applied: no length is given with it."),
        (None, _) => text.push_str(", not applied: the part stands on no edge."),
        (Some(edge), Some(_)) => {
            let lies = lean_says(edge, known).map_or_else(String::new, |w| format!(": {w}"));
            let sure = match known.standard_radians().and(known.standard) {
                Some(standard) => {
                    format!(" (standard uncertainty {})", as_typed(standard, unit))
                }
                None => String::new(),
            };
            text.push_str(&format!(
                " over {} {}{sure} against the edge of the first orientation{lies}. The direction \
                 that is up was turned by it.",
                as_typed(known.over, unit),
                unit.word(),
            ));
        }
    }
    Some(text)
}

fn angle(orientation: &Orientation, finding: &PieceFinding) -> Option<String> {
    if !orientation.find_angle {
        return None;
    }
    let found = finding.measurement.angles.iter().find(|(o, ..)| *o == orientation.number);
    Some(found.map_or_else(
        || "The direction that is up could not be found from the readings.".to_owned(),
        |(_, error, standard)| {
            let minutes = |radians: f64| radians.to_degrees() * 60.0;
            format!(
                "The direction that is up was found from the readings: turned by {}′, \
                 counter-clockwise positive, standard uncertainty {:.2}′.",
                format!("{:+.2}", minutes(*error)).replace('-', "−"),
                minutes(*standard)
            )
        },
    ))
}

fn at_the_end(job: &Job, orientation: &Orientation, piece: &Piece) -> String {
    let Some(end) = piece.zero_check(orientation.number) else {
        return "The zero was not checked at the end.".to_owned();
    };
    let f = Figures::of_readings(job, orientation);
    let end = end.length(f.unit);
    format!(
        "At the end the zero read {} (drift); no reading was changed by it.",
        f.exact(end).signed(end)
    )
}

/// The trial that the probe constant of the gauge is from, on the first page that it is used on.
fn trial(job: &Job, orientation: &Orientation) -> Option<String> {
    let with = orientation.instrument;
    let first = job.plan.orientations.iter().find(|o| o.instrument == with)?;
    (first.number == orientation.number)
        .then(|| job.instrument(orientation).and_then(probe_trial))
        .flatten()
}

fn own_zeros(orientation: &Orientation, piece: &Piece) -> Option<String> {
    let here = piece.readings.iter().filter(|r| r.orientation == orientation.number);
    let mut own: Vec<String> = here
        .filter(|r| !r.is_empty())
        .filter_map(|r| Some(format!("{} from {}", r.feature, zero_name(r.own_zero(orientation)?))))
        .collect();
    let more = own.len().saturating_sub(MOST);
    own.truncate(MOST);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    (!own.is_empty()).then(|| {
        format!("Counted from another zero, as that was measured here: {}{more}.", own.join(", "))
    })
}
